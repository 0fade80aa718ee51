package record

import (
	"bufio"
	"bytes"
	"errors"
	"io"
)

// MaxLine is the most bytes of one line that are kept. What follows up to the
// line end is skipped, and the line is marked as cut.
const MaxLine = 64 << 10

// LineReader reads lines of any length with bounded memory. Lines end in LF,
// CRLF or a lone CR (old exporters); the end is not part of the line.
type LineReader struct {
	in     *bufio.Reader
	number int
	line   []byte
	rest   []byte // after a lone CR, more lines of the same read
	long   []byte // only for a line that does not fit the buffer
	cut    bool
	err    error
}

// NewLineReader starts reading in.
func NewLineReader(in io.Reader) *LineReader {
	return &LineReader{in: bufio.NewReaderSize(in, MaxLine)}
}

// Next goes to the next line and reports whether there is one.
func (l *LineReader) Next() bool {
	if l.rest != nil {
		l.split(l.rest)
		return true
	}
	if l.err != nil {
		return false
	}
	l.cut = false
	line, err := l.in.ReadSlice('\n')
	if errors.Is(err, bufio.ErrBufferFull) {
		line, err = l.skipRest(line)
	}
	l.err = err
	if len(line) == 0 && err != nil {
		return false
	}
	l.split(trimEnd(line))
	return true
}

// skipRest keeps the part of the line that was read and drops the others.
func (l *LineReader) skipRest(head []byte) ([]byte, error) {
	l.cut = true
	l.long = append(l.long[:0], head...)
	for {
		_, err := l.in.ReadSlice('\n')
		if !errors.Is(err, bufio.ErrBufferFull) {
			return l.long, err
		}
	}
}

// split makes the bytes up to a lone CR the line, and keeps the others.
func (l *LineReader) split(text []byte) {
	l.number++
	l.line, l.rest = text, nil
	if i := bytes.IndexByte(text, '\r'); i >= 0 {
		l.line, l.rest = text[:i], text[i+1:]
	}
}

func trimEnd(line []byte) []byte {
	if n := len(line); n > 0 && line[n-1] == '\n' {
		line = line[:n-1]
	}
	if n := len(line); n > 0 && line[n-1] == '\r' {
		line = line[:n-1]
	}
	return line
}

// Line is the current line, valid until the next call of Next.
func (l *LineReader) Line() []byte { return l.line }

// Number is the 1-based number of the current line.
func (l *LineReader) Number() int { return l.number }

// Cut reports whether the current line was longer than MaxLine.
func (l *LineReader) Cut() bool { return l.cut }

// Err is the error that ended the reading, nil at the end of the file.
func (l *LineReader) Err() error {
	if errors.Is(l.err, io.EOF) {
		return nil
	}
	return l.err
}
