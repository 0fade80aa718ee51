package ipcd356

import (
	"fmt"
	"math"
	"path"
	"slices"
	"strings"

	"netlore/importers/record"
	"netlore/query/diag"
	"netlore/store/board"
)

// builder puts what was read into the draft, once all of it is known.
type builder struct {
	*reader
	into  *board.Builder
	nets  []board.NetID // by symbol; notAsked where not looked up yet
	uses  []int32       // by symbol: points on a net of this name
	words []word        // the ways of saying "no net" that occur
	owner []int32       // by index of pin record: index into parts
	parts []named
	first []int32 // by PinID: index of the record that its net comes from
}

const notAsked = board.None - 1

// word is a spelling of "no net" with the pins that had it.
type word struct {
	net   symbol
	count int
	pin   *pin // the first
}

// maxWords is the most spellings that are told apart.
const maxWords = 50

// named is a part as it is called on the board.
type named struct {
	name string
	id   board.PartID
}

func (r *reader) finish(into *record.Draft) {
	r.dropWaiting()
	r.settleUnits()
	if r.ended == 0 {
		r.report.Add(diag.Diagnostic{Code: "D340", Severity: diag.Warning,
			Message: "the end record 999 is missing", Help: []string{"is the file whole?"}})
	}
	b := &builder{reader: r, into: into.Board}
	b.into.Grow(len(b.pins.all)/4, len(b.names.names)/2, len(b.pins.all))
	b.countUses()
	b.nameParts()
	b.addPins()
	b.addLooseParts()
	b.addCopper()
	b.addEdges()
	b.addPassives()
	b.setSides()
	b.setBoard()
	b.tellWords()
}

// countUses counts the points on each net.
func (b *builder) countUses() {
	b.nets = make([]board.NetID, len(b.names.names))
	for i := range b.nets {
		b.nets[i] = notAsked
	}
	b.uses = make([]int32, len(b.names.names))
	for i := range b.pins.all {
		b.uses[b.pins.all[i].net]++
	}
	for i := range b.vias {
		b.uses[b.vias[i].net]++
	}
	for i := range b.pads {
		b.uses[b.pads[i].net]++
	}
	for i := range b.strokes.tracks {
		b.uses[b.strokes.tracks[i].net]++
	}
}

// net returns the net that a record's name means, None for "no net". Its
// name in the file, where it is an alias, is kept as an alias.
func (b *builder) net(s symbol) board.NetID {
	if b.nets[s] != notAsked {
		return b.nets[s]
	}
	b.nets[s] = board.None
	raw := b.names.names[s]
	name := b.aliases.resolve(raw, b.names.ids)
	if unconnected(raw) || unconnected(name) {
		return board.None
	}
	id := b.into.Net(name)
	b.nets[s] = id
	if n := b.into.NetAt(id); name != raw && !slices.Contains(n.Aliases, raw) {
		n.Aliases = append(n.Aliases, raw)
	}
	return id
}

// addPins adds every pin with its place, and puts it on its net.
func (b *builder) addPins() {
	for i := int32(1); int(i) < len(b.pins.all); i++ {
		p := &b.pins.all[i]
		part := &b.parts[b.owner[i]]
		id := b.into.Pin(part.id, b.names.names[p.name])
		b.placePin(b.into.PinAt(id), p)
		for int(id) >= len(b.first) {
			b.first = append(b.first, 0)
		}
		b.connect(id, i)
	}
}

func (b *builder) placePin(pin *board.Pin, p *pin) {
	if pin.Placed {
		return
	}
	pin.Placed = true
	pin.At = b.units.point(p.x, p.y)
	pin.Side = b.layers.side(p.access, p.through)
	pin.Shape = b.units.shape(p.w, p.h, p.turn)
}

// connect puts the pin on the net of record i. A second net is not taken, and
// both records are shown.
func (b *builder) connect(id board.PinID, i int32) {
	p := &b.pins.all[i]
	count := b.counts[p.code]
	net := b.netOfPin(p)
	if net == board.None {
		count.Use()
		return
	}
	has, ok := b.into.Connect(id, net)
	if !ok {
		count.Explain(int(p.line), "its pin is on another net already")
		b.tellTwoNets(id, has, p)
		return
	}
	count.Use()
	if b.first[id] == 0 {
		b.first[id] = i
	}
}

