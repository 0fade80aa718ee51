package run_test

import (
	"fmt"
	"math/rand"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"golang.org/x/tools/txtar"

	"netlore/query/check"
	"netlore/query/run"
	"netlore/query/syntax"
	"netlore/store/board"
	"netlore/store/sheet"
)

// heronScope is the demonstration stack with its jobs.
func heronScope(t testing.TB) *check.Scope {
	whole := readSheets(t, "heron/heron.lore")
	scopes := scopesOf(t, []*sheet.Content{
		readSheets(t, "heron/heron-a.lore", "heron/heron-a-readings.lore"),
		readSheets(t, "heron/heron-b.lore", "heron/heron-b-readings.lore"),
		whole,
	})
	if len(scopes) != 1 || len(scopes[0].Members) != 2 {
		t.Fatal("the demonstration is no stack of two")
	}
	for i := range scopes[0].Members {
		known := *scopes[0].Members[i].Knowledge
		known.Jobs, known.Notes = append(slices.Clip(known.Jobs), whole.Knowledge.Jobs...), append(slices.Clip(known.Notes), whole.Knowledge.Notes...)
		scopes[0].Members[i].Knowledge = &known
	}
	return scopes[0]
}

func askedOf(t testing.TB, scope *check.Scope, text string) *check.Question {
	t.Helper()
	tree, list := syntax.Parse(text)
	if list.HasErrors() {
		t.Fatal(text, list)
	}
	q, list := check.Check(text, tree, scope)
	if q == nil {
		t.Fatal(text, list)
	}
	return q
}

func toldOf(t testing.TB, scope *check.Scope, text string) *run.Answer {
	t.Helper()
	return run.Run(t.Context(), askedOf(t, scope, text), run.Options{Now: stillClock})
}

// rowTexts are the rows, each in one line.
func rowTexts(a *run.Answer) (rows []string) {
	for _, r := range a.Rows {
		var cells []string
		for _, c := range r.Cells {
			cells = append(cells, c.String())
		}
		rows = append(rows, strings.Join(cells, " | "))
	}
	return rows
}

func jobOf(t testing.TB, scope *check.Scope, id string) *board.Job {
	for _, m := range scope.Members {
		for i := range m.Knowledge.Jobs {
			if m.Knowledge.Jobs[i].ID == id {
				return &m.Knowledge.Jobs[i]
			}
		}
	}
	t.Fatal("there is no job", id)
	return nil
}

// What a question tells of suspects and tests is what the commands tell, row by row
// and in their order.
func TestNounsAreTheCommands(t *testing.T) {
	scope := heronScope(t)
	for _, id := range []string{"1017", "1024", "1031", "1042"} {
		for noun, command := range map[string]func() (*run.Answer, error){
			"suspects": func() (*run.Answer, error) {
				return run.Suspects(t.Context(), scope, run.Isolation{Job: jobOf(t, scope, id), Every: true})
			},
			"tests": func() (*run.Answer, error) {
				return run.Tests(t.Context(), scope, run.Isolation{Job: jobOf(t, scope, id), Every: true})
			},
		} {
			want, err := command()
			if err != nil {
				t.Fatal(err)
			}
			got := toldOf(t, scope, noun+" in job "+id)
			if d := cmp.Diff(rowTexts(want), rowTexts(got)); d != "" || len(got.Rows) == 0 && noun == "suspects" {
				t.Errorf("%s in job %s:\n%s", noun, id, d)
			}
			if d := cmp.Diff(want.Columns, got.Columns); d != "" {
				t.Errorf("%s in job %s:\n%s", noun, id, d)
			}
		}
	}
}

// The chances of all suspects are 1, whatever the job; those of each kind sum up to
// what their rows say to the last digit, and no suspect has none.
func TestChancesSumUp(t *testing.T) {
	scope := heronScope(t)
	for _, id := range []string{"1017", "1024", "1031", "1042"} {
		got := rowTexts(toldOf(t, scope, "total chance of suspects in job "+id))
		whole := len(toldOf(t, scope, "suspects in job "+id).Rows)
		if want := fmt.Sprintf("| %d | 0 | 0", whole); len(got) != 1 || !strings.HasPrefix(got[0], "100") || !strings.HasSuffix(got[0], want) {
			t.Errorf("job %s: %v, want 100%% %s", id, got, want)
		}
		if above := len(toldOf(t, scope, "suspects in job "+id+" with chance above 0%").Rows); above != whole {
			t.Errorf("job %s: %d of %d have a chance", id, above, whole)
		}
	}
}

