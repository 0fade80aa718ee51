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

// Rows that are handed over as they are found are those that an answer kept whole
// would have, under every limit, and the answer counts them.
func TestEveryBoardHandedOver(t *testing.T) {
	for _, text := range []string{
		"parts on VMAIN in every board",
		"parts on VMAIN in every board first 150",
		"possibly parts on VMAIN with value at least 10uF in every board",
		"parts on VMAIN in every board show name, board",
		"parts on VMAIN in every board by board",
		"parts on VMAIN in every board sorted by name descending",
		"count parts on VMAIN in every board by class",
		"parts on VMAIN in B7",
	} {
		for _, rows := range []int{0, 1, 7, 399, 400, 500} {
			whole, err := Ask(t.Context(), manySmall(200), Options{Rows: rows, Now: noon}, text)
			if err != nil {
				t.Fatal(text, err)
			}
			var got []string
			calls := 0
			each := func(columns []run.Column, rows []run.Row) error {
				if calls++; len(rows) > 2 {
					t.Errorf("%s: %d rows at once, of boards that have two", text, len(rows))
				}
				for _, r := range rows {
					got = append(got, fmt.Sprint(r.Of.Board, r.ID, r.Why, columns, r.Cells))
				}
				return nil
			}
			a, err := Ask(t.Context(), manySmall(200), Options{Rows: rows, Each: each, Now: noon}, text)
			if err != nil {
				t.Fatal(text, err)
			}
			if a.Handed != len(got) || a.Footer(false) != whole.Footer(false) || a.Limit != whole.Limit {
				t.Errorf("%s: %d of %d handed over: %s, want %s", text, a.Handed, len(got), a.Footer(false), whole.Footer(false))
			}
			if calls > 0 && len(a.Rows) > 0 {
				t.Errorf("%s: %d rows were kept all the same", text, len(a.Rows))
			}
			if want := whole.Rows; calls > 0 {
				for i := range want {
					if first := fmt.Sprint(want[i].Of.Board, want[i].ID, want[i].Why); i >= len(got) || got[i][:len(first)] != first {
						t.Fatalf("%s: row %d is %v, want %s", text, i, got[min(i, len(got)-1)], first)
					}
				}
			}
			if q, err := Compile(t.Context(), manySmall(200), Options{}, text); err != nil || q.HandsOver() != (calls > 0) && a.Shown() > 0 {
				t.Errorf("%s: it says otherwise of itself than it does, %v", text, err)
			}
		}
	}
}

func noon() time.Time { return time.Date(2026, 3, 2, 12, 0, 0, 0, time.UTC) }

// An error of whoever takes the rows ends the question.
func TestEveryBoardTakerFails(t *testing.T) {
	full, calls := errors.New("full"), 0
	each := func([]run.Column, []run.Row) error {
		if calls++; calls == 3 {
			return full
		}
		return nil
	}
	if _, err := Ask(t.Context(), manySmall(200), Options{Each: each}, "parts on VMAIN in every board"); !errors.Is(err, full) || calls != 3 {
		t.Errorf("%d calls and then %v, want 3 and %v", calls, err, full)
	}
}
