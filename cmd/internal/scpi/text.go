package scpi

import (
	"fmt"
	"strconv"
	"strings"

	"netlore/query/diag"
)

// Identity is what an instrument says of itself (IEEE 488.2, 10.14). Serial and
// firmware are empty if it does not know them, which it says with 0.
type Identity struct{ Maker, Model, Serial, Firmware string }

// String is the identity as people say it: "Plover P60 (serial 4711)".
func (i Identity) String() string {
	name := i.Maker + " " + i.Model
	if i.Serial != "" {
		name += " (serial " + i.Serial + ")"
	}
	return name
}

// maxField is how long a field of an identity may be. The standard has 72
// characters for all four; some say more.
const maxField = 120

// ParseIdentity reads the answer to *IDN?: four fields with commas between
// them, the first two not empty. A fifth and further belong to the firmware.
func ParseIdentity(a Answer) (Identity, error) {
	const help = "an instrument answers *IDN? with maker, model, serial number and firmware"
	fields := strings.SplitN(a.Text, ",", 4)
	if len(fields) < 4 {
		return Identity{}, a.Fault("M203", []string{help, "programs use port 5025 on most instruments; 5024 is for people"},
			"does not say what it is: %s", diag.Quote(a.Text))
	}
	at := 0
	for i, f := range fields {
		plain := strings.TrimSpace(f)
		if !printable(plain) || len(plain) > maxField || plain == "" && i < 2 {
			return Identity{}, a.fault("M203", at, at+len(f), []string{help}, "says something unreadable of what it is: %s", diag.Quote(f))
		}
		at += len(f) + 1
		if i >= 2 && plain == "0" {
			plain = ""
		}
		fields[i] = plain
	}
	return Identity{fields[0], fields[1], fields[2], fields[3]}, nil
}

// Entry is one entry of an error queue. Code 0 is none, those below zero are
// the standard's, those above the maker's own.
type Entry struct {
	Code int
	Text string
}

// String is the entry as the instrument says it: `-113 "Undefined header"`.
func (e Entry) String() string { return fmt.Sprintf("%d %s", e.Code, diag.Quote(e.Text)) }

// NotKnown says that the instrument does not know what it was sent
// (SCPI-1999, volume 2, 21.8.9; value from memory).
func (e Entry) NotKnown() bool { return -199 <= e.Code && e.Code <= -100 }

// interrupted says that the instrument threw an answer away because another
// question came first (-410 to -440, value from memory).
func (e Entry) interrupted() bool { return -440 <= e.Code && e.Code <= -400 }

// ParseEntry reads the answer to SYSTem:ERRor?: -113,"Undefined header". A text
// without quotes is taken too, none is not.
func ParseEntry(a Answer) (Entry, error) {
	number, text, found := strings.Cut(strings.TrimSpace(a.Text), ",")
	code, err := strconv.ParseInt(strings.TrimSpace(number), 10, 32)
	if !found || err != nil {
		return Entry{}, a.badEntry()
	}
	text = strings.TrimSpace(text)
	if strings.HasPrefix(text, `"`) {
		var whole bool
		if text, whole = unquote(text); !whole {
			return Entry{}, a.badEntry()
		}
	}
	if text == "" || !printable(text) {
		return Entry{}, a.badEntry()
	}
	return Entry{int(code), text}, nil
}

func (a Answer) badEntry() error {
	return a.Fault("M204", []string{`an entry is a number and a text: -113,"Undefined header"`},
		"says its errors in a way that cannot be read: %s", diag.Quote(a.Text))
}

// ParseWord reads an answer that is a word or a text in quotes, such as the
// function of a meter: "DIOD", DIOD or "VOLT:DC".
func ParseWord(a Answer) (string, bool) {
	text := strings.TrimSpace(a.Text)
	if strings.HasPrefix(text, `"`) {
		inside, whole := unquote(text)
		return inside, whole && inside != "" && printable(inside)
	}
	return text, text != "" && printable(text) && !strings.ContainsAny(text, `",;#`)
}

// unquote reads a text in double quotes, in which a doubled quote is one (IEEE
// 488.2, 8.7.8). It reports false unless the quotes go round all of it.
func unquote(s string) (string, bool) {
	if len(s) < 2 || s[0] != '"' || s[len(s)-1] != '"' {
		return "", false
	}
	inside := s[1 : len(s)-1]
	halves := strings.ReplaceAll(inside, `""`, "")
	return strings.ReplaceAll(inside, `""`, `"`), !strings.Contains(halves, `"`)
}

// printable says that a text is of printing ASCII characters only.
func printable(s string) bool {
	for i := range len(s) {
		if s[i] < ' ' || s[i] > '~' {
			return false
		}
	}
	return true
}

// Is says whether a word that an instrument says is a keyword, given as SCPI
// writes it, "FRESistance": the capitals or all of it, in any case (SCPI-1999,
// volume 1, 6.2.1; value from memory).
func Is(word, keyword string) bool {
	short := strings.TrimRight(keyword, "abcdefghijklmnopqrstuvwxyz")
	return strings.EqualFold(word, short) || strings.EqualFold(word, keyword)
}
