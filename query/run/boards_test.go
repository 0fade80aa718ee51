package run_test

import (
	"fmt"
	"math/rand"
	"slices"

	"netlore/store/board"
)

// makers of random boards for the tests: a board of a few dozen parts on which
// a good part of what can be unknown is. All outlines are boxes along the axes,
// so that a few lines of integer arithmetic can judge them, too.

const (
	cm = 10_000 // micrometres
	// boardEdge is the length of the sides of a random board.
	boardEdge = 3 * cm
)

// chance is true so many times out of a hundred.
func chance(r *rand.Rand, percent int) bool { return r.Intn(100) < percent }

func pick[T any](r *rand.Rand, list ...T) T { return list[r.Intn(len(list))] }

var (
	randomNets    = []string{"GND", "VMAIN", "VBAT_1", "VBAT_2", "/RESET#", "N$12", "5V"}
	randomLetters = []string{"C", "C", "C", "R", "L", "U", "FB", "XQ", "D"}
	randomCovers  = []string{"SH1", "SH2", "ST1", "J7", "UF1"}
)

// randomBoard is a board with n parts. About unknown per cent of what can be
// unknown is.
func randomBoard(r *rand.Rand, n, unknown int) *board.Board {
	bu := board.NewBuilder(board.Ref{Name: "Plover-A", Revision: "1"})
	bu.Board().Size = board.Size{W: boardEdge, H: boardEdge}
	for _, name := range randomNets {
		net := bu.NetAt(bu.Net(name))
		if !chance(r, unknown) {
			net.Kind = pick(r, board.Power, board.Signal, board.Ground)
		}
		if chance(r, 50) {
			net.Volts = board.MustQuantity(pick(r, "1.8V", "3.8V", "5V"))
		}
	}
	for i := range n {
		randomPart(r, bu, fmt.Sprintf("%s%d", pick(r, randomLetters...), i+1), unknown)
	}
	randomPart(r, bu, "U1", unknown)
	randomPart(r, bu, "J7", unknown)
	for i := range n / 3 {
		randomPad(r, bu, fmt.Sprintf("P%d", i+1), unknown)
	}
	for _, name := range randomCovers {
		randomCover(r, bu, name, unknown)
	}
	randomBranches(r, bu)
	randomCopper(r, bu)
	return bu.Build()
}

func randomSide(r *rand.Rand, unknown int) board.Side {
	if chance(r, unknown) {
		return board.SideUnknown
	}
	return pick(r, board.Top, board.Bottom)
}

func randomPoint(r *rand.Rand) board.Point {
	const grid = 50
	return board.Point{X: int32(r.Intn(boardEdge/grid)) * grid, Y: int32(r.Intn(boardEdge/grid)) * grid}
}

func randomSize(r *rand.Rand, most int) board.Size {
	return board.Size{W: int32(1+r.Intn(most/100)) * 100, H: int32(1+r.Intn(most/100)) * 100}
}

func randomPart(r *rand.Rand, bu *board.Builder, name string, unknown int) {
	id := bu.Part(name)
	part := bu.PartAt(id)
	part.Side = randomSide(r, unknown)
	if !chance(r, unknown) {
		part.Placed, part.At = true, randomPoint(r)
		if chance(r, 85) {
			part.Size, part.Turn = randomSize(r, 4000), pick(r, int32(0), 90_000)
		}
	}
	if part.Class == board.Chip && chance(r, 50) {
		part.Class = pick(r, board.Transceiver, board.Regulator)
	}
	if !chance(r, unknown) {
		part.Value = randomValue(r, part.Class)
	}
	if !chance(r, unknown) {
		part.Volts = board.MustQuantity(pick(r, "6.3V", "10V", "16V"))
	}
	for pin := range 1 + r.Intn(4) {
		p := bu.Pin(id, fmt.Sprint(pin+1))
		if chance(r, 90) {
			bu.Connect(p, bu.Net(pick(r, randomNets...)))
		}
	}
}

