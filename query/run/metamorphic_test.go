package run_test

import (
	"maps"
	"math/rand"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"netlore/query/check"
	"netlore/query/plan"
	"netlore/store/board"
)

// Each thing that is asked for either has a property, or has it not, or it is
// not known: the three ways share nothing and leave nothing out. The test is
// that of Rigger and Su (ternary logic partitioning, 2020).
func TestTernaryPartition(t *testing.T) {
	r := rand.New(rand.NewSource(4))
	tested := 0
	for range 700 {
		b := randomBoard(r, 4+r.Intn(25), 30)
		a := asker{r}
		base, property := "parts "+a.partPhrase(1), a.partPhrase(1)
		all, with, without := typed(base, b, nil), typed(base+" "+property, b, nil), typed(base+" not "+property, b, nil)
		if all == nil || with == nil || without == nil {
			continue
		}
		tested++
		p, yes, no := boundsOf(all, plan.Options{}), boundsOf(with, plan.Options{}), boundsOf(without, plan.Options{})
		for name := range p.certain {
			open := yes.possible[name] && no.possible[name] && !yes.certain[name] && !no.certain[name]
			if ways := count(yes.certain[name], no.certain[name], open); ways != 1 {
				t.Fatalf("%s, %s: %s stands in %d of three", base, property, name, ways)
			}
		}
		if more := append(missing(yes.possible, p.possible), missing(no.possible, p.possible)...); more != nil {
			t.Fatalf("%s, %s: %v turn up", base, property, more)
		}
	}
	if tested < 450 {
		t.Errorf("only %d pairs were accepted", tested)
	}
}

func count(truths ...bool) int {
	n := 0
	for _, t := range truths {
		if t {
			n++
		}
	}
	return n
}

// Other names, and so another order, give the same things.
func TestRenaming(t *testing.T) {
	questions(t, 5, 400, func(r *rand.Rand, b *board.Board, q *check.Question) {
		if strings.Contains(q.Text, "*") || strings.Contains(q.Text, "..") {
			return // a pattern means names, not things
		}
		naming := newNaming(r, b)
		renamed := typed(naming.text(q.Text), rebuilt(b, naming), nil)
		if renamed == nil {
			t.Fatalf("%s is refused as %s", q.Text, naming.text(q.Text))
		}
		want, got := boundsOf(q, plan.Options{}), boundsOf(renamed, plan.Options{})
		want.certain, want.possible = naming.all(want.certain), naming.all(want.possible)
		if d := cmp.Diff(want, got, exported); d != "" {
			t.Fatalf("%s as %s\n%s", q.Text, renamed.Text, d)
		}
	})
}

// naming gives things other names: random ones, so that their order changes.
type naming map[string]string

func newNaming(r *rand.Rand, b *board.Board) naming {
	var old []string
	for i := range b.Parts {
		old = append(old, b.Parts[i].Name)
	}
	for i := range b.Nets {
		old = append(old, b.Nets[i].Name)
	}
	for i := range b.Pads {
		old = append(old, b.Pads[i].Name)
	}
	for i := range b.Covers {
		old = append(old, b.Covers[i].Name)
	}
	for i := range b.Branches {
		old = append(old, b.Branches[i].Name)
	}
	n := naming{}
	numbers := r.Perm(len(old))
	for i, name := range old {
		n[name] = "Z" + string(rune('A'+numbers[i]%26)) + string(rune('A'+numbers[i]/26%26)) + "z"
	}
	return n
}

// text is a question about the renamed things.
func (n naming) text(q string) string {
	fields := strings.Fields(q)
	for i, f := range fields {
		bare := strings.Trim(f, "(),")
		if to, ok := n[bare]; ok {
			fields[i] = strings.Replace(f, bare, to, 1)
		}
	}
	return strings.Join(fields, " ")
}

func (n naming) all(set map[string]bool) map[string]bool {
	renamed := map[string]bool{}
	for name := range set {
		part, pin, isPin := strings.Cut(name, ".")
		if to, ok := n[name]; ok {
			renamed[to] = true
		} else if isPin {
			renamed[n[part]+"."+pin] = true
		}
	}
	return renamed
}

// rebuilt is a board under other names.
func rebuilt(b *board.Board, n naming) *board.Board {
	bu := board.NewBuilder(b.Ref)
	bu.Board().Size = b.Size
	for _, net := range b.Nets {
		id := bu.Net(n[net.Name])
		net.Name = n[net.Name]
		*bu.NetAt(id) = net
	}
	for _, part := range b.Parts {
		id := bu.Part(n[part.Name])
		part.Name = n[part.Name]
		*bu.PartAt(id) = part
	}
	for _, pin := range b.Pins {
		id := bu.Pin(bu.Part(n[b.Parts[pin.Part].Name]), pin.Name)
		at := bu.PinAt(id)
		at.Placed, at.At, at.Shape = pin.Placed, pin.At, pin.Shape
		if pin.Net != board.None {
			bu.Connect(id, bu.Net(n[b.Nets[pin.Net].Name]))
		}
	}
	for _, pad := range b.Pads {
		id := bu.Pad(n[pad.Name])
		if pad.Net != board.None {
			pad.Net = bu.Net(n[b.Nets[pad.Net].Name])
		}
		pad.Name = n[pad.Name]
		*bu.PadAt(id) = pad
	}
	rebuildGroups(b, bu, n)
	bu.Board().Layers = b.Layers
	for _, v := range b.Vias {
		v.Net = bu.Net(n[b.Nets[v.Net].Name])
		bu.Board().Vias = append(bu.Board().Vias, v)
	}
	for _, t := range b.Tracks {
		t.Net = bu.Net(n[b.Nets[t.Net].Name])
		bu.Board().Tracks = append(bu.Board().Tracks, t)
	}
	return bu.Build()
}

