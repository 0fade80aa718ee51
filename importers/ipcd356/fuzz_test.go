package ipcd356

import (
	"errors"
	"strings"
	"testing"

	"netlore/importers/record"
	"netlore/query/diag"
	"netlore/store/board"
)

// FuzzRead checks that any input is read or refused with a complaint, that
// every line of it is accounted for, that the board is in order, and that a
// second reading gives the same.
func FuzzRead(f *testing.F) {
	f.Add(worked)
	f.Add(twoThermistors + end)
	f.Add(inches + "P  NNAMEA1 ONE\nP  NNAMEA1 TWO\nC CAD Netname : X --- IPC Netname : NNAME1\n" + end)
	f.Add(metric + "378A L01 X1 X2Y3*X4\n078 Y5\n389BOARD_EDGE X0Y0 X1 Y1 X0\n089 X9\n")
	f.Add("P  UNITS CUST 2\n317\t\tVIA\tMD0100P   X+1Y+2 S0L02L03\r\n027                 VIA\n017 D1P A00X1Y1\n")
	f.Add(row("327", "A", "CONNEC", "1", place(1, 0, 0)) + row("327", "B", "CONNEC", "1", place(2, 9, 9)) +
		row("327", "C", "CONNEC", "1", place(0, 5, 5)) + row("327", "N/C", "CONNEC", "2", place(2, 7, 7)))
	f.Add(strings.Repeat("\xbf", 300) + "\n" + strings.Repeat("A01X1Y", 60))
	places := []record.Place{{Name: "CONNECTOR1", Placed: true, At: board.Point{X: 3}}, {Name: "CONNECTOR2", Placed: true}, {Name: "RNTCBIAS3"}}
	f.Fuzz(func(t *testing.T, text string) {
		once, report := fuzzed(t, text, places)
		again, _ := fuzzed(t, text, places)
		if !equalBoards(once, again) {
			t.Error("two readings differ")
		}
		for _, d := range report.Notes {
			if _, ok := Explain(d.Code); !ok {
				t.Errorf("code %s is not explained", d.Code)
			}
		}
		Sniff([]byte(text))
	})
}

func fuzzed(t *testing.T, text string, places []record.Place) (*board.Board, record.Report) {
	draft := record.NewDraft(board.Ref{})
	report, err := Read(t.Context(), strings.NewReader(text), record.Options{Places: places}, draft)
	if err != nil {
		if d := (diag.Diagnostic{}); !errors.As(err, &d) {
			t.Fatalf("error %v", err)
		}
		return nil, report
	}
	if err := report.Balanced(); err != nil {
		t.Error(err)
	}
	b := draft.Board.Build()
	if err := board.Assemble(b); err != nil {
		t.Error(err)
	}
	return b, report
}