// randomValue is a value that such a part can have.
func randomValue(r *rand.Rand, c board.Class) board.Quantity {
	switch c.ValueUnit() {
	case board.Farad:
		return board.MustQuantity(pick(r, "100nF", "1uF", "10uF", "10uF", "22uF"))
	case board.Ohm:
		return board.MustQuantity(pick(r, "0ohm", "10ohm", "4.7kohm"))
	case board.Henry:
		return board.MustQuantity(pick(r, "1uH", "2.2uH"))
	}
	return board.Quantity{}
}

func randomPad(r *rand.Rand, bu *board.Builder, name string, unknown int) {
	pad := bu.PadAt(bu.Pad(name))
	if chance(r, 80) {
		pad.Net = bu.Net(pick(r, randomNets...))
	}
	if pad.Group = pick(r, "", "IP1", "IP2"); name == "P1" {
		pad.Group = "IP1" // there is always such a group
	}
	pad.Side = randomSide(r, unknown)
	if pad.Side != board.SideUnknown && chance(r, 20) {
		pad.Side = board.BothSides
	}
	if !chance(r, unknown) {
		pad.Placed, pad.At = true, randomPoint(r)
		pad.Shape = board.PadShape{W: 400, H: 600}
	}
}

func randomCover(r *rand.Rand, bu *board.Builder, name string, unknown int) {
	c := bu.CoverAt(bu.Cover(name))
	if !chance(r, unknown) {
		c.Kind = pick(r, board.Shield, board.Connector, board.Sticker, board.Underfill)
	}
	c.Side = randomSide(r, unknown)
	if !chance(r, unknown) {
		c.Minutes = board.MustQuantity(pick(r, "1min", "5min", "12min"))
		c.Risk = pick(r, board.RiskLow, board.RiskMedium, board.RiskHigh)
	}
	switch {
	case chance(r, 20):
		c.Listed = true
		for i := range bu.Board().Parts {
			if chance(r, 15) {
				c.Parts = append(c.Parts, board.PartID(i))
			}
		}
		for i := range bu.Board().Pads {
			if chance(r, 15) {
				c.Pads = append(c.Pads, board.PadID(i))
			}
		}
	case !chance(r, unknown):
		c.Outline = randomBox(r)
	}
}

func randomBox(r *rand.Rand) board.Outline {
	at, size := randomPoint(r), randomSize(r, 15_000)
	return board.Box(at, board.Point{X: at.X + size.W, Y: at.Y + size.H})
}

// randomBranches makes two branches of a net, with some of its pins and pads
// in them.
func randomBranches(r *rand.Rand, bu *board.Builder) {
	net := bu.Net("VMAIN")
	for _, name := range []string{"VMAIN.a", "VMAIN.b"} {
		x := bu.BranchAt(bu.Branch(name))
		x.Net = net
		for i := range bu.Board().Pins {
			if bu.Board().Pins[i].Net == net && chance(r, 40) {
				x.Pins = append(x.Pins, board.PinID(i))
			}
		}
		for i := range bu.Board().Pads {
			if bu.Board().Pads[i].Net == net && chance(r, 40) {
				x.Pads = append(x.Pads, board.PadID(i))
			}
		}
	}
}

// spotOf is a place with copper on a net, on one layer or, if that is 0, on all.
type spotOf struct {
	net   board.NetID
	at    board.Point
	layer uint8
}

