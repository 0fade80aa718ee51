// Package query answers questions such as
//
//	parts on VMAIN under shield or connector
//
// It is the front door and the table of contents of the stages that a question
// passes, each a package of its own:
//
//	syntax   text to a tree, every node with its place
//	check    names to a board's things, fields and units: a typed tree
//	plan     which index to use, in which order
//	run      the answer, as what is certain and what is merely possible
//
// with words (what can be said), value (numbers with units) and diag (what is
// complained) beside them. No stage reaches back.
package query

import (
	"context"
	"time"

	"netlore/query/check"
	"netlore/query/diag"
	"netlore/query/run"
	"netlore/query/syntax"
	"netlore/query/words"
)

// Options say what a question is asked of, and limit its answer.
type Options struct {
	// On names the stack or board that is asked: "Heron", "Heron-A",
	// "Heron-A rev 3". It may be empty if there is no choice, or if the
	// question names its boards.
	On string
	// Rows is the most rows of an answer; 0 is 10,000.
	Rows int
	// Time is the longest time to work; 0 is 10 s.
	Time time.Duration
	// It is the reading of the last question, if there is one to speak of: the
	// noun it is then what that asked for.
	It string
	// Stated asks of the boards as they are stated, without what follows from
	// places that ring.
	Stated bool
	// Each is handed the rows of a question of every board as they are found, a
	// board at a time, if they are to be in no other order: then they are not in
	// the answer, and any number of them takes no more memory than those of one
	// board. An error of it ends the answer. It may be nil.
	Each func(columns []run.Column, rows []run.Row) error
	// Now is the clock, which may be asked by many goroutines at a time; nil is
	// time.Now.
	Now func() time.Time
}

// DefaultTime is the longest time to work unless Options say otherwise.
const DefaultTime = 10 * time.Second

// Question is a question that was read and checked, and can be run.
type Question struct {
	// Reading is the question in canonical form, with brackets where the words
	// alone leave a doubt.
	Reading string
	// Notes tell how names were taken: VMAIN for vmain.
	Notes diag.List

	tree   *syntax.Question
	asked  *check.Asked
	target target
	typed  *check.Question // if it is asked of every board, for the first of them
}

// Ask answers a question. Complaints about the question are a diag.List; any
// other error comes from the source.
func Ask(ctx context.Context, src run.Source, opt Options, text string) (*run.Answer, error) {
	q, err := Compile(ctx, src, opt, text)
	if err != nil {
		return nil, err
	}
	return q.Run(ctx, src, opt)
}

// Compile reads and checks a question. A question of every board is checked
// against the first one; the others are read when it is run.
func Compile(ctx context.Context, src run.Source, opt Options, text string) (*Question, error) {
	all, err := src.Catalogue(ctx)
	if err != nil {
		return nil, err
	}
	tree, list := opt.shelf(all).Parse(text)
	if list != nil {
		if check.MayBeOfNames(list) {
			list = check.ByNames(text, list, scopeFor(ctx, src, opt, &syntax.Question{}))
		}
		return nil, list
	}
	tree, text, list = syntax.Expand(text, tree)
	if list != nil {
		return nil, list
	}
	t, list, err := chooseFor(ctx, src, all, opt.On, tree, jobSaid(tree))
	switch {
	case err != nil:
		return nil, err
	case list != nil:
		return nil, list
	}
	t.stated = opt.Stated
	asked := check.NewAsked(text, tree)
	q := &Question{Reading: asked.Reading(), tree: tree, asked: asked, target: t}
	scope, err := t.load(ctx, src)
	if err != nil {
		return nil, err
	}
	typed, list := asked.Check(scope)
	if typed == nil {
		return nil, list
	}
	q.Notes, q.typed = list, typed
	return q, nil
}

// Run answers a question that was compiled. When the context ends or a limit is
// hit, the answer holds what was found until then and says so. A job that suspects
// or tests are asked of, but that does not tell what is shorted, is a diag.List.
func (q *Question) Run(ctx context.Context, src run.Source, opt Options) (*run.Answer, error) {
	if opt.Time == 0 {
		opt.Time = DefaultTime
	}
	r := run.New(run.Options{Rows: opt.Rows, Time: opt.Time, Now: opt.Now})
	if !q.target.every {
		r.Add(ctx, q.typed)
		if err := r.Err(); err != nil {
			return nil, cannotInquire(err)
		}
		a := r.Finish()
		if q.typed.Why != nil {
			return a, q.target.addOrigins(ctx, src, a)
		}
		return a, nil
	}
	if err := q.runOnEvery(ctx, src, r, opt.Each); err != nil && ctx.Err() == nil {
		return nil, err
	}
	r.Stop(ctx)
	return r.Finish(), nil
}

// HandsOver reports whether the rows can be handed over as they are found; see
// Options.Each.
func (q *Question) HandsOver() bool { return q.target.every && q.typed.InOrder() }

// noun is what is asked for; NoNoun of a route.
func (q *Question) noun() words.Noun {
	if q.typed.Set == nil {
		return words.NoNoun
	}
	return q.typed.Set.Noun()
}
