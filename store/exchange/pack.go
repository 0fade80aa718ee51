package exchange

import (
	"archive/tar"
	"fmt"
	"io"
)

// A pack is a tar archive of small files, numbered in the order in which they are
// to be read:
//
//	0001.key       what a shop says of its keys, with the signatures
//	0002.manifest  the manifest of a batch
//	0002.sig       the signature on it
//	0002.lore      the sheet with its entries
//	end            how many numbers there were
//
// A batch fits into memory, and a pack need not.
const (
	endMember = "end"
	endFormat = "netlore pack 1\nmembers %d\n"
)

// Writer writes a pack. Somebody must call Close, without which it is not whole.
type Writer struct {
	to      *tar.Writer
	members int
}

// NewWriter begins a pack.
func NewWriter(w io.Writer) *Writer { return &Writer{to: tar.NewWriter(w)} }

// Word adds what a shop says about its keys.
func (w *Writer) Word(word *Word) error {
	w.members++
	return w.member("key", word.Text())
}

// Batch adds a batch.
func (w *Writer) Batch(b *Batch) error {
	w.members++
	for _, m := range []struct {
		ending string
		text   []byte
	}{{"manifest", b.Signed}, {"sig", b.Signature}, {"lore", b.sheet()}} {
		if err := w.member(m.ending, m.text); err != nil {
			return err
		}
	}
	return nil
}

func (w *Writer) member(ending string, text []byte) error {
	return member(w.to, fmt.Sprintf("%04d.%s", w.members, ending), 0o644, text)
}

// Close ends the pack. What it is written to stays open.
func (w *Writer) Close() error {
	if err := member(w.to, endMember, 0o644, fmt.Appendf(nil, endFormat, w.members)); err != nil {
		return err
	}
	return w.to.Close()
}