func (b *builder) tellTwoNets(id board.PinID, has board.NetID, p *pin) {
	part := b.into.PartAt(b.into.PinAt(id).Part).Name
	d := b.about(p, "D332", diag.Warning, fmt.Sprintf("pin %s.%s is on the net %s here and on %s before",
		part, b.names.names[p.name], diag.Quote(b.names.names[p.net]), diag.Quote(b.into.NetAt(has).Name)))
	d.Help = []string{"the net of the first record holds; correct the file it was made from"}
	if at := b.first[id]; at > 0 {
		d.Related = []diag.Related{b.related(&b.pins.all[at], "the first record")}
	}
	b.report.Add(d)
}

// netOfPin is the net of a pin record. A net with this one point only, called
// after the pin itself, says that the pin is on no net.
func (b *builder) netOfPin(p *pin) board.NetID {
	if b.nets[p.net] == notAsked && b.madeName(p) {
		b.nets[p.net] = board.None
	}
	net := b.net(p.net)
	if net == board.None {
		b.sayNoNet(p)
	}
	return net
}

// madeName reports whether the net of a pin has the name that exporters make
// for a pin on no net.
func (b *builder) madeName(p *pin) bool {
	name := b.aliases.resolve(b.names.names[p.net], b.names.ids)
	return unconnectedPin(name) || b.uses[p.net] == 1 && madeForPin(name, b.names.names[p.name])
}

// sayNoNet counts the spellings of "no net" other than the format's own.
func (b *builder) sayNoNet(p *pin) {
	name := b.names.names[p.net]
	if name == "" || name == "N/C" || b.madeName(p) {
		return
	}
	for i := range b.words {
		if b.words[i].net == p.net {
			b.words[i].count++
			return
		}
	}
	if len(b.words) == maxWords {
		return
	}
	b.words = append(b.words, word{net: p.net, count: 1, pin: p})
}

// tellWords reports each spelling once.
func (b *builder) tellWords() {
	for _, w := range b.words {
		d := b.about(w.pin, "D322", diag.Warning,
			fmt.Sprintf("%s stands in place of the net of %s; taken as on no net", diag.Quote(b.names.names[w.net]), pinCount(w.count)))
		d.Help = []string{"if this is a real net, rename it in the file"}
		b.report.Add(d)
	}
}

// setBoard takes name, title, revision, layers and the size.
func (b *builder) setBoard() {
	to := b.into.Board()
	if to.Name == "" {
		to.Name = fileStem(b.header.job)
	}
	if to.Name == "" {
		to.Name = fileStem(b.header.title)
	}
	if to.Revision == "" {
		to.Revision = b.header.revision
	}
	if title := b.header.title; to.Title == "" && !strings.ContainsAny(title, `/\`) {
		to.Title = title
	}
	if to.Layers == 0 {
		to.Layers = b.layers.total()
	}
	b.checkExtent()
}

// fileStem is the name of the file, without folder and ending, that a JOB or
// TITLE parameter holds; "" if it is no file name.
func fileStem(s string) string {
	base := path.Base(strings.ReplaceAll(s, `\`, "/"))
	stem := base
	if ext := path.Ext(base); !strings.ContainsAny(ext, "0123456789") {
		stem = strings.TrimSuffix(base, ext)
	}
	if s == "" || strings.ContainsAny(base, " ,:") || stem == "." || stem == "/" {
		return ""
	}
	return stem
}

// checkExtent warns when the pins spread over less than 5 mm or more than 1 m:
// then the unit of length is probably wrong.
func (b *builder) checkExtent() {
	low, high := int32(math.MaxInt32), int32(math.MinInt32)
	lowY, highY := low, high
	for _, p := range b.pins.all[1:] {
		low, high = min(low, p.x), max(high, p.x)
		lowY, highY = min(lowY, p.y), max(highY, p.y)
	}
	if len(b.pins.all) < 20 {
		return
	}
	spread := max(b.units.um(high)-b.units.um(low), b.units.um(highY)-b.units.um(lowY))
	if spread < 5_000 || spread > 1_000_000 {
		b.report.Add(diag.Diagnostic{Code: "D305", Severity: diag.Warning,
			Message: fmt.Sprintf("the pins spread over %.1f mm, which no board does", float64(spread)/1000),
			Help:    []string{"state the unit of length if it is wrong"}})
	}
}

func pinCount(n int) string {
	if n == 1 {
		return "1 pin"
	}
	return fmt.Sprintf("%d pins", n)
}
