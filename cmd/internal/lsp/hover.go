package lsp

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"netlore/cmd/internal/saved"
	"netlore/store"
	"netlore/store/board"
	"netlore/store/sheet"
)

// hover tells what is known of the name at a place, from the sheets and from
// the knowledge base; of a word that starts a statement, what it is for.
func (v *view) hover(p *placeParams) (any, error) {
	d, w, err := v.open(p.Document)
	if err != nil {
		return nil, err
	}
	here, ok := v.at(d, w, p.Position)
	if !ok {
		return v.kindHover(d, p.Position), nil
	}
	own := v.fromSheets(w, here)
	base := v.fromBase(w, here)
	base = slices.DeleteFunc(base, func(line string) bool { return slices.Contains(own, line) })
	if len(base) > 0 {
		own = append(append(own, "In the knowledge base:"), base...)
	}
	return object{"contents": v.markup(own, v.s.client.TextDocument.Hover.ContentFormat), "range": v.location(here).Range}, nil
}

// markup is lines in the form that the client likes. The first is the heading.
func (v *view) markup(lines []string, formats []string) markup {
	if !markdown(formats) {
		return markup{"plaintext", strings.Join(lines, "\n")}
	}
	var s strings.Builder
	for i, line := range lines {
		line = markdownEscaper.Replace(line)
		if i == 0 || strings.HasSuffix(line, ":") {
			line = "**" + line + "**"
		}
		s.WriteString(line + "  \n") // two blanks end a line in Markdown
	}
	return markup{"markdown", strings.TrimSuffix(s.String(), "  \n")}
}

// markdownEscaper keeps names from being read as Markdown: N_CS_ and *.
var markdownEscaper = strings.NewReplacer(`\`, `\\`, "*", `\*`, "_", `\_`, "`", "\\`", "<", "&lt;", "[", `\[`, "#", `\#`, "~", `\~`)

// kindHover tells what the first word of a statement is for.
func (v *view) kindHover(d *document, p position) any {
	if int(p.Line) >= len(d.lines().starts) {
		return nil
	}
	line := d.lines().content(int(p.Line))
	word, _, _ := strings.Cut(line, " ")
	if offsetIn(line, p.Character, v.s.client.encoding) > len(word) {
		return nil
	}
	for _, k := range sheet.Kinds() {
		if k.Word == word {
			lines := append([]string{word + ": " + k.Says}, strings.Split(k.Example, "\n")...)
			return object{"contents": v.markup(lines, v.s.client.TextDocument.Hover.ContentFormat)}
		}
	}
	return nil
}

// fromSheets is what the sheets say of a thing.
func (v *view) fromSheets(w *world, here sighting) []string {
	c := w.scope(here.doc)
	t := here.thing
	if t.sort == sheet.QuestionSort {
		return questionLines(saved.In(w.files()), t.name)
	}
	lines := t.describe(c.meant(here.Role).board())
	for _, u := range w.unions {
		lines = append(lines, t.joined(u.Content().Stack, w.scope(w.doc[u.Files[0]]))...)
	}
	for _, u := range w.unions {
		known := u.Content().Knowledge
		switch {
		case len(lines) > 0:
		case t.sort == sheet.JobSort:
			lines = jobLines(known, t.name)
		case t.sort == sheet.MeterSort:
			lines = meterLines(known, t.name)
		}
		in := w.scope(w.doc[u.Files[0]])
		lines = append(lines, t.knowledge(known, in.meaning())...)
	}
	if len(lines) == 0 {
		lines = []string{t.sort.String() + " " + board.QuoteName(here.Name)}
		if found, err := v.of(w, t); err == nil {
			lines = append(lines, fmt.Sprintf("named %s", count(len(found), "time")))
		}
	}
	return lines
}

// fromBase is what the knowledge base says of a thing on a board. The base is
// opened for this alone.
func (v *view) fromBase(w *world, here sighting) (lines []string) {
	ref := w.scope(here.doc).meant(here.Role).ref
	if here.thing.where == "" || ref.Name == "" {
		return nil
	}
	err := v.withBase(func(base *store.Base) error {
		b, err := boardOf(v.ctx, base, ref)
		if b == nil || err != nil {
			return err
		}
		known, err := base.Knowledge(v.ctx, b.Ref)
		if err != nil {
			return err
		}
		t := here.thing
		t.settle(b)
		lines = append(t.describe(b), t.knowledge(known, meaningOn(b, t.where))...)
		return nil
	})
	if err != nil {
		return []string{"it could not be asked: " + err.Error()}
	}
	return lines
}

// meaningOn is how targets are meant that are all about one board.
func meaningOn(b *board.Board, where string) meaning {
	tell := sheet.TellerOf(func(string) *board.Board { return b })
	c := &scope{known: map[string]meant{"": {where: where}}}
	return func(t board.Target) thing {
		t.Role = ""
		x := c.target(t, tell(t))
		x.settle(b)
		return x
	}
}

// boardOf finds a board in the base: without a revision the newest, nil if
// there is none.
func boardOf(ctx context.Context, base *store.Base, ref board.Ref) (*board.Board, error) {
	subjects, err := base.Subjects()
	if err != nil {
		return nil, err
	}
	for i := len(subjects) - 1; i >= 0; i-- {
		s := subjects[i]
		if !s.Stack && s.Ref.Name == ref.Name && (ref.Revision == "" || s.Ref.Revision == ref.Revision) {
			return base.Board(ctx, s.Ref)
		}
	}
	return nil, nil
}

// withBase opens the base, if there is one, and closes it after use.
func (v *view) withBase(use func(base *store.Base) error) error {
	if v.s.Base == nil {
		return nil
	}
	base, err := v.s.Base(v.ctx)
	if base == nil || err != nil {
		return err
	}
	err = use(base)
	if closing := base.Close(); err == nil {
		err = closing
	}
	return err
}
