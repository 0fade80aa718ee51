package query

import (
	"os"
	"strings"
	"testing"

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

// BenchmarkCompile reads, checks and plans every question of the catalogue: one
// op is one question. Splitting their words is the baseline.
func BenchmarkCompile(b *testing.B) {
	scope := heronBScope(b)
	compile := func(b *testing.B, text string) {
		tree, list := syntax.Parse(text)
		if tree == nil {
			b.Fatal(text, list)
		}
		q, list := check.Check(text, tree, scope)
		if q == nil {
			b.Fatal(text, list)
		}
		if q.Set != nil {
			plan.Of(q.Set, scope, 0, plan.Options{})
		}
	}
	b.Run("all", func(b *testing.B) {
		b.ReportAllocs()
		for i := 0; b.Loop(); i++ {
			compile(b, catalogue[i%len(catalogue)])
		}
	})
	for _, text := range catalogue {
		b.Run(strings.ReplaceAll(text, " ", "_"), func(b *testing.B) {
			for b.Loop() {
				compile(b, text)
			}
		})
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
