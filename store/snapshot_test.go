package store

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"hash/crc32"
	"math"
	"math/rand/v2"
	"runtime"
	"testing"
	"unsafe"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"netlore/store/board"
	"netlore/store/sheet"
)

// sameBoard compares two boards with their indexes; no list and an empty one
// are the same.
func sameBoard(t testing.TB, want, got *board.Board) {
	t.Helper()
	if d := cmp.Diff(want, got, cmp.AllowUnexported(board.Board{}), cmpopts.EquateEmpty()); d != "" {
		t.Error(d)
	}
}

func TestSnapshotOfHeron(t *testing.T) {
	for _, name := range []string{"heron-a.lore", "heron-b.lore"} {
		content, list := sheet.Read(heronSheets(t, name)...)
		if err := list.Err(); err != nil {
			t.Fatal(err)
		}
		roundTrip(t, content.Board)
	}
}

func roundTrip(t testing.TB, b *board.Board) {
	t.Helper()
	snapshot := EncodeBoard(b)
	got, err := DecodeBoard(bytes.Clone(snapshot))
	if err != nil {
		t.Fatal(err)
	}
	sameBoard(t, b, got)
	if !bytes.Equal(snapshot, EncodeBoard(got)) {
		t.Error("the snapshot of what a snapshot gives is another one")
	}
}

func TestSnapshotOfNothing(t *testing.T) {
	roundTrip(t, board.NewBuilder(board.Ref{}).Build())
}

// extremes are numbers at the ends of their ranges.
var extremes = []int32{0, 1, -1, 127, -128, math.MaxInt32, math.MinInt32}

// TestSnapshotKeepsEverything fills every field of every kind of thing at
// random, its extremes too.
func TestSnapshotKeepsEverything(t *testing.T) {
	for seed := range uint64(60) {
		roundTrip(t, randomBoard(rand.New(rand.NewPCG(seed, 1))))
	}
}

// TestRoomIsUsedAgain reads one board after another in the same memory, damaged
// ones among them: nothing of one may be left in the next.
func TestRoomIsUsedAgain(t *testing.T) {
	var used room
	for seed := range uint64(60) {
		r := rand.New(rand.NewPCG(seed, 3))
		want := EncodeBoard(randomBoard(r))
		bad := bytes.Clone(want[:len(want)-4])
		bad[1+r.IntN(len(bad)-1)]++
		used.decode(sealed(bad))
		got, err := used.decode(want)
		if err != nil {
			t.Fatalf("seed %d: %v", seed, err)
		}
		fresh, err := DecodeBoard(want)
		if err != nil {
			t.Fatal(err)
		}
		sameBoard(t, fresh, got)
	}
}

// randomBoard is a board of no use with all that a board can have.
func randomBoard(r *rand.Rand) *board.Board {
	g := &generator{r, board.NewBuilder(board.Ref{Name: "Plover-P", Revision: "2"})}
	b := g.Board()
	b.Title, b.Layers, b.Size, b.Outline = g.word(), g.num(), board.Size{W: g.num(), H: g.num()}, g.outline()
	for range r.IntN(12) {
		g.part()
		g.net()
		g.pad()
		g.cover()
		g.branch()
		g.copper()
	}
	return g.Build()
}

type generator struct {
	*rand.Rand
	*board.Builder
}

func (g *generator) num() int32 {
	if g.IntN(3) == 0 {
		return extremes[g.IntN(len(extremes))]
	}
	return int32(g.IntN(200_000) - 100_000)
}

func (g *generator) word() string { return []string{"", "x", "Ü µ", "long text"}[g.IntN(4)] }

func (g *generator) name() string { return fmt.Sprintf("N%d", g.IntN(9)) }

func (g *generator) words() []string {
	return []string{"radio", "charging", "µ"}[:g.IntN(4):3]
}

func (g *generator) point() board.Point { return board.Point{X: g.num(), Y: g.num()} }

func (g *generator) shape() board.PadShape {
	return board.PadShape{W: g.num(), H: g.num(), Turn: g.num()}
}

func (g *generator) quantity() board.Quantity {
	q, _ := board.NewQuantity(g.Int64N(2e9)-1e9, g.IntN(10)-8, board.Unit(1+g.IntN(int(board.Celsius))))
	if g.IntN(3) == 0 {
		return board.Quantity{}
	}
	return q
}

func (g *generator) outline() board.Outline {
	var o board.Outline
	for range g.IntN(5) {
		o.Points = append(o.Points, g.point())
	}
	if len(o.Points) == 1 {
		o.Radius = g.num()
	}
	return o
}

func (g *generator) part() {
	name := g.name()
	part := g.Part(name)
	*g.PartAt(part) = board.Part{Name: name, Class: board.Class(g.IntN(40)), Value: g.quantity(), Volts: g.quantity(), Amps: g.quantity(), Percent: g.quantity(),
		Text: g.word(), Package: g.word(), Side: board.Side(g.IntN(4)), Placed: g.IntN(2) == 0, At: g.point(), Turn: g.num(),
		Size: board.Size{W: g.num(), H: g.num()}, Unfitted: g.IntN(2) == 0, Functions: g.words()}
	for range g.IntN(4) {
		g.pin(part)
	}
}

func (g *generator) pin(part board.PartID) {
	pin := g.Pin(part, g.name())
	p := g.PinAt(pin)
	p.Side, p.Shape = board.Side(g.IntN(4)), g.shape()
	p.Placed, p.At = g.IntN(2) == 0, board.Point{}
	if p.Placed {
		p.At = g.point()
	}
	if g.IntN(2) == 0 {
		g.Connect(pin, g.Net(g.name()))
	}
}

