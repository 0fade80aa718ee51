package cli

import (
	"context"
	"io"
	"strings"

	"netlore/cmd/internal/render"
)

// talk answers a person at a terminal, who sees what failed and asks again.
func (a *app) talk(ctx context.Context, opt askOptions, style render.Style, in io.Reader) error {
	a.print("One question a line; help lists the words, quit or ^D ends.\n")
	text := questionLines(in)
	for a.print(prompt) == nil && text.Scan() {
		question := strings.TrimSpace(text.Text())
		switch question {
		case "":
			continue
		case "help", "?":
			a.print(wordsText())
			continue
		case "quit", "exit":
			return nil
		}
		if err := a.question(ctx, opt, style, question); err != nil {
			a.finish(err)
		}
	}
	if err := readingError(text.Err(), opt); err != nil {
		return err
	}
	return a.print("\n")
}

const prompt = "ask> "
