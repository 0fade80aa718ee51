package cli

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"netlore/query/diag"
	"netlore/query/ring"
	"netlore/store"
	"netlore/store/board"
)

// propose shows the next pair; it reports whether there is one.
func (r *ringing) propose() (bool, error) {
	next, ok := r.known.Next()
	if !ok {
		return false, nil
	}
	r.next = next
	a, b := r.probes(next)
	net := ""
	if next.B < len(r.nets) {
		net = r.nets[next.B].Name
	}
	settled, left := r.settled(), math.Round(r.known.Left())
	if r.app.json {
		writeJSON(r.app.Out, map[string]any{"pair": len(r.done) + 1, "a": r.called(a, ""), "a_place": r.where(a), "b": r.called(b, ""), "b_place": r.where(b), "net": orNull(net),
			"chance": threeDigits(next.P), "bits": threeDigits(next.Bits), "settled": settled, "of": r.asked, "about_left": left})
		return true, nil
	}
	first, second := r.called(a, ""), r.called(b, net)
	width := max(len(first), len(second))
	err := r.app.line("%3d  %-*s  %s", len(r.done)+1, width, first, r.where(a))
	if err == nil {
		err = r.app.line("     %-*s  %s", width, second, r.where(b))
	}
	if err == nil {
		err = r.app.line("     %s likely to ring; %d of %d settled, about %s left", percent(next.P), settled, r.asked, touches(left))
	}
	if err == nil && r.app.InTerminal {
		err = r.app.print("rings? ")
	}
	return true, err
}

func orNull(s string) any {
	if s == "" {
		return nil
	}
	return s
}

func touches(n float64) string {
	if n == 1 {
		return "1 touch"
	}
	return strconv.FormatFloat(n, 'f', 0, 64) + " touches"
}

func percent(p float64) string {
	if p < 0.01 {
		return "less than 1 %"
	}
	return fmt.Sprintf("%.0f %%", 100*p)
}

// called is what a probe touches: the pad or pin, and its net.
func (r *ringing) called(x spot, net string) string {
	name := roled(x.target, r.role).String()
	if net == "" {
		return name
	}
	return name + " on " + net
}

// settled counts the places that were asked for and are settled.
func (r *ringing) settled() int {
	n := 0
	for i := range r.places[:r.asked] {
		if r.known.IsSettled(len(r.nets) + i) {
			n++
		}
	}
	return n
}

// tellKept tells that a touch is on disk, or is no more.
func (r *ringing) tellKept(t touch, what string) error {
	if r.app.json {
		writeJSON(r.app.Out, map[string]any{what: strings.TrimSpace(t.text)})
		return nil
	}
	t.a, t.b = roled(t.a, r.role), roled(t.b, r.role)
	return r.app.line("     %s: %s", what, t)
}

// tellNets sums up what is known of the places that were asked for.
func (r *ringing) tellNets() error {
	for i := range r.places[:r.asked] {
		at := len(r.nets) + i
		with := r.with(at)
		if with[0] != at {
			continue // told with the first of its class
		}
		var names []string
		for _, n := range with {
			names = append(names, r.called(r.places[n-len(r.nets)], ""))
		}
		net, maybe := r.netsOf(at)
		if r.app.json {
			writeJSON(r.app.Out, map[string]any{"places": names, "net": orNull(net), "maybe": maybe, "settled": r.known.IsSettled(at), "not_on": r.notOn(at)})
			continue
		}
		if err := r.app.line("%s: %s", strings.Join(names, ", "), r.lot(at, net, maybe)); err != nil {
			return err
		}
	}
	return nil
}

// netsOf is the net of a place, or those that it may be on.
func (r *ringing) netsOf(at int) (net string, maybe []string) {
	x, maybe := r.rung(r.places[at-len(r.nets)]), []string{}
	switch {
	case x == nil:
	case x.Sure:
		net = r.nets[x.Nets[0]].Name
	default:
		for _, id := range x.Nets {
			maybe = append(maybe, r.nets[id].Name)
		}
	}
	return net, maybe
}

// with are the places on one net with a place, and itself.
func (r *ringing) with(at int) (all []int) {
	for i := range r.places {
		if n := len(r.nets) + i; r.known.Relation(at, n) == ring.Same {
			all = append(all, n)
		}
	}
	return all
}

