package exchange

import (
	"archive/tar"
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"strings"
	"time"

	"netlore/query/diag"
)

// Reader reads a pack, a batch at a time: memory does not grow with the pack.
type Reader struct {
	name    string
	in      *tar.Reader
	now     time.Time
	members int
	header  *tar.Header // read ahead
}

// Item is one thing in a pack: a batch, a statement about keys, or what cannot
// be taken, and why.
type Item struct {
	Batch   *Batch
	Word    *Word
	Refused error // a diag.Diagnostic; the rest of the pack can be read
}

// NewReader reads a pack that messages call name. The time is when it has come
// in, by the clock of this machine. A sheet is an error, for nobody has signed it.
func NewReader(r io.Reader, name string, now time.Time) (*Reader, error) {
	in := bufio.NewReaderSize(r, 64<<10)
	begin, err := in.Peek(512)
	switch {
	case bytes.HasPrefix(begin, []byte("netlore ")):
		return nil, complaint("X209", name, "it is a sheet, and nobody has signed it", "netlore add takes it, on your own word")
	case len(begin) < 512 || !bytes.Equal(begin[257:262], []byte("ustar")):
		if err != nil && !errors.Is(err, io.EOF) {
			return nil, err
		}
		return nil, complaint("X201", name, "it is no pack", "netlore pack makes one")
	}
	return &Reader{name: name, in: tar.NewReader(in), now: now}, nil
}

// Next reads the next thing; io.EOF after the last. Any other error ends the
// pack: it was cut short or is none.
func (r *Reader) Next() (Item, error) {
	header, err := r.next()
	if err != nil {
		return Item{}, err
	}
	if header.Name == endMember {
		return Item{}, r.end()
	}
	number, ending, _ := strings.Cut(header.Name, ".")
	if header.Typeflag != tar.TypeReg || number != fmt.Sprintf("%04d", r.members+1) {
		return Item{}, r.complain("X202", fmt.Sprintf("%s is no file of a pack, or not the next one", diag.Quote(header.Name)))
	}
	r.members++
	switch ending {
	case "key":
		return r.word()
	case "manifest":
		return r.batch(number)
	case "lore":
		_, err := r.text(MostSheet)
		return Item{Refused: r.complain("X209", "a sheet in the pack is not signed")}, err
	}
	return Item{}, r.complain("X202", fmt.Sprintf("%s is no file of a pack", diag.Quote(header.Name)))
}

// next goes to the next file.
func (r *Reader) next() (*tar.Header, error) {
	header, err := r.in.Next()
	if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) || errors.Is(err, tar.ErrHeader) {
		return nil, r.cutShort()
	}
	r.header = header
	return header, err
}

func (r *Reader) cutShort() error {
	return r.complain("X201", fmt.Sprintf("the pack was cut short or damaged after %d of its parts", r.members), "ask for it again")
}

// end checks that nothing is missing before the end.
func (r *Reader) end() error {
	text, err := r.text(maxSignature)
	if err != nil {
		return err
	}
	if string(text) != fmt.Sprintf(endFormat, r.members) {
		return r.cutShort()
	}
	return io.EOF
}

// text reads a file of the pack whole.
func (r *Reader) text(most int64) ([]byte, error) {
	if r.header.Size > most {
		return nil, r.complain("X207", fmt.Sprintf("%s has %d bytes, and may have %d", r.header.Name, r.header.Size, most))
	}
	text := make([]byte, r.header.Size)
	if _, err := io.ReadFull(r.in, text); errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
		return nil, r.cutShort()
	} else if err != nil {
		return nil, err
	}
	return text, nil
}

func (r *Reader) word() (Item, error) {
	text, err := r.text(maxWord)
	if err != nil {
		return Item{}, err
	}
	w, err := ParseWord(text)
	if err != nil {
		return Item{Refused: r.complain("X204", err.Error())}, nil
	}
	return Item{Word: w}, nil
}

func (r *Reader) batch(number string) (Item, error) {
	manifest, err := r.text(maxManifest)
	if err != nil {
		return Item{}, err
	}
	signature, err := r.part(number+".sig", maxSignature)
	if err != nil {
		return Item{}, err
	}
	sheet, err := r.part(number+".lore", MostSheet)
	if err != nil {
		return Item{}, err
	}
	b, err := ReadBatch(manifest, signature, sheet, r.now)
	if err != nil {
		var d diag.Diagnostic
		if errors.As(err, &d) {
			d.File, d.Message = r.name, "part "+number+": "+d.Message
			err = d
		}
		return Item{Refused: err}, nil
	}
	return Item{Batch: b}, nil
}

// part reads the next file of the pack, which must be this one.
func (r *Reader) part(name string, most int64) ([]byte, error) {
	header, err := r.next()
	if err != nil {
		return nil, err
	}
	if header.Name != name || header.Typeflag != tar.TypeReg {
		return nil, r.complain("X202", fmt.Sprintf("%s stands where %s is wanted", diag.Quote(header.Name), name))
	}
	return r.text(most)
}

func (r *Reader) complain(code, message string, help ...string) error {
	return complaint(code, r.name, message, help...)
}
