package query

import (
	"os"
	"strings"
	"testing"
	"time"

	"netlore/query/check"
	"netlore/query/plan"
	"netlore/query/syntax"
	"netlore/store/sheet"
)

// catalogue is one question of every sort that the language has.
var catalogue = []string{
	"parts on VMAIN", "hidden parts on VMAIN", "parts on VMAIN under shield or connector", "parts on VMAIN not under any cover",
	"capacitors on VMAIN with value >= 10uF", "parts on VMAIN and on GND", "pads on VMAIN in IP1", "nets of U445", "pins of U445 on power nets",
	"parts within 3mm of U445", "parts behind J7", "covers over (parts on VMAIN)", "nets joined to VMAIN through inductors, beads, fuses or 0ohm",
	"branches of VMAIN", "pads leading to C4407", "parts fed only by P11, P12, P13, P14", "functions lost without P11..P14",
	"pads on VMAIN reading below expected by 15%", "unmeasured pads on VMAIN in job 1042", "shorted pads in job 1042", "nets without expected",
	"readings of VMAIN in every job sorted by time", "count parts on VMAIN by cover", "total value of capacitors on VMAIN",
	"suspects in job 1042 with chance above 5%", "tests for job 1042", "parts on VMAIN in every board with value = 10uF by board",
	"jobs on Heron with culprit on VMAIN by culprit", "notes on VMAIN", "why C4407 in (hidden parts on VMAIN)", "plan of (hidden parts on VMAIN)",
}

// heronBScope is the radio half of the demonstration scenario, with the jobs.
func heronBScope(b *testing.B) *check.Scope {
	read := func(names ...string) *sheet.Content {
		var files []*sheet.File
		for _, name := range names {
			text, err := os.ReadFile("../testdata/heron/" + name)
			if err != nil {
				b.Fatal(err)
			}
			f, _ := sheet.Parse(name, text)
			files = append(files, f)
		}
		content, list := sheet.Read(files...)
		if err := list.Err(); err != nil {
			b.Fatal(err)
		}
		return content
	}
	half, whole := read("heron-b.lore", "heron-b-readings.lore"), read("heron.lore")
	known := merged(half.Knowledge, whole.Knowledge, "lower")
	return &check.Scope{Stack: "Heron", Members: []check.Member{{Role: "lower", Board: half.Board, Knowledge: known}}}
}

// stages are what a question passes before it is run.
var stages = []string{"read", "check", "plan"}

// compile takes a question through the stages, and adds what each took.
func compile(b *testing.B, text string, scope *check.Scope, took *[3]time.Duration) {
	start := time.Now()
	tree, list := syntax.Parse(text)
	read := time.Now()
	if tree == nil {
		b.Fatal(text, list)
	}
	q, list := check.Check(text, tree, scope)
	checked := time.Now()
	if q == nil {
		b.Fatal(text, list)
	}
	if q.Set != nil {
		plan.Of(q.Set, scope, 0, plan.Options{})
	}
	took[0] += read.Sub(start)
	took[1] += checked.Sub(read)
	took[2] += time.Since(checked)
}

// BenchmarkCompile reads, checks and plans every question of the catalogue: one
// op is one question. What each stage took is told beside the whole. Splitting
// their words is the baseline.
func BenchmarkCompile(b *testing.B) {
	scope := heronBScope(b)
	bench := func(name string, questions ...string) {
		b.Run(strings.ReplaceAll(name, " ", "_"), func(b *testing.B) {
			b.ReportAllocs()
			var took [3]time.Duration
			for i := 0; b.Loop(); i++ {
				compile(b, questions[i%len(questions)], scope, &took)
			}
			for i, stage := range stages {
				b.ReportMetric(float64(took[i].Nanoseconds())/float64(b.N), stage+"-ns/op")
			}
		})
	}
	bench("all", catalogue...)
	for _, text := range catalogue {
		bench(text, text)
	}
	b.Run("baseline_words", func(b *testing.B) {
		n := 0
		for i := 0; b.Loop(); i++ {
			n += len(strings.Fields(catalogue[i%len(catalogue)]))
		}
		if n == 0 {
			b.Fatal("no words")
		}
	})
}
