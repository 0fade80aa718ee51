package exchange

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"time"

	"netlore/query/diag"
	"netlore/store/board"
)

// Limits of a batch. A batch is small enough to be held as a whole, and to travel
// as one message.
const (
	MostEntries = 2048      // listed by one manifest
	MostSheet   = 320 << 10 // bytes of its sheet
	maxManifest = 160 << 10
)

// Manifest says what a batch holds: the ids of its entries. It is what is signed:
//
//	netlore batch 1
//	of board Heron-A rev 3
//	by dpty-ke51-qb71-sqct-fhnd
//	licence CC0-1.0
//	time 2026-03-16T09:00:00Z
//	sheet 5bd1…
//	entry 9f3c…
//	retract 77aa…
//
// The sheet is the hash of the sheet with all entries, so that a batch that is
// whole can be checked with sha256sum.
type Manifest struct {
	About

	Time     time.Time // as the shop says
	Sheet    [sha256.Size]byte
	Entries  []ID // in the order of the sheet
	Retracts []ID // entries of the shop that it no longer stands for
}

const manifestHead = "netlore batch 1\n"

// text is what is signed.
func (m *Manifest) text() []byte {
	s := make([]byte, 0, 512+72*(len(m.Entries)+len(m.Retracts)))
	s = fmt.Appendf(s, "%sof %s\nby %s\n", manifestHead, m.Of, m.By)
	if m.Licence != "" {
		s = fmt.Appendf(s, "licence %s\n", board.QuoteName(m.Licence))
	}
	if m.Origin != "" {
		s = fmt.Appendf(s, "origin %s\n", board.QuoteName(m.Origin))
	}
	if m.Again > 0 {
		s = fmt.Appendf(s, "again %d\n", m.Again)
	}
	s = fmt.Appendf(s, "time %s\n", m.Time.UTC().Format(time.RFC3339))
	if len(m.Entries) > 0 {
		s = fmt.Appendf(s, "sheet %x\n", m.Sheet)
	}
	for _, list := range []struct {
		word string
		ids  []ID
	}{{"entry ", m.Entries}, {"retract ", m.Retracts}} {
		for _, id := range list.ids {
			s = append(hex.AppendEncode(append(s, list.word...), id[:]), '\n')
		}
	}
	return s
}

// parseManifest reads a manifest. It must be what we would write, so that nothing
// can be said in two ways.
func parseManifest(text []byte) (*Manifest, error) {
	m := &Manifest{}
	rest, ok := strings.CutPrefix(string(text), manifestHead)
	if !ok {
		return nil, errors.New("the manifest does not begin with \"netlore batch 1\"")
	}
	for line := range strings.Lines(rest) {
		word, value, _ := strings.Cut(strings.TrimSuffix(line, "\n"), " ")
		if err := m.line(word, value); err != nil {
			return nil, err
		}
	}
	switch {
	case !bytes.Equal(m.text(), text):
		return nil, errors.New("the manifest is not in the form in which it is signed")
	case len(m.Entries)+len(m.Retracts) > MostEntries:
		return nil, fmt.Errorf("the manifest lists more than %d entries", MostEntries)
	case m.Of == "" || m.By == "":
		return nil, errors.New("the manifest does not say what it is about, or who says so")
	}
	return m, nil
}

func (m *Manifest) line(word, value string) (err error) {
	switch word {
	case "of":
		m.Of = value
	case "by":
		m.By = value
	case "licence":
		m.Licence = board.PlainName(value)
	case "origin":
		m.Origin = board.PlainName(value)
	case "again":
		m.Again, err = strconv.Atoi(value)
	case "time":
		m.Time, err = time.Parse(time.RFC3339, value)
	case "sheet":
		m.Sheet, err = parseID(value)
	case "entry":
		m.Entries, err = appendID(m.Entries, value)
	case "retract":
		m.Retracts, err = appendID(m.Retracts, value)
	default:
		err = fmt.Errorf("%s is not said in a manifest", diag.Quote(word))
	}
	return err
}

func appendID(all []ID, s string) ([]ID, error) {
	id, err := parseID(s)
	return append(all, id), err
}

func parseID(s string) (id ID, err error) {
	if hex.DecodedLen(len(s)) != len(id) {
		return id, fmt.Errorf("an id has %d letters, want %d", len(s), hex.EncodedLen(len(id)))
	}
	if _, err := hex.Decode(id[:], []byte(s)); err != nil {
		return id, fmt.Errorf("%s is no id of an entry", diag.Quote(s))
	}
	return id, nil
}
