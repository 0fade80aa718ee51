package run

import (
	"context"
	"slices"
	"strings"

	"netlore/query/check"
	"netlore/query/isolate"
	"netlore/query/plan"
	"netlore/query/words"
	"netlore/store/board"
)

// JobError is that a job which suspects or tests are asked of cannot be worked out.
type JobError struct {
	Job string
	Err error // such as ErrNoRail
}

func (e *JobError) Error() string { return "job " + e.Job + ": " + e.Err.Error() }

func (e *JobError) Unwrap() error { return e.Err }

// inquire works out the jobs that a question asks suspects or tests of, each once. It
// does nothing for a question that asks of none. A job that is only one of every job
// is left out if it tells of no short.
func (w *assembly) inquire(what check.Inquiry) error {
	if what.Suspects == nil && what.Tests == nil {
		return nil
	}
	ctx, cancel := w.brake.context()
	defer cancel()
	w.inquiry = newInquiry()
	start, left := w.brake.now(), []string(nil)
	for _, id := range bothOf(what.Suspects, what.Tests) {
		err := w.inquireOf(ctx, id, slices.Contains(what.Suspects, id), slices.Contains(what.Tests, id))
		switch {
		case w.brake.check():
			return nil
		case ctx.Err() != nil:
			w.brake.why = "stopped at the time limit"
			return nil
		case err != nil && slices.Contains(what.Asked, id):
			return &JobError{id, err}
		case err != nil:
			left = append(left, board.QuoteName(id))
		}
	}
	w.inquiry.took = w.brake.now().Sub(start)
	w.remarkAll(w.inquiry.remarks)
	if left != nil {
		w.remark("left out, for no short to ground is known of it: job " + strings.Join(left, ", "))
	}
	return nil
}

// bothOf are the jobs of two lists in natural order, each once.
func bothOf(a, b []string) []string {
	all := append(slices.Clone(a), b...)
	slices.SortFunc(all, board.CompareNatural)
	return slices.Compact(all)
}

// inquireOf works out one job. A number is one device, but for jobs that several
// boards have with the same one: then the first is taken, as the commands do.
func (w *assembly) inquireOf(ctx context.Context, id string, suspects, tests bool) error {
	jobs := w.site(0).jobs()
	at := slices.IndexFunc(jobs, func(j board.Job) bool { return j.ID == id })
	if at < 0 {
		return ErrNoRail // only readings tell of it
	}
	x, err := w.isolating(ctx, Isolation{Job: &jobs[at]}, nil)
	if err != nil {
		return err
	}
	remarks := x.remarks()
	if tests {
		next, err := x.at.Next(ctx, x.state, x.tools)
		if err != nil {
			return err
		}
		w.inquiry.addTests(x, next.Proposals)
		remarks = append(remarks, x.outlook(&next, next.Proposals)...)
	}
	if suspects {
		w.inquiry.add(x)
	}
	w.inquiry.remarks = append(w.inquiry.remarks, jobRemarks{id, remarks})
	return nil
}

// jobRemarks are what is to be said about a job.
type jobRemarks struct {
	job  string
	said []string
}

// remarkAll says what is to be said about the jobs; of which, if there are several.
func (w *assembly) remarkAll(jobs []jobRemarks) {
	for _, j := range jobs {
		for _, text := range j.said {
			if len(jobs) > 1 && !slices.Contains(cautions, text) && !slices.Contains(FreezerCautions, text) {
				text = "job " + board.QuoteName(j.job) + ": " + text
			}
			w.remark(text)
		}
	}
}

// suspectsOf are the suspects of the jobs and boards that a selection asks. What no
// sheet tells of may be on any board.
func (s *site) suspectsOf(n *plan.Node) Pair {
	p := newPair(s.count(words.Suspects))
	for id := range s.assembly.inquiry.suspects {
		x := s.suspect(int32(id))
		if slices.Contains(n.Jobs, x.job.ID) {
			p.put(int32(id), x.on(n.Members).Truth)
		}
	}
	return p
}

// on judges whether a suspect is on one of some members.
func (x *suspect) on(members []int) finding {
	switch {
	case len(members) == len(x.scope.Members):
		return yes
	case x.fault.Kind == isolate.Elsewhere:
		return unknown(nowhere.why)
	}
	return known(slices.ContainsFunc(x.fault.Sites, func(f isolate.Site) bool { return slices.Contains(members, f.Spot.Board) }))
}

// testsOf are the tests of the jobs that a selection asks.
func (s *site) testsOf(n *plan.Node) Bits {
	all := NewBits(s.count(words.Tests))
	for id := range s.assembly.inquiry.tests {
		if slices.Contains(n.Jobs, s.test(int32(id)).job.ID) {
			all.Set(int32(id))
		}
	}
	return all
}

// suspectsAt links parts, pads or branches to the suspects that they are, or that
// they are a part of.
func suspectsAt(n words.Noun) follow {
	return func(s *site, id int32, yield func(int32, bool)) {
		for _, x := range s.assembly.inquiry.of[memberThing{s.member, thing{n, id}}] {
			yield(x, true)
		}
	}
}

// testsAt links parts, pads or covers to the tests that are made at them, or that
// they must come off for.
func testsAt(n words.Noun) follow {
	return func(s *site, id int32, yield func(int32, bool)) {
		for _, x := range s.assembly.inquiry.at[memberThing{s.member, thing{n, id}}] {
			yield(x, true)
		}
	}
}

// suspectTo links a suspect to what its parts, pads and copper here are linked to.
func suspectTo(n words.Noun) follow {
	return func(s *site, id int32, yield func(int32, bool)) {
		for _, p := range s.suspect(id).pieces {
			switch l, ok := linkOf(p.noun, n); {
			case p.member != s.member:
			case p.noun == n:
				yield(p.id, true)
			case ok:
				l.forward(s, p.id, yield)
			}
		}
	}
}

// coversSuspect judges whether a cover hides a suspect, or one of its parts.
func (s *site) coversSuspect(c board.CoverID, id int32) board.Hiding {
	best := board.Hiding{}
	for i := range s.suspect(id).pieces {
		p := &s.suspect(id).pieces[i]
		if p.member != s.member {
			continue
		}
		h := s.coversPiece(c, p)
		if h.Truth > best.Truth {
			best = h
		}
	}
	return best
}

func (s *site) coversPiece(c board.CoverID, p *piece) board.Hiding {
	if p.noun != words.Branches {
		return s.covers(c, p.thing)
	}
	switch {
	case p.lid == int32(c):
		return board.Hiding{Truth: board.True}
	case p.lid == board.None && p.Side == board.SideUnknown:
		return board.Hiding{Truth: board.Unknown, Why: noPosition.why}
	}
	return board.Hiding{}
}
