package table

import (
	"context"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"runtime"
	"strconv"
	"strings"
	"testing"

	"netlore/importers/record"
	"netlore/store/board"
)

// repeated gives a header and then the same rows over and over.
type repeated struct {
	head, rows string
	times      int
	rest       string
}

func (r *repeated) Read(p []byte) (int, error) {
	if r.rest == "" {
		if r.rest, r.head = r.head, ""; r.rest == "" {
			if r.times == 0 {
				return 0, io.EOF
			}
			r.times--
			r.rest = r.rows
		}
	}
	n := copy(p, r.rest)
	r.rest = r.rest[n:]
	return n, nil
}

// TestTenMillionRows reads far more rows than fit into the memory it may use.
// Each row says what is known already, so the board stays small.
func TestTenMillionRows(t *testing.T) {
	rows := 10_000_000
	if testing.Short() {
		rows = 500_000
	}
	const block = 1000
	var s strings.Builder
	for n := range block {
		s.WriteString("C" + strconv.Itoa(n%100) + ",100nF,a text that is new in no row\n")
	}
	runtime.GC()
	var before, now runtime.MemStats
	runtime.ReadMemStats(&before)
	most, reads := uint64(0), 0
	opt := record.Options{Progress: func(int64) {
		if reads++; reads%200 == 0 {
			runtime.ReadMemStats(&now)
			most = max(most, now.HeapAlloc)
		}
	}}
	in := &repeated{head: "Designator,Value,Description\n", rows: s.String(), times: rows / block}
	report, err := Read(context.Background(), in, opt, record.NewDraft(board.Ref{}))
	if err != nil {
		t.Fatal(err)
	}
	if got := report.Of("parts list"); got.Used != rows {
		t.Errorf("%d rows used, expected %d", got.Used, rows)
	}
	const bound = 32 << 20
	if most > before.HeapAlloc+bound {
		t.Errorf("%d MB of memory in use", (most-before.HeapAlloc)>>20)
	}
}

// Rows that are all wrong take no more memory than rows that are right.
func TestManyBadRows(t *testing.T) {
	const times = 2000
	in := &repeated{head: "Designator,X (mm),Y (mm)\n", rows: strings.Repeat("C1,NaN,2\n,1,2\n\"x\n", 10), times: times}
	report, err := Read(context.Background(), in, record.Options{}, record.NewDraft(board.Ref{}))
	if err != nil {
		t.Fatal(err)
	}
	if bad := report.Balanced(); bad != nil {
		t.Error(bad)
	}
	if got := report.Of("placement"); got.Explained != times*20 || len(report.Notes) > 100 || len(got.Reasons[0].Lines) > 20 {
		t.Errorf("%d explained, %d notes", got.Explained, len(report.Notes))
	}
	if len(report.Left) == 0 {
		t.Error("no complaints were counted without being kept")
	}
}

// A file cannot make a board without end.
func TestTooManyThings(t *testing.T) {
	r := newReader(record.Options{File: "in.csv"}, record.NewDraft(board.Ref{}))
	if r.most != maxThings {
		t.Errorf("the limit is %d", r.most)
	}
	r.most = 10_000
	const text = "Designator,Quantity\nC1-C4000,4000\nC1-C4000,4000\nR1-R4000,4000\nL1-L4000,4000\nU1,1\n"
	r.dialect = findDialect([]byte(text))
	r.rows = newRows(strings.NewReader(text), r.dialect.sep)
	err := r.readRows()
	if err == nil || err.Error() != "in.csv:5:1: error T160: more than 10000 parts, pins, nets, pads and readings: no board is this large" {
		t.Errorf("error %v", err)
	}
}

// TestEveryCodeIsExplained compares the codes in this package's files with the
// table of texts.
func TestEveryCodeIsExplained(t *testing.T) {
	files, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	used := map[string]int{}
	for _, file := range files {
		if strings.HasSuffix(file, "_test.go") {
			continue
		}
		source, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		for _, code := range regexp.MustCompile(`"T1\d\d"`).FindAllString(string(source), -1) {
			used[strings.Trim(code, `"`)]++
		}
	}
	if len(used) < 20 {
		t.Fatalf("only %d codes found", len(used))
	}
	for code, times := range used {
		if text, ok := Explain(code); !ok || text == "" {
			t.Errorf("%s is not explained", code)
		}
		if times < 2 {
			t.Errorf("%s is explained, but never used", code)
		}
	}
	if _, ok := Explain("T999"); ok {
		t.Error("T999 is explained")
	}
}
