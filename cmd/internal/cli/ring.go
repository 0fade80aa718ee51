package cli

import (
	"bufio"
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

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

// separatedCaution stands there, too, if several boards of a stack are rung out.
const separatedCaution = "with the halves separated: joined, pads ring by way of the other board"

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
The boards of a stack are rung out one after the other, with the halves
separated: joined, pads ring by way of the other board.

  y or .  it rings        u  take the last answer back
  n       it is silent    q  leave
  s       skip this pair

A touch of your own choice is taken, too: P1 TP7 y. Each answer is in the
knowledge base before the next pair is shown: a ring as continuity, or, where a
coil, a bead or a few ohms may let another net ring, as a reading like silence.
With --to it goes into a sheet instead, which is made or gone on with,
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
	var boards []*ringing
	err := a.reading(ctx, func(base *store.Base) (err error) {
		boards, err = a.newRingings(ctx, base, opt, question)
		return err
	})
	if err != nil {
		return err
	}
	a.notice(ringCaution)
	if len(boards) > 1 {
		a.notice(separatedCaution)
	}
	text := bufio.NewScanner(a.In)
	for _, r := range boards {
		if err = r.begin(ctx); err == nil {
			err = r.talk(ctx, text)
		}
		if err != nil {
			break
		}
	}
	if errors.Is(err, errLeft) {
		return nil
	}
	return err
}

// ringing is one sitting of ringing out.
type ringing struct {
	*ringSite
	app  *app
	keep ringKeeper

	known   *ring.Known
	touches []touch      // that known is made of, by the numbers of its facts
	rungs   *board.Board // by these; nil until it is asked for
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
	line := fmt.Sprintf("%s: %s to ring out against %s", strings.TrimSpace(r.role+" "+r.ref.String()), plural(r.asked, r.noun), plural(len(r.nets), "net"))
	if r.onNets > 0 {
		line += fmt.Sprintf("; %d on a net already", r.onNets)
	}
	return r.app.line("%s", line)
}

// talk shows one pair after the other and does what is answered, until all is
// settled or nobody answers any more. It is errLeft if the user leaves.
func (r *ringing) talk(ctx context.Context, text *bufio.Scanner) error {
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
			return cmp.Or(r.finish(ctx), errLeft)
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
	t := touch{a: a, b: b, rings: rings, by: r.app.author(), when: r.app.now().UTC().Truncate(time.Second), home: store.BoardSubject(r.ref)}
	if _, err := r.renew(ctx); err != nil { // somebody else may have said more
		return err
	}
	t.sure = rings && t.b != (board.Target{}) && r.beyond(t) == board.None
	t = t.said()
	for _, fact := range r.facts(t) {
		if c := r.known.Add(fact); c != nil {
			r.tellClash(ctx, t, c, false)
			return nil
		}
		r.touches = append(r.touches, t)
	}
	r.rungs = nil
	if err := r.keep.keep(ctx, t); err != nil {
		return err
	}
	r.done = append(r.done, answered{touch: t})
	return r.tellKept(t, "kept")
}

// beyond is a part by which a touch may have rung from another net than the one
// that is known of its places; board.None if there is none.
func (r *ringing) beyond(t touch) board.PartID {
	for _, end := range []board.Target{t.a, t.b} {
		n := r.node(end)
		if n < 0 {
			continue
		}
		if net := r.known.NetOf(n); net >= 0 {
			return r.b.RingsBeyond(board.NetID(net))
		}
	}
	return board.None
}

// rung is what the touches say of a place together; nil if nothing.
func (r *ringing) rung(x spot) *board.Rung {
	if r.rungs == nil {
		touches := make([]board.Touch, len(r.touches))
		for i, t := range r.touches {
			touches[i] = board.Touch{A: t.a, B: t.b, Rings: t.rings, Said: t.sure, By: t.by, When: t.when}
		}
		r.rungs = r.b.Ringing(touches)
	}
	if x.kind == board.OnPad {
		return r.rungs.RungPad(x.pad)
	}
	return r.rungs.RungPin(x.pin)
}

// own takes a touch of two places that the user names, in a line such as P1 C2.1 y.
func (r *ringing) own(ctx context.Context, line string) (bool, error) {
	words := strings.Fields(line)
	if len(words) != 3 || !slices.Contains(ringWords, strings.ToLower(words[2])) {
		return false, nil
	}
	var t [2]board.Target
	for i, word := range words[:2] {
		role, name, ok := strings.Cut(word, ":")
		if !ok || r.role == "" {
			role, name = r.role, word
		}
		if role != r.role {
			r.app.notice(fmt.Sprintf("%s is on another board, and now %s is rung out: with the halves separated, nothing rings from one to the other", word, r.role))
			return true, nil
		}
		t[i] = board.Target{Name: name}
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
		r.app.notice("there is no answer on this board to take back in this sitting")
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
	r.known, r.touches, r.rungs = ring.New(sizes, places), nil, nil
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
	if k, ok := r.keep.(keepInSheet); ok && k.stack == "" {
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
	for _, x := range r.places[:r.asked] {
		if x.kind != board.OnPad {
			continue
		}
		pad := board.QuoteName(r.b.Pads[x.pad].Name)
		nets[pad] = noNet
		if x := r.rung(x); x != nil && x.Sure {
			nets[pad] = board.QuoteName(r.nets[x.Nets[0]].Name)
		}
	}
	return nets
}
