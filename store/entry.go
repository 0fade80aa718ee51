package store

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"strconv"
	"strings"
	"time"

	"netlore/store/board"
)

// ID names an entry by its content: the SHA-256 of its canonical text.
type ID [sha256.Size]byte

// String is the id in hexadecimal.
func (id ID) String() string { return hex.EncodeToString(id[:]) }

// Entry is one immutable statement in the knowledge base: who said what, when.
// To correct or withdraw is to add another entry.
type Entry struct {
	Subject    Subject
	Author     string
	Sequence   uint64 // counts the author's entries; gaps are harmless
	Time       time.Time
	Licence    string    // SPDX identifier; empty: not stated
	Source     string    // file and line that it came from: "heron.lore:12"; may be empty
	Supersedes []ID      // entries that this one takes the place of
	Retracts   []ID      // entries that this one withdraws
	Homes      []Subject // of a job's: the boards and stacks in whose sheets it stands
	From       ID        // of what was taken from another shop: the id that it has there
	Text       string    // one canonical sheet block; empty for a mere withdrawal
}

// canonical is the text that is hashed and stored.
//
//	entry 1
//	of board Heron-A rev 3
//	by bench-1
//	number 42
//	time 2026-03-16T09:00:00Z
//	source "heron.lore:12"
//
//	net VMAIN power 3.8V
//	  C1201 1
func (e *Entry) canonical() []byte {
	s := make([]byte, 0, 160+len(e.Text)+80*(len(e.Supersedes)+len(e.Retracts)))
	s = append(s, "entry 1\nof "...)
	s = append(s, e.Subject.String()...)
	s = append(s, "\nby "...)
	s = append(s, board.QuoteName(e.Author)...)
	s = append(s, "\nnumber "...)
	s = strconv.AppendUint(s, e.Sequence, 10)
	s = append(s, "\ntime "...)
	s = e.Time.UTC().AppendFormat(s, time.RFC3339)
	s = append(s, '\n')
	if e.Licence != "" {
		s = append(s, "licence "+board.QuoteName(e.Licence)+"\n"...)
	}
	if e.Source != "" {
		s = append(s, "source "+board.QuoteName(e.Source)+"\n"...)
	}
	for _, home := range e.Homes {
		s = append(s, "on "+home.String()+"\n"...)
	}
	if e.From != (ID{}) {
		s = append(s, "from "+e.From.String()+"\n"...)
	}
	for _, id := range e.Supersedes {
		s = append(s, "supersedes "+id.String()+"\n"...)
	}
	for _, id := range e.Retracts {
		s = append(s, "retracts "+id.String()+"\n"...)
	}
	s = append(s, '\n')
	return append(s, e.Text...)
}

// held is an entry as it lies in the base.
type held struct {
	id         ID
	batch      batchID
	author     string
	when       string
	source     string
	licence    string
	homes      []string // "stack Heron"
	from       ID       // of what was taken from another shop
	supersedes []ID
	retracts   []ID
	text       string
}

// parseHeld reads what the base needs of a stored entry.
func parseHeld(stored []byte) (held, error) {
	h := held{}
	if len(stored) < len(h.id) {
		return h, errDamaged("an entry of %d bytes", len(stored))
	}
	copy(h.id[:], stored)
	head, text, ok := strings.Cut(string(stored[len(h.id):]), "\n\n")
	if !ok || !strings.HasPrefix(head, "entry 1\n") {
		return h, errDamaged("entry %s has no head", h.id)
	}
	h.text = text
	for line := range strings.SplitSeq(head, "\n") {
		if err := h.line(line); err != nil {
			return h, errDamaged("entry %s: %v", h.id, err)
		}
	}
	return h, nil
}

// line reads one line of the head. Those that only people read are passed
// over, as are those of a later program.
func (h *held) line(line string) error {
	word, rest, _ := strings.Cut(line, " ")
	var err error
	switch word {
	case "by":
		h.author = board.PlainName(rest)
	case "time":
		h.when = rest
	case "source":
		h.source = board.PlainName(rest)
	case "licence":
		h.licence = board.PlainName(rest)
	case "on":
		h.homes = append(h.homes, rest)
	case "from":
		h.from, err = parseID(rest)
	case "supersedes":
		h.supersedes, err = appendID(h.supersedes, rest)
	case "retracts":
		h.retracts, err = appendID(h.retracts, rest)
	}
	return err
}

// time is when the entry was made.
func (h *held) time() time.Time {
	t, _ := time.Parse(time.RFC3339, h.when) // the program has written it
	return t
}

func appendID(all []ID, s string) ([]ID, error) {
	id, err := parseID(s)
	if err != nil {
		return all, err
	}
	return append(all, id), nil
}

// parseID reads the id of an entry.
func parseID(s string) (id ID, err error) {
	if hex.DecodedLen(len(s)) != len(id) {
		return ID{}, fmt.Errorf("an id has %d letters, want %d", len(s), hex.EncodedLen(len(id)))
	}
	if _, err := hex.Decode(id[:], []byte(s)); err != nil {
		return ID{}, fmt.Errorf("%q is no id of an entry", s)
	}
	return id, nil
}

// stored is the value under which an entry is kept: its id, then its text.
func (e *Entry) stored() (ID, []byte) {
	text := e.canonical()
	id := ID(sha256.Sum256(text))
	return id, append(id[:], text...)
}

// verify reports whether a stored entry is what its id says.
func verify(stored []byte) error {
	h, err := parseHeld(stored)
	if err != nil {
		return err
	}
	if sha256.Sum256(stored[len(h.id):]) != h.id {
		return errDamaged("entry %s is not what was written", h.id)
	}
	return nil
}
