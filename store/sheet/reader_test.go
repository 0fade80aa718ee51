package sheet_test

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"time"

	"golang.org/x/text/unicode/norm"

	"netlore/store/board"
)

// A second, tiny reader of sheets, written from SHEET.md alone. It believes
// what it reads, so it is for sheets without mistakes only; on these it must
// find the same facts as the package.

// tinyWords are the words that stand before a value, for each kind of line,
// and what follows: n a name, N names, t a target, T targets, p places, q a
// quantity, l a length, L one whose half is whole, d a time, a an angle, w a plain word, f nothing. After
// a colon is what the facts call it.
var tinyWords = map[string]string{
	"board": "rev=n layers=w size=w", "role": "rev=n",
	"outline": "box=p:corners circle=p:corners round=L polygon=p:corners",
	"cover":   "box=p:corners round=L at=p:corners polygon=p:corners over=N lift=n risk=w",
	"part":    "value=w package=n at=p turned=a for=N unfitted=f", "pin": "at=p round=l turned=a",
	"net": "also=N for=N", "pad": "on=n:net at=p round=l turned=a in=n", "branch": "on=n:net for=N", "join": "in=n",
	"via":  "on=n:net at=p drill=l round=l turned=a layers=w mask=w",
	"hole": "at=p drill=l plated=f", "track": "on=n:net layer=w pen=-: round=l turned=a path=p",
	"expect":  "by=n when=d",
	"reading": "to=t red-on-ground=f black-on-ground=f good=f meter=n state=N job=n specimen=n by=n when=d",
	"note":    "on=T tagged=N by=n when=d", "continuity": "by=n when=d",
	"job":    "of=n supply=q limit=q draw=q opened=d closed=d culprit=T outcome=n remark=n by=n",
	"chance": "often=q short=q part=q bridge=q zone=q several=q else=q second=q miss=q alarm=q by=n when=d",
	"meter":  "test=q open=q shows=w leads=q red-on-ground=f black-on-ground=f address=n by=n when=d",
	"step":   "to=t nothing=f red-on-ground=f black-on-ground=-: meter=n by=n when=d",
}

// What values look like that stand without a word.
var (
	tinyKind      = regexp.MustCompile(`^(ground|power|signal|shield|connector|reader|sticker|underfill|foil|holder|module)$`)
	tinySide      = regexp.MustCompile(`^(top|bottom|through)$`)
	tinyOutcome   = regexp.MustCompile(`^(open|rings|silent|hot|cold)$`)
	tinyTolerance = regexp.MustCompile(`^±|%$|^[+-].*[+-]`)
	tinySize      = regexp.MustCompile(`^([\d.]+)(?:mm)?x([\d.]+)mm$`)
	tinyUnits     = map[board.Unit]string{board.Volt: "volts", board.Ampere: "amps", board.Second: "minutes"}
	tinyModes     = map[string]board.Unit{"diode": board.Volt, "volts": board.Volt, "ohms": board.Ohm,
		"continuity": board.Ohm, "amps": board.Ampere, "heat": board.Celsius}
)

// tinyWord is a word, a comma, or blanks.
var tinyWord = regexp.MustCompile(`^(?:[ \t]+|,|(?:"(?:[^"\\]|\\.)*"|[^ \t",])+)`)

func tinySplit(line string) (words []string) {
	for gap := true; line != "" && !(gap && line[0] == '#'); {
		w := tinyWord.FindString(line)
		if gap = strings.Trim(w, " \t") == ""; !gap {
			words = append(words, w)
		}
		line = line[len(w):]
	}
	return words
}

type tiny struct {
	facts
	words []string
	kind  string // of the statement
	thing string // what it is about
	mode  string // of a reading
	attrs said   // of the line
}

func tinyRead(src string) facts {
	t := tiny{facts: facts{}}
	for line := range strings.Lines(strings.TrimPrefix(src, "\ufeff")) {
		line = strings.TrimRight(line, "\r\n")
		if t.words = tinySplit(line); len(t.words) == 0 || t.words[0] == "netlore" {
			continue
		}
		t.mode, t.attrs = "", said{}
		if line[0] == ' ' || line[0] == '\t' {
			t.member()
		} else {
			t.statement()
		}
	}
	t.settle()
	return t.facts
}

func (t *tiny) take() string {
	w := t.words[0]
	t.words = t.words[1:]
	return w
}

func (t *tiny) next() string { return strings.Join(t.words[:min(1, len(t.words))], "") }

// name takes a name, or what stands in quotation marks.
func (t *tiny) name() string { return tinyPlain(t.take()) }