// randomCopper places pins of parts that have an outline of their own, and draws
// tracks between pins and pads of a net, some with a via at the end.
func randomCopper(r *rand.Rand, bu *board.Builder) {
	b := bu.Board()
	b.Layers = pick(r, int32(0), 2, 4)
	layers := map[board.Side]uint8{board.Top: 1, board.Bottom: max(2, uint8(b.Layers))}
	spots := map[board.NetID][]spotOf{}
	add := func(net board.NetID, at board.Point, side board.Side) {
		if net != board.None && side != board.SideUnknown {
			spots[net] = append(spots[net], spotOf{net, at, layers[side]})
		}
	}
	for i := range b.Pins {
		pin := &b.Pins[i]
		if part := &b.Parts[pin.Part]; part.Placed && !part.Size.Zero() && chance(r, 80) {
			pin.Placed, pin.Shape = true, board.PadShape{W: 200, H: 200}
			pin.At = board.Point{X: part.At.X + int32(r.Intn(40))*50, Y: part.At.Y + int32(r.Intn(40))*50}
			add(pin.Net, pin.At, part.Side)
		}
	}
	for i := range b.Pads {
		if pad := &b.Pads[i]; pad.Placed {
			add(pad.Net, pad.At, pad.Side)
		}
	}
	for net := range board.NetID(len(b.Nets)) {
		if list := spots[net]; len(list) > 1 && chance(r, 70) {
			for range 1 + r.Intn(len(list)) {
				randomTrack(r, b, pick(r, list...), pick(r, list...))
			}
		}
	}
}

// randomTrack draws a track round a corner from one spot to another.
func randomTrack(r *rand.Rand, b *board.Board, from, to spotOf) {
	layer := from.layer
	if layer == 0 {
		layer = 1
	}
	corner := board.Point{X: from.at.X, Y: to.at.Y}
	end := to.at
	if chance(r, 20) {
		end = corner
	}
	b.Tracks = append(b.Tracks, board.Track{Net: from.net, Layer: layer, Pen: board.PadShape{W: 200, H: 200}, Path: []board.Point{from.at, corner, end}})
	if chance(r, 40) {
		b.Vias = append(b.Vias, board.Via{Net: from.net, At: end, Drill: 200, Shape: board.PadShape{W: 400, H: 400}})
	}
}

// copied is a board that can be changed without changing b. It has to be
// assembled afterwards.
func copied(b *board.Board) *board.Board {
	c := *b
	c.Parts, c.Pins, c.Nets = slices.Clone(b.Parts), slices.Clone(b.Pins), slices.Clone(b.Nets)
	c.Pads, c.Covers, c.Branches = slices.Clone(b.Pads), slices.Clone(b.Covers), slices.Clone(b.Branches)
	return &c
}

func assembled(b *board.Board) *board.Board {
	if err := board.Assemble(b); err != nil {
		panic(err)
	}
	return b
}

// completed is one of the boards that b may be: everything that is not known of
// it is settled at random.
func completed(r *rand.Rand, b *board.Board) *board.Board {
	c := copied(b)
	settleCopper(r, b, c)
	for i := range c.Parts {
		completePart(r, &c.Parts[i])
	}
	for i := range c.Nets {
		if c.Nets[i].Kind == board.NetUnknown {
			c.Nets[i].Kind = pick(r, board.Power, board.Signal, board.Ground)
		}
	}
	for i := range c.Pads {
		if pad := &c.Pads[i]; !pad.Placed {
			pad.Placed, pad.At, pad.Shape = true, randomPoint(r), board.PadShape{W: 400, H: 600}
		}
		if c.Pads[i].Side == board.SideUnknown {
			c.Pads[i].Side = pick(r, board.Top, board.Bottom, board.BothSides)
		}
	}
	for i := range c.Covers {
		completeCover(r, &c.Covers[i])
	}
	completeBranches(r, c)
	return assembled(c)
}

func completePart(r *rand.Rand, part *board.Part) {
	if part.Class == board.ClassUnknown {
		part.Class = pick(r, board.Classes()...)
	}
	if part.Class == board.Chip {
		part.Class = pick(r, board.Chip, board.Transceiver, board.Regulator)
	}
	if !part.Value.Known() {
		part.Value = randomValue(r, part.Class)
	}
	if !part.Volts.Known() {
		part.Volts = board.MustQuantity(pick(r, "6.3V", "10V", "16V"))
	}
	if part.Side == board.SideUnknown {
		part.Side = pick(r, board.Top, board.Bottom)
	}
	if !part.Placed {
		part.Placed, part.At, part.Size = true, randomPoint(r), randomSize(r, 4000)
	}
}

