package cli

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"netlore/query/ring"
	"netlore/store"
	"netlore/store/board"
)

type ringOptions struct {
	on string
	to string
}

// ringCaution stands before the first touch (common practice, no source).
const ringCaution = "continuity only on a dead board: no supply, the battery unplugged, capacitors discharged"

// newRing makes `netlore ring`.
func newRing(a *app) *cobra.Command {
	var opt ringOptions
	cmd := &cobra.Command{
		Use:   "ring [OPTIONS] ['PADS OR PINS']",
		Short: "ring out pads whose net is not known",
		Long: `Ring proposes which two places to touch next with the meter on continuity, so
that few touches tell on which nets pads and pins are: those that a question
names, else all pads without a net. The likeliest to ring comes first, which is
a large net such as ground; what follows from earlier touches is never asked.

  y or .  it rings        u  take the last answer back
  n       it is silent    q  leave
  s       skip this pair

A touch of your own choice is taken, too: P1 TP7 y. Each answer is in the
knowledge base before the next pair is shown: a ring as continuity, silence as a
reading. With --to it goes into a sheet instead, which is made or gone on with,
and in the end the nets of the pads as well; netlore add makes them known.
An answer that contradicts what is known is told with where that comes from, and
not kept; the number of an older touch there withdraws that.

Touches in a job are left aside: that device may have a short.

Continuity only on a dead board: no supply, the battery unplugged, capacitors
discharged.`,
		Example:           "  netlore ring 'pads without net in IP1' --on Heron-A\n  netlore ring --to ringout.lore",
		ValidArgsFunction: a.completeQuestion(&askOptions{}),
		RunE: func(cmd *cobra.Command, args []string) error {
			return runRing(cmd.Context(), a, opt, strings.Join(args, " "))
		},
	}
	f := cmd.Flags()
	f.Var(name("BOARD", &opt.on), "on", "the board to ring out: Heron-A, \"Heron-A rev 3\"")
	f.Var(name("FILE", &opt.to), "to", "write what is learned into this sheet, not into the base")
	cmd.RegisterFlagCompletionFunc("on", a.completeName)
	return cmd
}

func runRing(ctx context.Context, a *app, opt ringOptions, question string) error {
	if strings.TrimSpace(question) == "" {
		question = "pads without net"
	}
	var r *ringing
	err := a.reading(ctx, func(base *store.Base) (err error) {
		r, err = a.newRinging(ctx, base, opt, question)
		return err
	})
	if err != nil {
		return err
	}
	a.notice(ringCaution)
	if err := r.begin(ctx); err != nil {
		return err
	}
	return r.talk(ctx)
}

// ringing is one sitting of ringing out.
type ringing struct {
	*ringSite
	app  *app
	keep ringKeeper

	known   *ring.Known
	touches []touch // that known is made of, by the numbers of its facts
	skips   [][2]int
	done    []answered // in this sitting, that can be taken back
	clash   []touch    // that contradict others, and can be withdrawn by number
	next    ring.Proposal
	wrong   bool // a line was not understood
}

// answered is an answer of this sitting: a touch, or a pair that was skipped.
type answered struct {
	touch touch
	skip  bool
}

// begin tells what is to be rung out.
func (r *ringing) begin(ctx context.Context) error {
	bad, err := r.renew(ctx)
	if err != nil {
		return err
	}
	for _, c := range bad {
		r.tellClash(ctx, c.fact, c.against, true)
	}
	if r.app.json {
		return nil
	}
	line := fmt.Sprintf("%s: %s to ring out against %s", r.ref, plural(r.asked, r.noun), plural(len(r.nets), "net"))
	if r.onNets > 0 {
		line += fmt.Sprintf("; %d on a net already", r.onNets)
	}
	return r.app.line("%s", line)
}

// talk shows one pair after the other and does what is answered, until all is
// settled or nobody answers any more.
func (r *ringing) talk(ctx context.Context) error {
	text := bufio.NewScanner(r.app.In)
	for {
		more, err := r.propose()
		if err != nil || !more {
			return errors.Join(err, r.finish(ctx))
		}
		if !text.Scan() {
			break
		}
		err = r.heard(ctx, strings.TrimSpace(text.Text()))
		if errors.Is(err, errLeft) {
			break
		}
		if err != nil {
			return err
		}
	}
	if err := text.Err(); err != nil && !errors.Is(err, context.Canceled) {
		return fail(exitInput, fmt.Errorf("standard input cannot be read: %w", reason(err)))
	}
	return r.finish(ctx)
}

// heard does what one line says.
func (r *ringing) heard(ctx context.Context, line string) error {
	switch word := strings.ToLower(line); word {
	case "y", ".", "yes", "n", "no":
		return r.answer(ctx, ringsBy(word))
	case "s", "skip":
		r.skip()
		return nil
	case "u", "undo":
		return r.undo(ctx)
	case "q", "quit":
		return errLeft
	case "":
		return nil
	}
	if n, ok := r.numbered(line); ok {
		return r.withdraw(ctx, n)
	}
	if did, err := r.own(ctx, line); did || err != nil {
		return err
	}
	r.wrong = true
	r.app.notice(fmt.Sprintf("%q is no answer: y or . if it rings, n if it is silent, s skip, u undo, q quit; or two places and y or n", line))
	return nil
}