// notOn are the nets that a place is known not to be on, without it being on
// another.
func (r *ringing) notOn(at int) []string {
	names := []string{}
	for id := range r.nets {
		if r.known.NetOf(at) < 0 && r.known.Relation(at, id) == ring.Apart {
			names = append(names, r.nets[id].Name)
		}
	}
	return names
}

// lot is what is known of a place in words.
func (r *ringing) lot(at int, net string, maybe []string) string {
	not := r.notOn(at)
	switch {
	case len(maybe) > 0:
		return "may be on " + diag.OneOf(maybe...) + ": " + r.rung(r.places[at-len(r.nets)]).Why
	case net != "":
		return "on " + net
	case r.known.IsSettled(at):
		return "on none of the nets of the board"
	case len(not) > 0:
		return "not known yet; not on " + few(not)
	}
	return "not known yet"
}

// tellClash tells of a touch that contradicts others, with where each comes from.
// What is held and can be withdrawn has a number.
func (r *ringing) tellClash(ctx context.Context, t touch, c *ring.Contradiction, held bool) {
	what := "was not kept"
	if held {
		what = "is left out"
	}
	d := diag.Diagnostic{Code: onOne(t.rings), Message: fmt.Sprintf("that %s contradicts what is known, and %s", t, what)}
	number := func(t touch) {
		r.clash = append(r.clash, t)
		d.Help = append(d.Help, fmt.Sprintf("%d: %s (%s)", len(r.clash), t, r.source(ctx, t)))
	}
	if held {
		number(t)
	}
	seen := []string{r.member(ctx, t.a), r.member(ctx, t.b)}
	for _, i := range c.Chain {
		old := r.touches[i]
		number(old)
		seen = append(seen, r.member(ctx, old.a), r.member(ctx, old.b))
	}
	for i, line := range seen {
		if line != "" && !slices.Contains(seen[:i], line) {
			d.Help = append(d.Help, line)
		}
	}
	if c.NetA >= 0 && t.rings {
		for _, part := range r.b.RingsBetween(board.NetID(c.NetA), board.NetID(c.NetB)) {
			d.Help = append(d.Help, r.b.Parts[part].Name+" lies between the two nets, and may be what rings")
		}
	}
	what = "measure again; if it stays so, the board is not as it is in the base"
	if held || len(c.Chain) > 0 {
		what = "measure again; the number of a touch that was wrong withdraws it"
	}
	d.Help = append(d.Help, what)
	r.app.complain(diag.List{d})
}

// source is who said a touch, and when, and where that stands.
func (r *ringing) source(ctx context.Context, t touch) string {
	by := "nobody says by whom"
	if t.by != "" {
		by = "by " + t.by
	}
	if !t.when.IsZero() {
		by += ", " + t.when.UTC().Format(time.DateOnly)
	}
	if from := r.origin(ctx, t.home, board.Statement{Head: strings.TrimSpace(t.text)}); from != "" {
		by += "; " + from
	}
	return by
}

// member is by what statement a place is on a net; empty if it is on none.
func (r *ringing) member(ctx context.Context, t board.Target) string {
	x, ok := r.spotOf(t)
	if !ok || r.netOf(x) == board.None {
		return ""
	}
	net := r.nets[r.netOf(x)].Name
	said := board.Statement{Head: "pad " + board.QuoteName(t.Name)}
	if x.kind == board.OnPin {
		said = board.Statement{Head: "net " + board.QuoteName(net), Member: board.QuoteName(r.b.Parts[r.b.Pins[x.pin].Part].Name)}
	}
	line := t.String() + " is on " + net
	if from := r.origin(ctx, store.BoardSubject(r.ref), said); from != "" {
		line += " (" + from + ")"
	}
	return line
}

// origin is where a statement came from, if the base holds it.
func (r *ringing) origin(ctx context.Context, home store.Subject, said board.Statement) (from string) {
	if said.Head == "" {
		return ""
	}
	err := r.app.reading(ctx, func(base *store.Base) error {
		found, err := base.Origins(ctx, home.Ref, []board.Statement{said})
		if err == nil && len(found[0]) > 0 {
			from = found[0][0].String()
		}
		return err
	})
	if err != nil {
		return "" // the contradiction is what counts
	}
	return from
}

// numbered reads a line as the number of something that can be withdrawn.
func (r *ringing) numbered(word string) (int, bool) {
	n, err := strconv.Atoi(word)
	return n, err == nil && n >= 1 && n <= len(r.clash)
}

// onOne is the code of a complaint of a ring, and of silence.
func onOne(rings bool) string {
	if rings {
		return "S414"
	}
	return "S421"
}
