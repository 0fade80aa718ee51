package query

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"sync/atomic"
	"testing"
	"time"

	"netlore/query/run"
	"netlore/store/board"
)

// stumbling is a source on which something happens when board number at is read.
type stumbling struct {
	source
	at   int
	what func() error
}

func (s *stumbling) Board(ctx context.Context, ref board.Ref) (*board.Board, error) {
	if ref.Name == fmt.Sprintf("B%d", s.at) {
		if err := s.what(); err != nil {
			return nil, err
		}
	}
	return s.source.Board(ctx, ref)
}

// manySmall are boards of which every one has a part of its own.
func manySmall(n int) *stumbling {
	s := &stumbling{at: -1}
	for i := range n {
		s.boards = append(s.boards, small(fmt.Sprintf("B%d", i), "", "C1", fmt.Sprintf("R%d", i)))
	}
	return s
}

func shown(a *run.Answer) []string {
	var rows []string
	for _, r := range a.Rows {
		rows = append(rows, fmt.Sprint(r.Of.Board, r.Cells))
	}
	return rows
}

// What is found before an answer is cut short are the first of its rows, however
// many boards are asked at a time; and the answer says that it is not whole.
func TestEveryBoardCutShort(t *testing.T) {
	const boards, at = 300, 120
	const text = "parts on VMAIN in every board"
	whole, err := Ask(t.Context(), manySmall(boards), Options{}, text)
	if err != nil || len(whole.Rows) != 2*boards || !whole.Complete() {
		t.Fatal(whole, err)
	}
	var late atomic.Bool
	start := time.Now()
	clock := func() time.Time {
		if late.Load() {
			return start.Add(time.Hour)
		}
		return start
	}
	for _, c := range []struct {
		partial string
		end     func(cancel func())
	}{
		{"cancelled", func(cancel func()) { cancel() }},
		{"stopped at the time limit", func(func()) { late.Store(true) }},
	} {
		s := manySmall(boards)
		q, err := Compile(t.Context(), s, Options{}, text)
		if err != nil {
			t.Fatal(err)
		}
		ctx, cancel := context.WithCancel(t.Context())
		s.at, s.what = at, func() error { c.end(cancel); return nil }
		a, err := q.Run(ctx, s, Options{Now: clock})
		cancel()
		if err != nil || a.Complete() || a.Partial != c.partial {
			t.Fatalf("%v: %s, want %s", err, a.Partial, c.partial)
		}
		if got := shown(a); len(got) > 2*boards-2 || !slices.Equal(got, shown(whole)[:len(got)]) {
			t.Errorf("%s: %d rows, which are not the first of %d", c.partial, len(got), len(whole.Rows))
		}
	}
}

// A board that cannot be read ends the question with its error.
func TestEveryBoardThatCannotBeRead(t *testing.T) {
	s := manySmall(300)
	lost := errors.New("lost")
	s.at, s.what = 120, func() error { return lost }
	if _, err := Ask(t.Context(), s, Options{}, "parts on VMAIN in every board"); !errors.Is(err, lost) {
		t.Errorf("got %v, want %v", err, lost)
	}
}

// The rows that a limit leaves are the first of all, whether the boards come in
// that order or not.
func TestEveryBoardLimitKeepsTheFirstRows(t *testing.T) {
	for _, text := range []string{
		"parts on VMAIN in every board",
		"parts on VMAIN in every board by board",
		"parts on VMAIN in every board sorted by name descending",
		"parts on VMAIN in every board by board sorted by name descending",
	} {
		whole, err := Ask(t.Context(), manySmall(200), Options{}, text)
		if err != nil || len(whole.Rows) != 400 {
			t.Fatal(text, whole, err)
		}
		for _, rows := range []int{1, 2, 7, 150, 399, 400, 500} {
			few, err := Ask(t.Context(), manySmall(200), Options{Rows: rows}, text)
			if err != nil {
				t.Fatal(text, err)
			}
			want := whole.Rows[:min(rows, 400)]
			same := func(a, b run.Row) bool { return a.Of.Board == b.Of.Board && a.ID == b.ID }
			if few.Things != 400 || few.Complete() != (rows >= 400) || !slices.EqualFunc(few.Rows, want, same) {
				t.Errorf("%s: of %d rows: %v, want %v", text, rows, few.Rows, want)
			}
		}
	}
}
