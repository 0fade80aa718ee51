package importers

import (
	"fmt"
	"math"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"netlore/store/board"
)

// Real boards, to hold against what board.Copper finds. On a board that can be
// made, the copper of two nets never touches (isolation), and a net is joined by
// its copper (continuity): that is what the electrical test of a bare board looks
// for.

func TestRealCopper(t *testing.T) {
	for _, folder := range []string{"rpga-feather/gerber-x2", "thunderscope/gerber-x2", "ts-interposer-iocrest/gerber-x2"} {
		t.Run(folder, func(t *testing.T) {
			g := realCopper(t, folder)
			isolation(t, g)
			continuity(t, g)
		})
	}
}

// isolation looks whether copper of two nets touches.
func isolation(t *testing.T, g *gerber) {
	b := g.board(true)
	nets := map[string]string{}
	for f := range g.pins {
		part, name, _ := strings.Cut(f.pin, ".")
		nets[fmt.Sprintf("%s.%s@%d/%d", part, name, f.at.X, f.at.Y)] = f.net
	}
	groups := b.Copper().Rest
	for _, x := range groups {
		first := b.PinName(x.Pins[0])
		for _, p := range x.Pins {
			if name := b.PinName(p); nets[name] != nets[first] {
				t.Errorf("%s on %s touches %s on %s", first, nets[first], name, nets[name])
				break
			}
		}
	}
	t.Logf("%d pins, %d vias, %d tracks: %d groups that touch", len(b.Pins), len(b.Vias), len(b.Tracks), len(groups))
}

// continuity looks whether the tracks of nets without areas join them. Nets of
// which a pad has a shape of its own or that have no tracks are not judged, nor
// those of a solder jumper, whose bridge is drawn without a net: of these it is
// told that they are apart.
func continuity(t *testing.T, g *gerber) {
	b := g.board(false)
	tracked := map[board.NetID]bool{}
	for _, x := range b.Tracks {
		tracked[x.Net] = true
	}
	count := map[string]int{}
	for _, x := range b.Copper().Pieces {
		net := b.Nets[x.Net].Name
		kind := [...]string{"declared", "by name", "by tracks", "apart"}[x.Basis]
		odd := slices.ContainsFunc(x.Pins, func(p board.PinID) bool { return b.Pins[p].Shape == board.PadShape{} })
		jumper := x.Basis == board.Apart && slices.ContainsFunc(x.Pins, func(p board.PinID) bool { return b.Parts[b.Pins[p].Part].Class == board.Jumper })
		switch {
		case g.areas[net]:
			kind += ", with areas"
		case jumper:
			kind += " at a jumper"
		case !tracked[x.Net]:
			kind += ", no tracks"
		case odd:
			kind += ", a pad of odd shape"
		case x.Basis != board.ByTracks:
			t.Errorf("%s has no areas, and its tracks do not join it: %s, %d pins", net, kind, len(x.Pins))
		}
		count[kind]++
	}
	if count["by tracks"] < 10 {
		t.Error("hardly a net is joined by tracks")
	}
	t.Log(count)
}

// Pins and vias of real netlists, which hold no conductors: those of two nets do
// not touch either.
func TestRealNetlistIsolation(t *testing.T) {
	dir := boardsDir(t)
	for _, file := range []string{"oc-gbc/oc-gbc.ipc", "oc-debug/oc-debug.ipc", "minnow-max/minnow-max.ipc", "rpga-feather/rpga-feather.ipc"} {
		t.Run(file, func(t *testing.T) {
			b := readBoard(t, filepath.Join(dir, file))
			if len(b.Tracks) > 0 {
				t.Errorf("it has %d tracks now: compare their nets, too", len(b.Tracks))
			}
			one, nets := onOneNet(b)
			pins := 0
			for _, x := range one.Copper().Rest {
				pins += len(x.Pins)
				for _, p := range x.Pins {
					if nets[p] != nets[x.Pins[0]] {
						t.Errorf("%s on %s touches %s on %s", one.PinName(x.Pins[0]), b.Nets[nets[x.Pins[0]]].Name, one.PinName(p), b.Nets[nets[p]].Name)
						break
					}
				}
			}
			t.Logf("%d of %d pins touch vias", pins, len(b.Pins))
		})
	}
}

// onOneNet is a board with all pins and vias on one net, and the nets that the pins
// were on.
func onOneNet(b *board.Board) (*board.Board, []board.NetID) {
	one, nets := *b, make([]board.NetID, len(b.Pins))
	one.Pins, one.Vias = slices.Clone(b.Pins), slices.Clone(b.Vias)
	for i := range one.Pins {
		if nets[i] = one.Pins[i].Net; nets[i] == board.None {
			one.Pins[i].Placed = false
		}
		one.Pins[i].Net = 0
	}
	for i := range one.Vias {
		one.Vias[i].Net = 0
	}
	far := board.Point{X: math.MaxInt32, Y: math.MaxInt32}
	one.Tracks = []board.Track{{Net: 0, Layer: 1, Path: []board.Point{far}}}
	one.Branches = []board.Branch{{Name: "none", Net: 0}}
	if err := board.Assemble(&one); err != nil {
		panic(err)
	}
	return &one, nets
}