// To narrow a question is to leave rows out, whichever condition it is: with it,
// without it and not known are three parts of the whole.
func TestSuspectsNarrow(t *testing.T) {
	scope := heronScope(t)
	r := rand.New(rand.NewSource(24))
	properties := []string{"under lower:J7", "under any cover", "under shield", "on lower:VMAIN", "on GND", "with kind = copper", "with kind = part or bridge",
		"with class = capacitor", "with side = top", "with rank at most 10", "with minutes above 12min", "with risk = high", "with needs", "with parts"}
	for range 8 {
		properties = append(properties, fmt.Sprintf("with chance above %.2f%%", r.Float64()*2))
	}
	const show = " show chance, what, side, needs" // what is hidden has other columns
	all := rowTexts(toldOf(t, scope, "suspects in job 1042"+show))
	for _, p := range properties {
		yes := rowTexts(toldOf(t, scope, "suspects in job 1042 "+p+show))
		no := rowTexts(toldOf(t, scope, "suspects in job 1042 not "+p+show))
		open := toldOf(t, scope, "possibly suspects in job 1042 "+p+show)
		var unknown []string
		for _, row := range rowTexts(open) {
			unknown = append(unknown, row[:strings.LastIndex(row, " | ")])
		}
		if len(yes)+len(no)+len(unknown) != len(all) {
			t.Errorf("%s: %d and %d and %d are not %d", p, len(yes), len(no), len(unknown), len(all))
		}
		for _, part := range [][]string{yes, no, unknown} {
			at := 0
			for _, row := range part {
				next := slices.Index(all[at:], row)
				if next < 0 {
					t.Fatalf("%s: %s is not in the whole, or in another order", p, row)
				}
				at += next + 1
			}
		}
		if len(yes) == 0 {
			t.Errorf("%s: none has it, so nothing is tested", p)
		}
	}
}

// A suspect stands where what it is does: what the fields of suspects name is what
// joins lead to.
func TestSuspectsJoin(t *testing.T) {
	scope := heronScope(t)
	for _, with := range []string{"with chance above 5%", "with chance above 0.9%", "with kind = bridge", "with kind = copper", "under lower:SH1", "on upper:VMAIN"} {
		of := "suspects in job 1042 " + with
		for _, noun := range []string{"parts", "pads", "branches"} {
			named := map[string]bool{}
			for _, row := range toldOf(t, scope, of+" show "+noun).Rows {
				for _, v := range row.Cells[1].Items() {
					if !v.Missing() {
						named[v.String()] = true
					}
				}
			}
			got := map[string]bool{}
			for _, row := range toldOf(t, scope, noun+" in ("+of+")").Rows {
				got[row.Cells[0].String()] = true
			}
			if d := cmp.Diff(named, got); d != "" {
				t.Errorf("%s in (%s):\n%s", noun, of, d)
			}
		}
		same(t, scope, "parts within 2mm of ("+of+")", "parts within 2mm of ((parts in ("+of+"))) and also parts within 2mm of (pads in ("+of+"))")
		same(t, scope, "notes on ("+of+")", "notes on (parts in ("+of+")) and also notes on (pads in ("+of+")) and also notes on (branches in ("+of+"))")
		same(t, scope, "nets of ("+of+")", "nets of (parts in ("+of+")) and also nets of (pads in ("+of+")) and also nets of (branches in ("+of+"))")
		same(t, scope, "functions lost without ("+of+")", "functions lost without (parts in ("+of+")), (pads in ("+of+"))")
		if !strings.Contains(of, ":") { // one board is not asked of things on another
			same(t, scope, of, of+" in lower and also "+of+" in upper")
		}
		same(t, scope, of+" not under J7", of+" except "+of+" under J7")
	}
}