// answer keeps what is answered to the pair that was proposed.
func (r *ringing) answer(ctx context.Context, rings bool) error {
	a, b := r.probes(r.next)
	return r.take(ctx, a.target, b.target, rings)
}

// take keeps a touch, unless it contradicts what is known.
func (r *ringing) take(ctx context.Context, a, b board.Target, rings bool) error {
	t := newTouch(a, b, rings, r.app.author(), r.app.now())
	t.home = store.BoardSubject(r.ref)
	if _, err := r.renew(ctx); err != nil { // somebody else may have said more
		return err
	}
	for _, fact := range r.facts(t) {
		if c := r.known.Add(fact); c != nil {
			r.tellClash(ctx, t, c, false)
			return nil
		}
		r.touches = append(r.touches, t)
	}
	if err := r.keep.keep(ctx, t); err != nil {
		return err
	}
	r.done = append(r.done, answered{touch: t})
	return r.tellKept(t, "kept")
}

// own takes a touch of two places that the user names, in a line such as P1 C2.1 y.
func (r *ringing) own(ctx context.Context, line string) (bool, error) {
	words := strings.Fields(line)
	if len(words) != 3 || !slices.Contains(ringWords, strings.ToLower(words[2])) {
		return false, nil
	}
	var t [2]board.Target
	for i, word := range words[:2] {
		t[i] = board.Target{Name: word}
		if len(r.b.Find(t[i]).Kinds) == 0 {
			r.app.notice(fmt.Sprintf("nothing on %s is called %s", r.ref, word))
			return true, nil
		}
		if r.node(t[i]) < 0 {
			r.app.notice(word + " is not among what is rung out, nor on a net")
			return true, nil
		}
	}
	return true, r.take(ctx, t[0], t[1], ringsBy(words[2]))
}

// ringWords are the answers to a touch.
var ringWords = []string{"y", ".", "yes", "n", "no"}

func ringsBy(word string) bool { return !strings.HasPrefix(strings.ToLower(word), "n") }

func (r *ringing) skip() {
	r.skips = append(r.skips, [2]int{r.next.A, r.next.B})
	r.done = append(r.done, answered{skip: true})
	r.known.Skip(r.next.A, r.next.B)
}

// undo takes the last answer of this sitting back.
func (r *ringing) undo(ctx context.Context) error {
	last := len(r.done) - 1
	if last < 0 {
		r.app.notice("there is no answer to take back in this sitting")
		return nil
	}
	was := r.done[last]
	r.done = r.done[:last]
	if was.skip {
		r.skips = r.skips[:len(r.skips)-1]
	} else if err := r.drop(ctx, was.touch); err != nil {
		return err
	}
	_, err := r.renew(ctx)
	return err
}

// drop withdraws a touch. That somebody else was quicker is no error.
func (r *ringing) drop(ctx context.Context, t touch) error {
	err := r.keep.drop(ctx, t)
	switch {
	case errors.Is(err, store.ErrNotStated):
		r.app.notice("it is withdrawn already: " + t.String())
		return nil
	case errors.Is(err, errNotInSheet):
		r.app.notice(err.Error())
		return nil
	}
	if err != nil {
		return err
	}
	return r.tellKept(t, "taken back")
}

// withdraw takes back a touch that contradicts another.
func (r *ringing) withdraw(ctx context.Context, n int) error {
	if err := r.drop(ctx, r.clash[n-1]); err != nil {
		return err
	}
	_, err := r.renew(ctx)
	return err
}

// clashed is a touch that is known and contradicts older ones.
type clashed struct {
	fact    touch
	against *ring.Contradiction
}

// renew reads anew what is known of the touches.
func (r *ringing) renew(ctx context.Context) (bad []clashed, err error) {
	all, err := r.keep.touches(ctx)
	if err != nil {
		return nil, err
	}
	sizes, places := r.sizes(all)
	r.known, r.touches = ring.New(sizes, places), nil
	for _, t := range all {
		for _, fact := range r.facts(t) {
			if c := r.known.Add(fact); c != nil {
				bad = append(bad, clashed{t, c})
				continue
			}
			r.touches = append(r.touches, t)
		}
	}
	for _, s := range r.skips {
		r.known.Skip(s[0], s[1])
	}
	return bad, nil
}

// finish sums up what is known now.
func (r *ringing) finish(ctx context.Context) error {
	if err := r.tellNets(); err != nil {
		return err
	}
	if k, ok := r.keep.(keepInSheet); ok {
		if err := k.conclude(r.follows()); err != nil {
			return err
		}
	}
	switch {
	case ctx.Err() != nil:
		return ctx.Err()
	case r.wrong && !r.app.InTerminal:
		return fail(exitUsage, nil)
	}
	return nil
}

// follows are the nets of the pads that were asked for, by their names as a sheet
// writes them.
func (r *ringing) follows() map[string]string {
	nets := map[string]string{}
	for i, x := range r.places[:r.asked] {
		if x.kind != board.OnPad {
			continue
		}
		pad := board.QuoteName(r.b.Pads[x.pad].Name)
		nets[pad] = noNet
		if net := r.known.NetOf(len(r.nets) + i); net >= 0 {
			nets[pad] = board.QuoteName(r.nets[net].Name)
		}
	}
	return nets
}
