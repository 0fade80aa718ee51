package ipcd356

import (
	"context"
	"errors"
	"io"
	"math/rand/v2"
	"reflect"
	"runtime"
	"strings"
	"testing"

	"netlore/importers/record"
	"netlore/query/diag"
	"netlore/store/board"
)

func equalBoards(a, b *board.Board) bool { return reflect.DeepEqual(a, b) }

// fails reads a text that cannot be used and returns the complaint.
func fails(t *testing.T, text string) diag.Diagnostic {
	t.Helper()
	_, err := Read(t.Context(), strings.NewReader(text), record.Options{File: "h.ipc"}, record.NewDraft(board.Ref{}))
	var d diag.Diagnostic
	if !errors.As(err, &d) {
		t.Fatalf("error %v", err)
	}
	if _, ok := Explain(d.Code); !ok || d.File != "h.ipc" || d.Severity != diag.Error {
		t.Errorf("complaint %+v", d)
	}
	return d
}

func TestUnusable(t *testing.T) {
	for name, c := range map[string]struct{ text, code string }{
		"empty":             {"", "D342"},
		"comments only":     {"C  nothing\nP  UNITS CUST 1\n999\n", "D342"},
		"another format":    {"G04 something*\n%FSLAX46Y46*%\n", "D342"},
		"binary":            {strings.Repeat("\x00\x01\x02\xff\n", 50), "D342"},
		"a unit of no name": {"P  UNITS FURLONG\n" + row("327", "A", "C1", "1", place(1, 0, 0)), "D302"},
	} {
		t.Run(name, func(t *testing.T) {
			if d := fails(t, c.text); d.Code != c.code {
				t.Errorf("%s: %s", d.Code, d.Message)
			}
		})
	}
}

func TestUnreadableRecordsAreExplained(t *testing.T) {
	b, report := reads(t, metric+
		row("327", "A", "C1", "1", place(1, 0, 0))+
		row("327", "A", "C1", "2", "A01X+99999999999Y+020000")+ // a number with too many digits
		row("327", "A", "C1", "3", "A01X+01")+ // cut off
		"327\n327A                C1    -4          A01X??????Y+020000\n"+end, record.Options{})
	if got := netsOf(b); got != "C1.1=A" {
		t.Error(got)
	}
	if c := report.Of("327"); c.Used != 1 || c.Explained != 4 {
		t.Errorf("%+v", c)
	}
	if got := coded(report.Notes); got != "D312 D312 D312 D312" {
		t.Errorf("complaints %s", got)
	}
}

func TestMissingEnd(t *testing.T) {
	_, report := reads(t, metric+row("327", "A", "C1", "1", place(1, 0, 0)), record.Options{})
	first(t, report.Notes, "D340")
}

// A cut file gives what it holds and says that its end is missing.
func TestTruncatedAnywhere(t *testing.T) {
	for n := strings.Index(worked, "327"); n < len(worked)-4; n++ {
		draft := record.NewDraft(board.Ref{})
		report, err := Read(t.Context(), strings.NewReader(worked[:n]), record.Options{}, draft)
		if err == nil {
			err = report.Balanced()
			first(t, report.Notes, "D340")
		} else if d := (diag.Diagnostic{}); errors.As(err, &d) && d.Code == "D342" {
			err = nil // not one whole code yet
		}
		if err != nil {
			t.Fatalf("cut at %d: %v", n, err)
		}
	}
}

func TestLongLine(t *testing.T) {
	b, report := reads(t, metric+"327"+strings.Repeat("x", 3*record.MaxLine)+"\n"+
		row("327", "A", "C1", "1", place(1, 0, 0))+end, record.Options{})
	if got := netsOf(b); got != "C1.1=A" || report.Lines != 4 {
		t.Errorf("%s in %d lines", got, report.Lines)
	}
	if d := first(t, report.Notes, "D313"); d.Line != 2 || len(d.Excerpt) > 1000 {
		t.Errorf("line %d, excerpt of %d bytes", d.Line, len(d.Excerpt))
	}
}