func tinyPlain(w string) string {
	if strings.HasPrefix(w, `"`) {
		w = strings.NewReplacer(`\\`, `\`, `\"`, `"`).Replace(w[1 : len(w)-1])
	}
	return norm.NFC.String(w)
}

// spread takes a name, or the names of a range.
func (t *tiny) spread() []string {
	if w := t.next(); w[0] != '"' && strings.Contains(w, "..") {
		names, _, _ := board.ExpandRange(norm.NFC.String(t.take()))
		return names
	}
	return []string{t.name()}
}

// list takes values with commas between them.
func (t *tiny) list(one func() []string) []string {
	all := one()
	for t.next() == "," {
		t.take()
		all = append(all, one()...)
	}
	return all
}

// target takes [KIND] [ROLE:]NAME[.PIN].
func (t *tiny) target() (all []string) {
	kind, role, pin := "", "", ""
	if _, ok := board.TargetKindByWord(t.next()); ok {
		kind = t.take() + " "
	}
	w := t.take()
	if i := strings.IndexByte(w, ':'); i > 0 && strings.Count(w[:i], `"`)%2 == 0 {
		role, w = tinyPlain(w[:i])+":", w[i+1:]
	}
	if i := strings.LastIndex(w, `".`); w[0] == '"' && i > 0 {
		w, pin = w[:i+1], "."+tinyPlain(w[i+2:])
	} else if i := strings.Index(w, `."`); w[0] != '"' && i > 0 {
		w, pin = w[:i], "."+tinyPlain(w[i+1:])
	}
	if pin != "" {
		kind = "pin "
	}
	t.words = append([]string{w}, t.words...)
	for _, name := range t.spread() {
		all = append(all, kind+role+name+pin)
	}
	return all
}

func tinyMillis(s string) int32 {
	n, _ := strconv.ParseFloat(s, 64)
	return int32(math.Round(n * 1000))
}

func (t *tiny) point() board.Point {
	x := tinyMillis(strings.TrimSuffix(t.take(), "mm"))
	t.take()
	return board.Point{X: x, Y: tinyMillis(strings.TrimSuffix(t.take(), "mm"))}
}

func (t *tiny) places(word string) string {
	all := []board.Point{t.point()}
	for len(t.words) > 1 && t.words[1] == "," {
		all = append(all, t.point())
	}
	if word == "box" {
		all = board.Box(all[0], all[1]).Points
	}
	return points(all)
}

func tinyTime(s string) string {
	for _, layout := range []string{time.DateOnly, "2006-01-02T15:04Z07:00", time.RFC3339} {
		if at, err := time.Parse(layout, s); err == nil {
			return when(at)
		}
	}
	return s + "?"
}

// value takes what follows a word.
func (t *tiny) value(word string, what byte) []string {
	switch what {
	case 'f':
		return []string{"yes"}
	case 'n':
		return []string{t.name()}
	case 'N':
		return t.list(func() []string { return []string{t.name()} })
	case 't':
		return t.target()
	case 'T':
		return t.list(t.target)
	case 'p':
		return []string{t.places(word)}
	case 'd':
		return []string{tinyTime(t.take())}
	case 'a':
		turn := tinyMillis(strings.TrimSuffix(strings.TrimSuffix(t.take(), "deg"), "°")) % 360000
		return []string{number((turn + 360000) % 360000)}
	case 'l', 'L':
		q, _ := board.ParseQuantity(t.take(), board.Metre)
		um, _ := board.Micrometres(q)
		if what == 'L' {
			um += um % 2
		}
		return []string{number(um)}
	case 'q':
		q, _ := board.ParseQuantity(t.take(), board.NoUnit)
		return []string{q.String()}
	}
	return []string{tinySized(t.take())}
}

// tinySized gives a size in micrometres, and anything else as it is.
func tinySized(w string) string {
	if m := tinySize.FindStringSubmatch(w); m != nil {
		return size(tinyMillis(m[1]), tinyMillis(m[2]))
	}
	return w
}

// attributes reads the rest of a line.
func (t *tiny) attributes(kind string) said {
	for len(t.words) > 0 {
		w := t.next()
		if i := strings.Index(" "+tinyWords[kind], " "+w+"="); i >= 0 {
			what, _, _ := strings.Cut(tinyWords[kind][i+len(w)+1:], " ")
			t.take()
			name := w
			if _, other, ok := strings.Cut(what, ":"); ok {
				name = other
			}
			if what[0] != '-' {
				t.attrs[name] = append(t.attrs[name], t.value(w, what[0])...)
			}
			continue
		}
		name, value := t.look(kind, t.take())
		if name == "parameters" {
			value = strings.TrimSpace(strings.Join(t.attrs[name], "") + " " + value)
		}
		t.attrs[name] = []string{value}
	}
	return t.attrs
}

// look tells a value by its look.
func (t *tiny) look(kind, w string) (name, value string) {
	_, isClass := board.ClassByWord(w)
	switch {
	case w[0] == '"':
		return "text", tinyPlain(w)
	case kind == "question":
		return "parameters", w[1:]
	case kind == "part" && isClass:
		return "class", w
	case tinySide.MatchString(w):
		return "side", w
	case tinyKind.MatchString(w):
		return "kind", w
	case tinyOutcome.MatchString(w):
		return "value", w
	case tinyTolerance.MatchString(w):
		within, err := board.ParseTolerance(w)
		if err != nil {
			within, _ = board.ParseTolerance("±" + w)
		}
		return "tolerance", within.String()
	case kind == "part" && board.ChipCode(w):
		return "package", w
	case tinySize.MatchString(w):
		return "size", tinySized(w)
	}
	if t.mode != "" {
		q, _ := board.ParseQuantity(w, tinyModes[t.mode])
		return "value", q.String()
	}
	q, err := board.ParseQuantity(w, board.NoUnit)
	if name = tinyUnits[q.Unit]; err == nil && name != "" {
		return name, q.String()
	}
	return "value", w // the class is known at the end of the line
}

// lead takes mode and target.
func (t *tiny) lead() {
	t.mode = t.take()
	t.attrs["mode"], t.attrs["on"] = []string{t.mode}, t.target()
}
