package table

import (
	"bytes"
	"context"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"golang.org/x/tools/txtar"

	"netlore/importers/record"
	"netlore/query/diag"
	"netlore/store/board"
)

var update = flag.Bool("update", false, "write what is printed into the test data")

// outcome is all that came of reading one text.
type outcome struct {
	report record.Report
	board  *board.Board
	known  board.Knowledge
	err    error
}

func readText(t testing.TB, opt record.Options, text string) outcome {
	t.Helper()
	draft := record.NewDraft(board.Ref{Name: "Test"})
	return readInto(t, opt, text, draft)
}

// readInto reads a text, holds its report to account, and builds the board.
func readInto(t testing.TB, opt record.Options, text string, draft *record.Draft) outcome {
	t.Helper()
	report, err := Read(context.Background(), strings.NewReader(text), opt, draft)
	if bad := report.Balanced(); bad != nil {
		t.Error(bad)
	}
	return outcome{report, draft.Board.Build(), draft.Knowledge, err}
}

// String prints an outcome for comparison.
func (o outcome) String() string {
	var s strings.Builder
	for _, k := range o.report.Kinds {
		fmt.Fprintf(&s, "%s (%s): %d read, %d used\n", k.Kind, k.Note, k.Seen, k.Used)
		for _, why := range k.Reasons {
			fmt.Fprintf(&s, "  %d: %s, line %v\n", why.Count, why.Text, why.Lines)
		}
	}
	diag.Write(&s, o.report.Notes, diag.Style{})
	if d, ok := o.err.(diag.Diagnostic); ok {
		diag.Write(&s, diag.List{d}, diag.Style{})
	} else if o.err != nil {
		fmt.Fprintln(&s, o.err)
	}
	writeBoard(&s, o.board)
	writeKnowledge(&s, &o.known)
	return s.String()
}

func writeBoard(s *strings.Builder, b *board.Board) {
	for i := range b.Parts {
		p := &b.Parts[i]
		s.WriteString("part " + p.Name)
		say(s, p.Class, p.Value, p.Volts, p.Amps, p.Percent, p.Package, p.Size, p.Side)
		if p.Placed {
			fmt.Fprintf(s, " at %v turned %d", p.At, p.Turn)
		}
		say(s, map[bool]string{true: "unfitted"}[p.Unfitted], strings.Join(p.Functions, ","), quoted(p.Text))
		first, last := b.PinsOf(board.PartID(i))
		for id := first; id < last; id++ {
			pin := &b.Pins[id]
			fmt.Fprintf(s, "\n  pin %s on %s", pin.Name, netName(b, pin.Net))
			say(s, pin.Side, pin.Shape)
			if pin.Placed {
				fmt.Fprintf(s, " at %v", pin.At)
			}
		}
		s.WriteByte('\n')
	}
	for _, n := range b.Nets {
		s.WriteString("net " + n.Name)
		say(s, n.Kind, n.Volts, strings.Join(n.Aliases, ","), strings.Join(n.Functions, ","))
		s.WriteByte('\n')
	}
	for _, p := range b.Pads {
		fmt.Fprintf(s, "pad %s on %s", p.Name, netName(b, p.Net))
		say(s, p.Group, p.Side, p.Shape)
		if p.Placed {
			fmt.Fprintf(s, " at %v", p.At)
		}
		s.WriteByte('\n')
	}
}

func writeKnowledge(s *strings.Builder, k *board.Knowledge) {
	for _, r := range k.Readings {
		fmt.Fprintf(s, "reading %s %s", r.Mode, target(r.On))
		if r.To.Name != "" {
			s.WriteString(" to " + target(r.To))
		}
		say(s, [...]string{"", "open", "closed", "not closed"}[r.Outcome], r.Value, map[bool]string{true: "red-on-ground"}[r.RedGround], map[bool]string{true: "black-on-ground"}[r.BlackGround],
			map[bool]string{true: "good"}[r.Good], r.Meter, strings.Join(r.State, ","), r.Job, r.Specimen, r.By, when(r.When), quoted(r.Text))
		s.WriteByte('\n')
	}
	for _, e := range k.Expected {
		fmt.Fprintf(s, "expect %s %s", e.Mode, target(e.On))
		say(s, map[bool]string{true: "open"}[e.Open], e.Value, e.Within, e.By, when(e.When), quoted(e.Text))
		s.WriteByte('\n')
	}
}

// say prints what is known of a thing.
func say(s *strings.Builder, facts ...any) {
	for _, f := range facts {
		text := fmt.Sprint(f)
		if text == "" || text == "{0 0}" || text == "{0 0 0}" {
			continue
		}
		s.WriteString(" " + text)
	}
}

func quoted(text string) string {
	if text == "" {
		return ""
	}
	return fmt.Sprintf("%q", text)
}

func netName(b *board.Board, id board.NetID) string {
	if id == board.None {
		return "no net"
	}
	return b.Nets[id].Name
}

func target(t board.Target) string {
	text := strings.TrimSpace(t.Kind.String() + " " + t.Name)
	if t.Role != "" {
		text = t.Role + ":" + text
	}
	if t.Pin != "" {
		text += "." + t.Pin
	}
	return text
}

func when(t interface{ IsZero() bool }) string {
	if t.IsZero() {
		return ""
	}
	return fmt.Sprint(t)
}

// TestCases reads every table in testdata and compares all that comes of it.
// An archive holds the table, as in.csv, and what is printed, as out. Its
// comment says what it is about.
func TestCases(t *testing.T) {
	files, err := filepath.Glob("testdata/*.txt")
	if err != nil || len(files) == 0 {
		t.Fatalf("no cases: %v", err)
	}
	for _, file := range files {
		t.Run(strings.TrimSuffix(filepath.Base(file), ".txt"), func(t *testing.T) {
			a, err := txtar.ParseFile(file)
			if err != nil {
				t.Fatal(err)
			}
			got := readText(t, record.Options{File: "in.csv"}, string(section(a, "in.csv"))).String()
			if *update {
				a.Files = append(a.Files[:1], txtar.File{Name: "out", Data: []byte(got)})
				if err := os.WriteFile(file, txtar.Format(a), 0o644); err != nil {
					t.Fatal(err)
				}
			}
			if d := cmp.Diff(string(section(a, "out")), got); d != "" {
				t.Error(d)
			}
		})
	}
}

func section(a *txtar.Archive, name string) []byte {
	i := slices.IndexFunc(a.Files, func(f txtar.File) bool { return f.Name == name })
	if i < 0 {
		return nil
	}
	return bytes.TrimPrefix(a.Files[i].Data, []byte("\xef\xbb\xbf"))
}
