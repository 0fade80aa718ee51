package lsp

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"
	"sync"

	"netlore/query/diag"
)

// Bounds of what is read. A message is as large as a document may be that is
// opened in an editor; a larger one is passed over and answered with an error.
const (
	maxMessage    = 64 << 20
	maxHeader     = 4 << 10 // bytes of one header line
	maxHeaderRows = 32
)

// errFrame says that what comes in is not divided into messages as the
// protocol wants it. Where the next message starts is then not known.
var errFrame = errors.New("the input is not a stream of messages with a Content-Length header each")

// errCut says that the last message is not whole.
var errCut = errors.New("the input ends in the middle of a message")

// errTooLarge says that a message was passed over.
var errTooLarge = fmt.Errorf("the message is larger than %d MiB", maxMessage>>20)

// A frameReader reads messages, each with its header (section Base Protocol).
type frameReader struct{ in *bufio.Reader }

func newFrameReader(in io.Reader) *frameReader {
	return &frameReader{bufio.NewReaderSize(in, maxHeader)}
}

// next returns the content of the next message. Errors: io.EOF at the end of
// the input, errTooLarge, after which it can go on, and errFrame, after which
// it cannot.
func (r *frameReader) next() ([]byte, error) {
	length, err := r.header()
	if err != nil {
		return nil, err
	}
	if length > maxMessage {
		if _, err := io.CopyN(io.Discard, r.in, length); err != nil {
			return nil, inside(err)
		}
		return nil, errTooLarge
	}
	var body bytes.Buffer // grows with what comes, not with what is announced
	if _, err := io.CopyN(&body, r.in, length); err != nil {
		return nil, inside(err)
	}
	return body.Bytes(), nil
}

// inside is the error when the input ends in the middle of a message.
func inside(err error) error {
	if err == io.EOF {
		return errCut
	}
	return err
}

// header reads header lines up to the empty one, and returns the length that
// they announce.
func (r *frameReader) header() (length int64, err error) {
	length = -1
	for rows := range maxHeaderRows {
		line, err := r.in.ReadSlice('\n')
		if err != nil {
			return 0, headerError(err, rows+len(line))
		}
		text := strings.TrimRight(string(line), "\r\n")
		if text == "" {
			if length < 0 {
				return 0, fmt.Errorf("%w: Content-Length is missing", errFrame)
			}
			return length, nil
		}
		name, value, ok := strings.Cut(text, ":")
		if !ok {
			return 0, fmt.Errorf("%w: %s", errFrame, diag.Quote(text))
		}
		if strings.EqualFold(strings.TrimSpace(name), "Content-Length") {
			if length, err = strconv.ParseInt(strings.TrimSpace(value), 10, 63); err != nil || length < 0 {
				return 0, fmt.Errorf("%w: %s", errFrame, diag.Quote(text))
			}
		}
	}
	return 0, fmt.Errorf("%w: more than %d header lines", errFrame, maxHeaderRows)
}

// headerError is the error when a header ends early: after none of it, that is
// the end of the input.
func headerError(err error, read int) error {
	switch {
	case err == bufio.ErrBufferFull:
		return fmt.Errorf("%w: a header line of more than %d bytes", errFrame, maxHeader)
	case err == io.EOF && read > 0:
		return errCut
	}
	return err
}

// A frameWriter writes messages. It can be used by many goroutines.
type frameWriter struct {
	mu  sync.Mutex
	out io.Writer
	err error // the first; nothing is written after it
}

func (w *frameWriter) write(body []byte) error {
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.err == nil {
		frame := append(fmt.Appendf(nil, "Content-Length: %d\r\n\r\n", len(body)), body...)
		_, w.err = w.out.Write(frame)
	}
	return w.err
}