func (g *generator) net() {
	name := g.name()
	*g.NetAt(g.Net(name)) = board.Net{Name: name, Aliases: g.words(), Kind: board.NetKind(g.IntN(4)), Volts: g.quantity(), Functions: g.words()}
}

func (g *generator) someNet() board.NetID {
	if g.IntN(2) == 0 {
		return board.None
	}
	return g.Net(g.name())
}

func (g *generator) pad() {
	p := board.Pad{Name: g.name(), Net: g.someNet(), Group: g.word(), Placed: g.IntN(2) == 0, Side: board.Side(g.IntN(4)), At: g.point(), Shape: g.shape()}
	*g.PadAt(g.Pad(p.Name)) = p
}

func (g *generator) cover() {
	c := board.Cover{Name: g.name(), Part: board.None, Kind: board.CoverKind(g.IntN(9)), Side: board.Side(g.IntN(4)), Outline: g.outline(),
		Listed: g.IntN(2) == 0, Lift: g.word(), Minutes: g.quantity(), Risk: board.Risk(g.IntN(4))}
	for range g.IntN(4) {
		c.Parts, c.Pads = append(c.Parts, g.Part(g.name())), append(c.Pads, g.Pad(g.name()))
	}
	*g.CoverAt(g.Cover(c.Name)) = c
}

func (g *generator) branch() {
	x := board.Branch{Name: g.name(), Net: g.someNet(), Functions: g.words()}
	for range g.IntN(4) {
		x.Pads = append(x.Pads, g.Pad(g.name()))
		x.Pins = append(x.Pins, g.Pin(g.Part(g.name()), g.name()))
	}
	*g.BranchAt(g.Branch(x.Name)) = x
}

func (g *generator) copper() {
	b, net := g.Board(), g.someNet()
	b.Vias = append(b.Vias, board.Via{Net: net, At: g.point(), Drill: g.num(), Shape: g.shape(), From: uint8(g.IntN(256)), To: uint8(g.IntN(256)), Mask: byte(g.IntN(256))})
	b.Holes = append(b.Holes, board.Hole{At: g.point(), Drill: g.num(), Plated: g.IntN(2) == 0})
	b.Tracks = append(b.Tracks, board.Track{Net: net, Layer: uint8(g.IntN(256)), Pen: g.shape(), Path: []board.Point{g.point(), g.point()}})
}

func TestSnapshotWithAnyByteChangedIsRefused(t *testing.T) {
	snapshot := EncodeBoard(randomBoard(rand.New(rand.NewPCG(3, 1))))
	for i := range snapshot {
		bad := bytes.Clone(snapshot)
		bad[i] ^= 1
		var damaged *DamagedError
		if _, err := DecodeBoard(bad); !errors.As(err, &damaged) {
			t.Fatalf("byte %d of %d may change: %v", i, len(snapshot), err)
		}
		if _, err := DecodeBoard(bytes.Clone(snapshot[:i])); err == nil {
			t.Fatalf("it may end after byte %d of %d", i, len(snapshot))
		}
	}
}

// The check value of CRC-32C: RFC 3720, appendix B.4, 32 bytes of zeros give
// aa 36 91 8a (in the order of the wire).
func TestChecksumIsCRC32C(t *testing.T) {
	got := binary.LittleEndian.AppendUint32(nil, crc32.Checksum(make([]byte, 32), castagnoli))
	if !bytes.Equal(got, []byte{0xaa, 0x36, 0x91, 0x8a}) {
		t.Errorf("got % x", got)
	}
}

// sealed gives bytes the checksum that lets them through to the columns.
func sealed(body []byte) []byte {
	return binary.LittleEndian.AppendUint32(bytes.Clone(body), crc32.Checksum(body, castagnoli))
}

// FuzzSnapshot reads any bytes. What is read is written and read again to the
// same; what is not read is damage.
func FuzzSnapshot(f *testing.F) {
	for seed := range uint64(4) {
		s := EncodeBoard(randomBoard(rand.New(rand.NewPCG(seed, 2))))
		f.Add(s[:len(s)-4])
	}
	f.Add(hugeCounts)
	f.Add([]byte{snapshotVersion + 1})
	f.Fuzz(func(t *testing.T, body []byte) { readsOrRefuses(t, body) })
}

// hugeCounts says that more strings follow than there are bytes in the world.
var hugeCounts = []byte{snapshotVersion, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0x7f}

func readsOrRefuses(t *testing.T, body []byte) {
	b, err := DecodeBoard(sealed(body))
	var damaged *DamagedError
	if err != nil {
		if !errors.As(err, &damaged) {
			t.Fatalf("got %v, want a *DamagedError", err)
		}
		return
	}
	once := EncodeBoard(b)
	again, err := DecodeBoard(bytes.Clone(once))
	if err != nil || !bytes.Equal(once, EncodeBoard(again)) {
		t.Errorf("written and read again it is another board: %v", err)
	}
}

// TestSnapshotTakesBoundedMemory reads snapshots with bytes changed at random.
// A part is the largest thing that one byte may stand for.
func TestSnapshotTakesBoundedMemory(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	bodies := [][]byte{hugeCounts}
	for range 400 {
		s := EncodeBoard(randomBoard(r))
		body := s[:len(s)-4]
		for range 1 + r.IntN(3) {
			body[1+r.IntN(len(body)-1)] = byte(r.IntN(256))
		}
		bodies = append(bodies, body)
	}
	for _, body := range bodies {
		snapshot := sealed(body)
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		_, err := DecodeBoard(snapshot)
		runtime.ReadMemStats(&after)
		if used, most := after.TotalAlloc-before.TotalAlloc, 64<<10+4*uint64(unsafe.Sizeof(board.Part{}))*uint64(len(body)); used > most {
			t.Errorf("%d bytes took %d bytes of memory, want at most %d (%v)", len(body), used, most, err)
		}
	}
}