func completeCover(r *rand.Rand, c *board.Cover) {
	if c.Kind == board.CoverUnknown {
		c.Kind = pick(r, board.Shield, board.Connector, board.Sticker, board.Underfill)
	}
	if c.Side == board.SideUnknown && c.Part == board.None {
		c.Side = pick(r, board.Top, board.Bottom)
	}
	if !c.Minutes.Known() {
		c.Minutes = board.MustQuantity(pick(r, "1min", "5min", "12min"))
	}
	if c.Risk == board.RiskUnknown {
		c.Risk = pick(r, board.RiskLow, board.RiskMedium, board.RiskHigh)
	}
	if !c.Listed && c.Outline.Zero() && c.Part == board.None {
		c.Outline = randomBox(r)
	}
}

// settleCopper declares what the tracks of a board tell, and leaves them out: what
// touches is one piece; what may be one is, or is not.
func settleCopper(r *rand.Rand, b, c *board.Board) {
	known := b.Copper()
	c.Tracks, c.Branches = nil, nil
	for i := range known.Pieces {
		if i < len(b.Branches) {
			c.Branches = append(c.Branches, known.Pieces[i].Branch)
		}
	}
	declared := len(c.Branches)
	for _, x := range slices.Concat(known.Pieces, known.Rest) {
		if x.Basis == board.Apart || x.Name == "" {
			joinOrDeclare(r, c, x.Branch)
		}
	}
	for i := range c.Branches[declared:] {
		c.Branches[declared+i].Name = fmt.Sprintf("Z%d", i+1) // behind the others, whose ids stay
	}
}

// joinOrDeclare makes a piece one with another of its net, or a branch of its own.
func joinOrDeclare(r *rand.Rand, c *board.Board, x board.Branch) {
	for i := range c.Branches {
		if to := &c.Branches[i]; to.Net == x.Net && chance(r, 40) {
			to.Pins, to.Pads = append(slices.Clone(to.Pins), x.Pins...), append(slices.Clone(to.Pads), x.Pads...)
			slices.Sort(to.Pins)
			slices.Sort(to.Pads)
			return
		}
	}
	c.Branches = append(c.Branches, x)
}

// completeBranches puts what is in no branch of a net into one, or into
// a piece that was not known.
func completeBranches(r *rand.Rand, c *board.Board) {
	for i := range c.Branches {
		x := &c.Branches[i]
		x.Pins, x.Pads = slices.Clone(x.Pins), slices.Clone(x.Pads)
	}
	inPins, inPads := map[board.PinID]bool{}, map[board.PadID]bool{}
	for i := range c.Branches {
		for _, p := range c.Branches[i].Pins {
			inPins[p] = true
		}
		for _, p := range c.Branches[i].Pads {
			inPads[p] = true
		}
	}
	for i := range c.Branches {
		x := &c.Branches[i]
		for p := range c.Pins {
			if id := board.PinID(p); c.Pins[p].Net == x.Net && !inPins[id] && chance(r, 40) {
				x.Pins, inPins[id] = append(x.Pins, id), true
			}
		}
		for p := range c.Pads {
			if id := board.PadID(p); c.Pads[p].Net == x.Net && !inPads[id] && chance(r, 40) {
				x.Pads, inPads[id] = append(x.Pads, id), true
			}
		}
		slices.Sort(x.Pins)
		slices.Sort(x.Pads)
	}
}

// sameGround is a completed board with no more ground than the open one: a board
// that states a ground is taken to state all of them.
func sameGround(open, completed *board.Board) *board.Board {
	for i := range completed.Nets {
		if completed.Nets[i].Kind == board.Ground && open.Nets[i].Kind != board.Ground {
			completed.Nets[i].Kind = board.Power
		}
	}
	return completed
}
