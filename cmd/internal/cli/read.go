package cli

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os"

	"netlore/store/sheet"
)

// read reads a whole source. A file that is too large for a sheet is not even
// opened.
func (a *app) read(ctx context.Context, s source) ([]byte, error) {
	if s.Path == stdin {
		return everything(a.In, s)
	}
	if s.regular && s.size > sheet.MaxFile {
		return nil, hint(fmt.Errorf("%s has %s; a sheet has %s at most", s.Name, megabytes(s.size), megabytes(sheet.MaxFile)),
			"split it: sheets about one board add up")
	}
	file, err := open(ctx, s)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	return everything(file, s)
}

// open opens a file for reading. To open a named pipe takes until somebody
// writes to it, and to read from it until something is written, which may be
// never: neither must keep an interrupted command alive.
func open(ctx context.Context, s source) (io.ReadCloser, error) {
	if s.regular {
		file, err := os.Open(s.Path)
		if err != nil {
			return nil, fileError(s.Path, err)
		}
		return file, nil
	}
	type opened struct {
		file *os.File
		err  error
	}
	done := make(chan opened, 1)
	go func() {
		file, err := os.Open(s.Path)
		done <- opened{file, err}
	}()
	select {
	case <-ctx.Done():
		return nil, ctx.Err()
	case o := <-done:
		if o.err != nil {
			return nil, fileError(s.Path, o.err)
		}
		return io.NopCloser(&stoppable{ctx: ctx, in: o.file}), nil
	}
}

// maxStream is how much is read of what is no file: that must be kept whole,
// for it can be read only once.
const maxStream = 64 << 20

// everything reads a whole file or stream.
func everything(in io.Reader, s source) ([]byte, error) {
	limit := int64(maxStream)
	if s.regular {
		limit = sheet.MaxFile
	}
	pieces, n := [][]byte(nil), int64(0)
	for size := min(s.size, limit) + bytes.MinRead; n <= limit; size = pieceSize {
		piece := make([]byte, min(size, limit+1-n))
		got, err := io.ReadFull(in, piece)
		pieces, n = append(pieces, piece[:got]), n+int64(got)
		if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
			return joined(pieces), nil
		}
		if err != nil {
			return nil, fileError(s.Name, err)
		}
	}
	return nil, hint(fmt.Errorf("%s has more than %s", s.Name, megabytes(limit)), "save it as a file and name that: a file may be larger")
}

// pieceSize is how much of a stream is read at a time: a buffer that grows would
// hold several times what there is.
const pieceSize = 1 << 20

// joined is all pieces in one, which of a file there mostly is.
func joined(pieces [][]byte) []byte {
	if len(pieces) == 1 {
		return pieces[0]
	}
	return bytes.Join(pieces, nil)
}

// megabytes is a size, rounded up.
func megabytes(n int64) string { return fmt.Sprintf("%d MiB", (n+1<<20-1)>>20) }
