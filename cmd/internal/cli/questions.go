package cli

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"

	"netlore/cmd/internal/render"
	"netlore/query/diag"
	"netlore/store"
)

// questions answers questions from a file or standard input, one a line. All
// are asked; the exit code is that of the first that failed.
func (a *app) questions(ctx context.Context, opt askOptions, style render.Style) error {
	if err := a.reading(ctx, func(*store.Base) error { return nil }); err != nil {
		return err
	}
	in, err := a.questionSource(ctx, opt.file)
	if err != nil {
		return err
	}
	defer in.Close()
	text := questionLines(in)
	first := a.eachQuestion(ctx, opt, style, text)
	if err := readingError(text.Err(), opt); err != nil {
		first = a.told(first, err)
	}
	if err := ctx.Err(); err != nil && first == nil {
		return err
	}
	return first
}

// eachQuestion asks the questions of a file, with an empty line between two
// answers, and returns the first error.
func (a *app) eachQuestion(ctx context.Context, opt askOptions, style render.Style, text *bufio.Scanner) (first error) {
	asked := 0
	for line := 1; text.Scan() && ctx.Err() == nil; line++ {
		question := strings.TrimSpace(text.Text())
		if question == "" || question[0] == '#' {
			continue
		}
		if asked++; asked > 1 && style.Format != render.JSON {
			a.print("\n")
		}
		if err := a.question(ctx, opt, style, question); err != nil {
			first = a.told(first, inFile(err, opt.file, line, strings.Index(text.Text(), question)))
		}
	}
	return first
}

// inFile says where in a file the question stands that is complained of: its
// line, and the bytes before it.
func inFile(err error, file string, line, indent int) error {
	var list diag.List
	if !errors.As(err, &list) {
		return err
	}
	if file == "" || file == stdin {
		file = "standard input"
	}
	place := func(at *string, number, column, before *int, excerpt *string) {
		switch {
		case *at != "": // it is in a saved question
			return
		case *number > 0 && *before > 0:
			*number, *column, *before = line, *column+indent, *before+indent
		case *number > 0:
			*number, *column, *excerpt = line, *column+indent, strings.Repeat(" ", indent)+*excerpt
		}
		*at = file
	}
	for i := range list {
		d := &list[i]
		place(&d.File, &d.Line, &d.Column, &d.Before, &d.Excerpt)
		for k := range d.Related {
			r := &d.Related[k]
			place(&r.File, &r.Line, &r.Column, &r.Before, &r.Excerpt)
		}
	}
	return list
}

// questionLines cuts input into lines. Of one that is much too long for a
// question there is the start, which is enough to say so.
func questionLines(in io.Reader) *bufio.Scanner {
	const most = 64 << 10
	text := bufio.NewScanner(in)
	text.Buffer(make([]byte, 0, 4096), 2*most)
	rest := false // of a long line comes next
	text.Split(func(data []byte, atEnd bool) (int, []byte, error) {
		n, line, err := bufio.ScanLines(data, atEnd)
		switch long := n == 0 && len(data) >= most; {
		case long && !rest:
			rest = true
			return len(data), data, nil
		case long:
			return len(data), nil, nil
		case rest && n > 0:
			rest = false
			return n, nil, nil
		}
		return n, line, err
	})
	return text
}

// told tells the user about err. What it returns is the first error of a run,
// told already.
func (a *app) told(first, err error) error {
	if code := a.finish(err); first == nil {
		return fail(code, nil)
	}
	return first
}

func readingError(err error, opt askOptions) error {
	switch {
	case err == nil, errors.Is(err, context.Canceled):
		return err
	case opt.file == "" || opt.file == stdin:
		return fail(exitInput, fmt.Errorf("standard input cannot be read: %w; later questions were not asked", reason(err)))
	}
	return fail(exitInput, fileError(opt.file, err))
}

// question answers one question. The base is open no longer than that takes:
// whoever types, or the program that writes the questions, may take hours.
func (a *app) question(ctx context.Context, opt askOptions, style render.Style, question string) error {
	return a.reading(ctx, func(base *store.Base) error { return a.answer(ctx, base, opt, style, question) })
}

func (a *app) questionSource(ctx context.Context, file string) (io.ReadCloser, error) {
	if file == "" || file == stdin {
		return io.NopCloser(a.In), nil
	}
	info, err := os.Stat(file)
	if err != nil {
		return nil, fail(exitInput, fileError(file, err))
	}
	if info.IsDir() {
		return nil, fail(exitInput, fmt.Errorf("%s is a folder; -f takes a file of questions, one a line", file))
	}
	in, err := open(ctx, sourceOf(file, info))
	if err != nil {
		return nil, unreadable(err)
	}
	return in, nil
}
