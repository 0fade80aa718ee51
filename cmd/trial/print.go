package main

import (
	"fmt"
	"io"
	"slices"
	"time"

	"netlore/query/isolate"
)

// print prints the tables.
func (t *trial) print(w io.Writer) {
	if t.stopped {
		fmt.Fprintf(w, "Interrupted: this is a part of what was to be tried.\n")
	}
	t.printTape(w)
	t.printMinutes(w)
	t.printSure(w)
	t.printBins(w)
	t.printKinds(w)
	t.printTime(w)
}

func (t *trial) printTape(w io.Writer) {
	tape := table{head: []string{"tape and readings alone", "devices", "pieces", "solved", "times the best plans", "times the entropy"}}
	for _, x := range t.tapes {
		best := "–"
		if x.solved > 0 {
			best = fmt.Sprintf("%.3f", x.took/x.least)
		}
		tape.add(x.name, x.devices, fmt.Sprintf("%.1f", float64(x.pieces)/float64(x.devices)), x.solved, best, fmt.Sprintf("%.3f", x.ratio.of()))
	}
	tape.print(w)
}

func (t *trial) printMinutes(w io.Writer) {
	minutes := table{head: []string{"device", "parts, pads, covers", "wrong", "jobs", "tests", "minutes", "by halving", "less by", "down the list", "of the list"}}
	for _, s := range t.series {
		x := count(s.jobs)
		if x.jobs == 0 || s.factor > 1 {
			continue
		}
		d := s.device
		minutes.add(s.name, fmt.Sprintf("%d, %d, %d", len(d.Parts), len(d.Pads), len(d.Covers)), wrongText(s.wrong), t.jobsText(x.jobs), x.tests,
			x.plan.String(), x.half.of(), x.saved.String(), x.list.of(), x.planOfListed.of()/x.list.of())
	}
	minutes.print(w)
}

func (t *trial) printSure(w io.Writer) {
	sure := table{head: []string{"device", "wrong", "weights wrong by", "jobs", "said to be sure", "of these first", "first or second", "log-loss", "entropy", "Brier score"}}
	for _, s := range t.series {
		x := count(s.jobs)
		if x.jobs == 0 {
			continue
		}
		factor := "–"
		if s.factor > 1 {
			factor = fmt.Sprintf("%g", s.factor)
		}
		sure.add(s.name, wrongText(s.wrong), factor, t.jobsText(x.jobs), percent(x.sure, x.jobs), percent(x.first, x.sure), percent(x.second, x.sure),
			x.loss.of(), x.entropy.of(), x.brier.of())
	}
	sure.print(w)
}

// jobsText is how many jobs were played, and of how many if those are not all.
func (t *trial) jobsText(jobs int) string {
	if jobs < t.faults {
		return fmt.Sprintf("%d of %d", jobs, t.faults)
	}
	return fmt.Sprint(jobs)
}

// printBins prints how many suspects of those that were given some chance are it.
func (t *trial) printBins(w io.Writer) {
	bins := table{head: []string{"chance that a suspect is given"}}
	var of []tally
	for _, wrong := range wrongs {
		bins.head = append(bins.head, wrongText(wrong)+" wrong: said, is (how many)")
		of = append(of, t.all(func(s *series) bool { return s.wrong == wrong && s.factor == 1 }))
	}
	for i := range len(edges) + 1 {
		row := []any{fmt.Sprintf("%g to %g %%", 100*lowOf(i), 100*lowOf(i+1))}
		for k := range of {
			b := of[k].bins[i]
			row = append(row, fmt.Sprintf("%s, %s (%.0f)", number(b.said/b.n), number(b.is/b.n), b.n))
		}
		bins.add(row...)
	}
	bins.print(w)
}

// all counts the jobs of some series together.
func (t *trial) all(which func(*series) bool) tally {
	var jobs []job
	for _, s := range t.series {
		if which(s) {
			jobs = append(jobs, s.jobs...)
		}
	}
	return count(jobs)
}

// printKinds prints what comes of faults of each kind.
func (t *trial) printKinds(w io.Writer) {
	kinds := table{head: []string{"what is bad", "jobs", "minutes", "said to be sure", "of these first", "first or second"}}
	for _, k := range []struct {
		name string
		kind isolate.Kind
	}{{"a part", isolate.Single}, {"two parts", isolate.Several}, {"copper", isolate.Zone}, {"solder between pads", isolate.Bridge}} {
		var jobs []job
		for _, s := range t.series {
			if s.factor == 1 {
				jobs = append(jobs, slices.DeleteFunc(slices.Clone(s.jobs), func(j job) bool { return j.kind != k.kind })...)
			}
		}
		if x := count(jobs); x.jobs > 0 {
			kinds.add(k.name, x.jobs, x.plan.of(), percent(x.sure, x.jobs), percent(x.first, x.sure), percent(x.second, x.sure))
		}
	}
	kinds.print(w)
}

func (t *trial) printTime(w io.Writer) {
	took := table{head: []string{"planning, one at a time", "plans", "median", "worst", "allocated in all, in the mean"}}
	for _, x := range t.timed {
		ms := func(d time.Duration) string { return fmt.Sprintf("%.0f ms", float64(d)/1e6) }
		took.add(x.name, len(x.took), ms(x.took[len(x.took)/2]), ms(x.took[len(x.took)-1]), fmt.Sprintf("%.0f MB", x.megabytes))
	}
	took.print(w)
	if kb := peak(); kb > 0 {
		fmt.Fprintf(w, "\nAt most %.0f MB of memory were in use, with all jobs that were kept.\n", float64(kb)/1024)
	}
}

func wrongText(wrong float64) string { return fmt.Sprintf("%g %%", 100*wrong) }