// A name that runs on over thousands of letters is left out, with its place, and
// does not end up in a sheet that cannot be read back.
func TestLongNames(t *testing.T) {
	long := strings.Repeat("N", 3000)
	for name, line := range map[string]string{
		"net":   "327" + long + " C9 -1 D0200PA01X+001000Y+001000X0100Y0100R000S0\n",
		"alias": "P  NNAME1 " + long + "\n",
	} {
		b, report := reads(t, metric+line+row("327", "NNAME1", "C1", "1", place(1, 0, 0))+end, record.Options{})
		if err := report.Balanced(); err != nil || len(b.Nets) != 1 || len(b.Nets[0].Name) > maxName {
			t.Errorf("%s: %v, %d nets", name, err, len(b.Nets))
		}
		first(t, report.Notes, "D315")
	}
	b, _ := reads(t, "P  JOB "+long+"\nP  TITLE "+long+"\n"+metric+row("327", "A", "C1", "1", place(1, 0, 0))+end, record.Options{})
	if len(b.Title) > maxName || len(b.Name) > maxName {
		t.Errorf("a board of %d letters, a title of %d", len(b.Name), len(b.Title))
	}
}

// repeated gives a text n times over, as a file without end would.
type repeated struct {
	head, text string
	n, at      int
}

func (r *repeated) Read(p []byte) (int, error) {
	if r.head != "" {
		n := copy(p, r.head)
		r.head = r.head[n:]
		return n, nil
	}
	total := 0
	for total < len(p) && r.n > 0 {
		n := copy(p[total:], r.text[r.at:])
		total += n
		if r.at += n; r.at == len(r.text) {
			r.at = 0
			r.n--
		}
	}
	if total == 0 {
		return 0, io.EOF
	}
	return total, nil
}

// peak is the largest heap seen while f runs, above what was in use before.
func peak(f func(look func())) uint64 {
	var m runtime.MemStats
	runtime.GC()
	runtime.ReadMemStats(&m)
	before, most := m.HeapInuse, uint64(0)
	f(func() {
		runtime.ReadMemStats(&m)
		most = max(most, m.HeapInuse-min(before, m.HeapInuse))
	})
	return most
}

// Ten million records that are no new part of the board: memory stays where it
// is. Repeats of one pin, comments, neighbour lists and lines that are no
// record are all in it.
func TestTenMillionRecordsInBoundedMemory(t *testing.T) {
	blocks := 2_500_000
	if testing.Short() {
		blocks = 100_000
	}
	text := row("327", "VMAIN", "C1", "1", place(1, 100, 200)) + "C  x\n379A B\nno record\n"
	var report record.Report
	most := peak(func(look func()) {
		opt := record.Options{Progress: func(bytes int64) {
			if bytes%(64<<20) < record.MaxLine {
				look()
			}
		}}
		var err error
		in := &repeated{head: metric + row("327", "VMAIN", "C1", "1", place(1, 100, 200)), text: text, n: blocks}
		if report, err = Read(t.Context(), in, opt, record.NewDraft(board.Ref{})); err != nil {
			t.Fatal(err)
		}
		look()
	})
	if err := report.Balanced(); err != nil || report.Lines != 4*blocks+2 {
		t.Errorf("%d lines: %v", report.Lines, err)
	}
	if most > 8<<20 {
		t.Errorf("%d MiB of memory for a board of one pin", most>>20)
	}
}

