package cli

import (
	"context"
	"fmt"
	"slices"
	"time"

	"netlore/query"
	"netlore/query/run"
	"netlore/store"
	"netlore/store/board"
	"netlore/store/exchange"
	"netlore/store/sheet"
)

// leastSummed is how many good boards a summary rests on at least.
const leastSummed = 3

// asRead is how a summary says where it comes from.
const asRead = "as good boards read"

// summed puts in the place of readings what they come to: the value that good
// boards read, with its tolerance, where nothing is stated. How many boards and
// readings that rests on is not told: it would tell how much work a shop has.
func (p *packer) summed(ctx context.Context, s store.Subject, content *sheet.Content) (*sheet.Content, error) {
	if content.Knowledge == nil || content.Board == nil {
		return content, nil
	}
	src := saidOnly{s.Ref, content}
	answer, err := query.Expected(ctx, src, query.Options{On: s.Ref.String(), Rows: mostRows, Time: 5 * time.Minute, Now: p.app.Now}, query.Lore{})
	if err != nil {
		return nil, err
	}
	k := *content.Knowledge
	k.Readings, k.Expected = nil, slices.Clone(k.Expected)
	stated := map[string]bool{}
	for i := range k.Expected {
		stated[whereRead(&k.Expected[i])] = true
	}
	for _, row := range answer.Rows {
		if x, ok := summary(answer.Columns, row); ok && !stated[whereRead(&x)] {
			k.Expected = append(k.Expected, x)
		}
	}
	return &sheet.Content{Board: content.Board, Stack: content.Stack, Knowledge: &k}, nil
}

// whereRead is the mode and the place of an expected value, whether the place says
// that it is a pad or net or not.
func whereRead(x *board.Expected) string {
	on := x.On
	on.Kind = board.AnyTarget
	return x.Mode.String() + " " + on.Written()
}

// summary makes an expected value of a row that says what good boards read.
func summary(columns []run.Column, row run.Row) (board.Expected, bool) {
	cell := map[string]string{}
	boards := 0
	for i, c := range columns {
		v := row.Cells[i]
		cell[c.Name] = v.String()
		if q, ok := v.Quantity(); ok {
			cell[c.Name] = q.String()
		}
		if least, _ := v.Bounds(); c.Name == "boards" && !v.Missing() {
			boards = least
		}
	}
	if cell["by"] != "good boards" || boards < leastSummed {
		return board.Expected{}, false
	}
	line := fmt.Sprintf("expect %s %s %s", cell["mode"], cell["place"], cell["expected"])
	if tolerance := cell["tolerance"]; tolerance != "-" && tolerance != "?" && tolerance != "" {
		line += " " + tolerance
	}
	file, _ := sheet.Parse("", []byte("netlore 1\n"+line+" \""+asRead+"\"\n"))
	content, list := sheet.Read(file)
	if list.HasErrors() || content.Knowledge == nil || len(content.Knowledge.Expected) != 1 {
		return board.Expected{}, false
	}
	return content.Knowledge.Expected[0], true
}

// saidOnly is what a base says itself of one board, to be asked questions.
type saidOnly struct {
	ref     board.Ref
	content *sheet.Content
}

func (s saidOnly) Catalogue(context.Context) (*board.Catalogue, error) {
	return &board.Catalogue{Boards: []board.Summary{{Ref: s.ref}}}, nil
}

func (s saidOnly) Board(context.Context, board.Ref) (*board.Board, error) {
	return s.content.Board, nil
}

func (s saidOnly) Knowledge(context.Context, board.Ref) (*board.Knowledge, error) {
	return s.content.Knowledge, nil
}

// withSummaries are the kinds to share when summaries take the place of readings.
func withSummaries(kinds []exchange.Kind) []exchange.Kind {
	kinds = slices.DeleteFunc(slices.Clone(kinds), func(k exchange.Kind) bool { return k == exchange.Readings })
	if !slices.Contains(kinds, exchange.Expected) {
		kinds = append(kinds, exchange.Expected)
	}
	return kinds
}
