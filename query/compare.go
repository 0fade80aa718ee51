package query

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"netlore/query/check"
	"netlore/query/diag"
	"netlore/query/run"
	"netlore/query/syntax"
	"netlore/query/words"
	"netlore/store/board"
)

// Compare puts the readings of a job, of a specimen or at a place beside those of
// another job or specimen, or, without one, beside what is expected. A word is a
// job, else a specimen of a good board; the first may be a net or another place.
// Complaints are a diag.List.
func Compare(ctx context.Context, src run.Source, opt Options, words ...string) (*run.Answer, []run.Point, error) {
	scope, err := comparing(ctx, src, opt, words[0])
	if err != nil {
		return nil, nil, err
	}
	var sides [2]run.Compared
	for i, word := range words {
		side, list := comparedBy(scope, word, i == 0)
		if list != nil {
			return nil, nil, list
		}
		sides[i] = side
	}
	answer, points := run.Compare(ctx, scope, sides[0], sides[1])
	answer.Cut(opt.Rows)
	return answer, points, nil
}

// Comparable are the jobs and specimens that Compare knows.
func Comparable(ctx context.Context, src run.Source, opt Options) ([]string, error) {
	scope, err := comparing(ctx, src, opt, "")
	if err != nil {
		return nil, err
	}
	jobs, specimens := sources(scope)
	return append(jobs, specimens...), nil
}

// comparing is what is compared on: what a question would be asked of; where that
// leaves a choice, what the job is of.
func comparing(ctx context.Context, src run.Source, opt Options, job string) (*check.Scope, error) {
	t, err := comparedOn(ctx, src, opt, job)
	if err != nil {
		return nil, err
	}
	return t.load(ctx, src)
}

func comparedOn(ctx context.Context, src run.Source, opt Options, job string) (t target, err error) {
	all, err := src.Catalogue(ctx)
	if err != nil {
		return t, err
	}
	t, list, err := chooseFor(ctx, src, all, opt.On, &syntax.Question{}, job)
	if list != nil {
		return t, list
	}
	return t, err
}

// chooseFor is choose, and where that leaves a choice, what the job is of; it may be
// empty.
func chooseFor(ctx context.Context, src run.Source, all *board.Catalogue, on string, q *syntax.Question, job string) (target, diag.List, error) {
	t, list := choose(all, on, q)
	if list == nil || on != "" || job == "" {
		return t, list, nil
	}
	home, err := homeOf(ctx, src, all, job)
	if err != nil || home == "" {
		return t, list, err
	}
	t, list = choose(all, home, q)
	return t, list, nil
}

// jobSaid is the first job that a question asks suspects or tests of, empty if it
// asks of none.
func jobSaid(q *syntax.Question) string {
	for _, s := range q.Slots() {
		of := s.Noun()
		if s.Kind == syntax.NameSlot && s.Leader == "job" && (of == words.Suspects || of == words.Tests) {
			return check.PlainName(s.Name.Text)
		}
	}
	return ""
}

// homeOf is the stack or board that a job is of, empty if there is no such job.
func homeOf(ctx context.Context, src run.Source, all *board.Catalogue, job string) (string, error) {
	var refs []board.Ref
	for _, s := range all.Stacks {
		refs = append(refs, board.Ref{Name: s.Name})
	}
	for _, ref := range append(refs, newest(all)...) {
		if err := ctx.Err(); err != nil {
			return "", err
		}
		known, err := src.Knowledge(ctx, ref)
		if err != nil {
			return "", fmt.Errorf("reading what is known of %s: %w", ref, err)
		}
		if known != nil && slices.ContainsFunc(known.Jobs, func(j board.Job) bool { return j.ID == job }) {
			return ref.String(), nil
		}
	}
	return "", nil
}

// comparedBy finds what a word means.
func comparedBy(scope *check.Scope, word string, place bool) (run.Compared, diag.List) {
	jobs, specimens := sources(scope)
	switch {
	case slices.Contains(jobs, word):
		return run.Compared{Job: word}, nil
	case slices.Contains(specimens, word):
		return run.Compared{Specimen: word}, nil
	case !place:
		return run.Compared{}, noSource(word, jobs, specimens, "no job and no specimen of a good board that was read here is called")
	}
	if t, ok := placeOf(scope, word); ok {
		return run.Compared{Place: t}, nil
	}
	return run.Compared{}, noSource(word, append(jobs, places(scope)...), specimens, "no job, specimen, net, pad, pin or part here is called")
}

// sources are the jobs and specimens that there are readings of.
func sources(scope *check.Scope) (jobs, specimens []string) {
	for _, m := range scope.Members {
		if m.Knowledge == nil {
			continue
		}
		for i := range m.Knowledge.Jobs {
			jobs = append(jobs, m.Knowledge.Jobs[i].ID)
		}
		for _, r := range m.Knowledge.Readings {
			if r.Job != "" {
				jobs = append(jobs, r.Job)
			}
			if r.Specimen != "" {
				specimens = append(specimens, r.Specimen)
			}
		}
	}
	for _, list := range []*[]string{&jobs, &specimens} {
		slices.SortFunc(*list, board.CompareNatural)
		*list = slices.Compact(*list)
	}
	return jobs, specimens
}

// placeOf is the place that a word names on any member.
func placeOf(scope *check.Scope, word string) (board.Target, bool) {
	t := board.Target{Name: word}
	if role, rest, ok := strings.Cut(word, ":"); ok && !strings.HasPrefix(word, `"`) {
		t.Role, t.Name = role, rest
	}
	t.Name = board.PlainName(t.Name)
	return t, slices.ContainsFunc(scope.Members, func(m check.Member) bool {
		return (t.Role == "" || t.Role == m.Role) && run.Names(m.Board, t)
	})
}

func places(scope *check.Scope) []string {
	var all []string
	for _, m := range scope.Members {
		for i := range m.Board.Nets {
			all = append(all, m.Board.Nets[i].Name)
		}
		for i := range m.Board.Pads {
			all = append(all, m.Board.Pads[i].Name)
		}
	}
	return all
}

func noSource(word string, names, specimens []string, message string) diag.List {
	list := complain("Q63", fmt.Sprintf("%s %s", message, diag.Quote(word)))
	for _, near := range diag.Closest(word, slices.Concat(names, specimens)) {
		list[0].Help = append(list[0].Help, "did you mean "+near+"?")
	}
	if len(specimens) > 0 {
		list[0].Help = append(list[0].Help, "specimens that were read: "+diag.OneOf(specimens...))
	}
	return list
}