// same compares the names of what two questions certainly give.
func same(t *testing.T, scope *check.Scope, a, b string) {
	t.Helper()
	var names [2][]string
	for i, text := range []string{a, b} {
		for _, row := range toldOf(t, scope, text).Rows {
			names[i] = append(names[i], row.Cells[0].String())
		}
	}
	if d := cmp.Diff(names[0], names[1]); d != "" {
		t.Errorf("%s\n%s\n%s", a, b, d)
	}
}

// Each job is worked out for the questions that ask of it, and for no other.
func TestInquiry(t *testing.T) {
	scope := heronScope(t)
	for text, want := range map[string]check.Inquiry{
		"parts on VMAIN":             {},
		"readings in job 1042":       {},
		"suspects in job 1042, 1017": {Suspects: []string{"1017", "1042"}, Asked: []string{"1017", "1042"}},
		"covers over (suspects in job 1042) except (covers in (tests for job 1017))": {Suspects: []string{"1042"}, Tests: []string{"1017"}, Asked: []string{"1017", "1042"}},
		"parts not (on VMAIN or within 1mm of (suspects in job 1042))":               {Suspects: []string{"1042"}, Asked: []string{"1042"}},
		"route from J2 to (suspects in job 1042) through any":                        {Suspects: []string{"1042"}, Asked: []string{"1042"}},
		"why U445 in (suspects in job 1042)":                                         {Suspects: []string{"1042"}, Asked: []string{"1042"}},
		"suspects in every job":                                                      {Suspects: []string{"1017", "1024", "1031", "1042"}},
		"functions lost without C4410 from (parts in (suspects in job 1042))":        {Suspects: []string{"1042"}, Asked: []string{"1042"}},
	} {
		if d := cmp.Diff(want, askedOf(t, scope, text).Inquiry()); d != "" {
			t.Errorf("%s: %s", text, d)
		}
	}
}

// A question of suspects that is stopped tells part of the whole, and says so.
func TestSuspectsStopped(t *testing.T) {
	scope := heronScope(t)
	r := rand.New(rand.NewSource(5))
	for _, text := range []string{"suspects in job 1042", "hidden suspects in job 1042", "tests for job 1042", "parts within 3mm of (suspects in job 1042)", "why lower:C4410 in (suspects in job 1042)"} {
		q := askedOf(t, scope, text)
		looks := 1 << 30
		whole := run.RunImpatiently(countdown{t.Context(), &looks}, q, run.Options{Now: stillClock})
		needed := 1<<30 - looks
		if len(whole.Rows) == 0 || whole.Partial != "" {
			t.Fatalf("%s: %d rows, %q", text, len(whole.Rows), whole.Partial)
		}
		for range 12 {
			left := r.Intn(needed)
			if got := run.RunImpatiently(countdown{t.Context(), &left}, q, run.Options{Now: stillClock}); got.Partial == "" {
				t.Errorf("%s: not said to be partial after %d of %d looks", text, needed, needed)
			} else {
				isPartOf(t, text, got, whole)
			}
		}
	}
}

// FuzzSuspects asks any question of the demonstration: nothing panics, and nothing is
// both certain and merely possible.
func FuzzSuspects(f *testing.F) {
	archive, err := txtar.ParseFile("../../testdata/query/suspects.txtar")
	if err != nil {
		f.Fatal(err)
	}
	for _, file := range archive.Files {
		if strings.HasSuffix(file.Name, ".ask") {
			f.Add(strings.ReplaceAll(strings.TrimSpace(string(file.Data)), "job 7", "job 1042"))
		}
	}
	scope := heronScope(f)
	f.Fuzz(func(t *testing.T, text string) {
		tree, list := syntax.Parse(text)
		if len(text) > 300 || list.HasErrors() {
			return
		}
		q, _ := check.Check(text, tree, scope)
		if q == nil || q.Set == nil || q.Why != nil || q.PlanOf || q.Aggregate != nil || q.By != nil {
			return
		}
		seen := map[string]bool{}
		for _, possibly := range []bool{false, true} {
			asked := *q
			asked.Possibly, asked.First, asked.Sort = possibly, 0, nil
			for _, row := range run.Run(t.Context(), &asked, run.Options{Time: time.Second}).Rows {
				key := fmt.Sprint(row.Of, row.ID)
				if seen[key] {
					t.Fatalf("%s: %s is there twice", text, row.Cells[0])
				}
				seen[key] = true
			}
		}
	})
}