// rebuildGroups adds the covers and branches.
func rebuildGroups(b *board.Board, bu *board.Builder, n naming) {
	for _, c := range b.Covers {
		id := bu.Cover(n[c.Name])
		c.Name, c.Part = n[c.Name], board.None
		c.Parts, c.Pads = slices.Clone(c.Parts), slices.Clone(c.Pads)
		for i, p := range c.Parts {
			c.Parts[i] = bu.Part(n[b.Parts[p].Name])
		}
		for i, p := range c.Pads {
			c.Pads[i] = bu.Pad(n[b.Pads[p].Name])
		}
		*bu.CoverAt(id) = c
	}
	for _, x := range b.Branches {
		id := bu.Branch(n[x.Name])
		x.Name, x.Net = n[x.Name], bu.Net(n[b.Nets[x.Net].Name])
		x.Pins, x.Pads = slices.Clone(x.Pins), slices.Clone(x.Pads)
		for i, p := range x.Pins {
			x.Pins[i] = bu.Pin(bu.Part(n[b.Parts[b.Pins[p].Part].Name]), b.Pins[p].Name)
		}
		for i, p := range x.Pads {
			x.Pads[i] = bu.Pad(n[b.Pads[p].Name])
		}
		*bu.BranchAt(id) = x
	}
}

// A board seen in a mirror gives the same answers, unless left and right are
// asked for.
func TestMirror(t *testing.T) {
	region := regexp.MustCompile(`in (box|top|bottom|left|right|middle)`)
	questions(t, 6, 400, func(_ *rand.Rand, b *board.Board, q *check.Question) {
		if region.MatchString(q.Text) {
			return
		}
		seen := typed(q.Text, mirrored(b), nil)
		if d := cmp.Diff(boundsOf(q, plan.Options{}), boundsOf(seen, plan.Options{}), exported); d != "" {
			t.Fatalf("%s\n%s", q.Text, d)
		}
	})
}

func mirrored(b *board.Board) *board.Board {
	c := copied(b)
	for i := range c.Parts {
		c.Parts[i].At.X = boardEdge - c.Parts[i].At.X
	}
	for i := range c.Pads {
		c.Pads[i].At.X = boardEdge - c.Pads[i].At.X
	}
	for i := range c.Covers {
		points := slices.Clone(c.Covers[i].Outline.Points)
		for k := range points {
			points[k].X = boardEdge - points[k].X
		}
		c.Covers[i].Outline.Points = points
	}
	for i := range c.Pins {
		c.Pins[i].At.X = boardEdge - c.Pins[i].At.X
	}
	c.Vias, c.Tracks = slices.Clone(b.Vias), slices.Clone(b.Tracks)
	for i := range c.Vias {
		c.Vias[i].At.X = boardEdge - c.Vias[i].At.X
	}
	for i := range c.Tracks {
		c.Tracks[i].Path = slices.Clone(c.Tracks[i].Path)
		for k := range c.Tracks[i].Path {
			c.Tracks[i].Path[k].X = boardEdge - c.Tracks[i].Path[k].X
		}
	}
	return assembled(c)
}

// Learning more never makes fewer things possible, if nothing is denied: pins
// that were on no net get one, and there is one cover more. What is fed only by a
// pad denies that anything else feeds it.
func TestMoreFactsNeverShrinkThePossible(t *testing.T) {
	tested := 0
	questions(t, 7, 1500, func(r *rand.Rand, b *board.Board, q *check.Question) {
		for _, denial := range []string{"not ", "visible", "except", "without", "!=", "below", "unknown", "fed only by"} {
			if strings.Contains(q.Text, denial) {
				return
			}
		}
		tested++
		before := boundsOf(q, plan.Options{})
		after := boundsOf(typed(q.Text, richer(r, b), nil), plan.Options{})
		if lost := missing(before.possible, after.possible); lost != nil {
			t.Fatalf("%s: %v are gone", q.Text, lost)
		}
	})
	if tested < 400 {
		t.Errorf("only %d questions deny nothing", tested)
	}
}

func richer(r *rand.Rand, b *board.Board) *board.Board {
	c := copied(b)
	for i := range c.Pins {
		if c.Pins[i].Net == board.None && chance(r, 50) {
			c.Pins[i].Net = board.NetID(r.Intn(len(c.Nets)))
		}
	}
	lid := board.Cover{Name: "ZZ1", Kind: board.Shield, Part: board.None, Side: board.Top, Outline: randomBox(r)}
	c.Covers = append(c.Covers, lid)
	return assembled(c)
}

// Asking boards one after the other gives the rows of asking each.
func TestManyBoardsAreAskedOneByOne(t *testing.T) {
	r := rand.New(rand.NewSource(8))
	for range 100 {
		a, b := randomBoard(r, 12, 20), randomBoard(r, 12, 20)
		b.Name = "Plover-B"
		text := asker{r}.parts(1)
		qa, qb := typed(text, a, nil), typed(text, b, nil)
		if qa == nil || qb == nil {
			continue
		}
		both := runBoth(qa, qb)
		if got, want := len(both.Rows), len(runStill(qa, plan.Options{}).Rows)+len(runStill(qb, plan.Options{}).Rows); got != want {
			t.Fatalf("%s: %d rows, want %d", text, got, want)
		}
		names := map[string]int{}
		for _, row := range both.Rows {
			names[row.Of.Board.Name]++
		}
		if len(names) == 2 && both.Columns[1].Name != "board" {
			t.Fatalf("%s: rows of %v do not say which", text, slices.Collect(maps.Keys(names)))
		}
	}
}