// A pin with a hundred thousand places is a fault that must cost neither time
// nor memory.
func TestPinOfManyPlaces(t *testing.T) {
	var s strings.Builder
	s.WriteString(metric)
	for i := range 100_000 {
		s.WriteString(row("327", "A", "C1", "1", place(1, i%999_000, i/7)))
	}
	b, report := reads(t, s.String()+end, record.Options{})
	if c := report.Of("327"); len(b.Pins) != 1 || c.Used != maxPlaces || c.Explained != 100_000-maxPlaces || len(c.Reasons[0].Lines) > 20 {
		t.Errorf("%d pins, %d used, %d explained", len(b.Pins), c.Used, c.Explained)
	}
}

func TestCancelled(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	reads := 0
	opt := record.Options{File: "h.ipc", Progress: func(int64) {
		if reads++; reads == 3 {
			cancel()
		}
	}}
	in := &repeated{head: metric, text: row("327", "A", "C1", "1", place(1, 0, 0)), n: 1 << 40}
	if _, err := Read(ctx, in, opt, record.NewDraft(board.Ref{})); !errors.Is(err, context.Canceled) {
		t.Errorf("error %v", err)
	}
}

var errTorn = errors.New("the disk is torn")

func TestFailedRead(t *testing.T) {
	in := io.MultiReader(strings.NewReader(worked), &failing{})
	if _, err := Read(t.Context(), in, record.Options{File: "h.ipc"}, record.NewDraft(board.Ref{})); !errors.Is(err, errTorn) {
		t.Errorf("error %v", err)
	}
}

type failing struct{}

func (*failing) Read([]byte) (int, error) { return 0, errTorn }

// The same records in another order make the same board, but for which record
// of a doubled pin comes first.
func TestOrderOfRecordsDoesNotMatter(t *testing.T) {
	lines := strings.SplitAfter(strings.TrimSuffix(string(largeNetlist(40)), "\n"), "\n")[2:]
	lines = lines[:len(lines)-1]
	want, _ := reads(t, inches+strings.Join(lines, "")+end, record.Options{})
	random := rand.New(rand.NewPCG(1, 2))
	for range 5 {
		random.Shuffle(len(lines), func(i, j int) { lines[i], lines[j] = lines[j], lines[i] })
		got, _ := reads(t, inches+strings.Join(lines, "")+end, record.Options{})
		if len(got.Vias) != len(want.Vias) {
			t.Errorf("%d vias", len(got.Vias))
		}
		got.Vias = want.Vias // kept in order of the file
		if !equalBoards(got, want) {
			t.Fatal("another order of records makes another board")
		}
	}
}

func TestSniff(t *testing.T) {
	record1 := row("327", "A", "C1", "1", place(1, 0, 0))
	for name, c := range map[string]struct {
		head string
		want record.Confidence
	}{
		"version":              {"P  JOB x\nP  VER   IPC-D-356A\n", record.Certain},
		"records":              {record1 + record1 + record1, record.Certain},
		"a record and units":   {"P  UNITS CUST 0\r\n" + record1, record.Certain},
		"one record":           {record1, record.Likely},
		"records out of place": {"327VMAIN            RNTCBIAS3-2          A10X+045250Y+017265X0210Y0210R090 S2\n", record.Likely},
		"with tabs":            {"327VMAIN\t    C1    -1\t      A01X+010000Y+020000\n", record.Likely},
		"only comments":        {"C  IPC-D-356 output\nC  more\n", record.Maybe},
		"a table":              {"Ref,X,Y\nC1,1.0,2.0\n", record.No},
		"prose":                {"Parts of the board\nCome here\n", record.No},
		"nothing":              {"", record.No},
	} {
		if got := Sniff([]byte(c.head)); got != c.want {
			t.Errorf("%s: %v, want %v", name, got, c.want)
		}
	}
}

// Every complaint that the code can make is explained, and no text is left
// over.
func TestCodesAreExplained(t *testing.T) {
	for code, text := range texts {
		if !strings.HasPrefix(code, "D3") || len(text) < 40 {
			t.Errorf("%s: %q", code, text)
		}
	}
	if _, ok := Explain("D399"); ok {
		t.Error("D399 is explained")
	}
}
