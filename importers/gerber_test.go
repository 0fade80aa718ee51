package importers

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"netlore/store/board"
)

// A reader of Gerber files of copper layers in which each object says its net and
// pin (attributes .N and .P, "The Gerber Layer Format Specification" revision
// 2024.05, chapter 5), for tests: it reads no more than the files of the
// collection have, and nothing of it is part of the program.

// gerber collects the copper of all layers.
type gerber struct {
	pins   map[flash][]uint8 // the layers that each is flashed on
	vias   map[flash][]uint8
	shapes map[flash]aperture
	tracks []drawn
	areas  map[string]bool // nets that have areas
	layers uint8

	layer, decimals uint8
	apertures       map[string]aperture
	function        string // of the apertures that follow
	aperture        string
	net, pin        string
	at              board.Point
	arc             int // 0 straight, 2 clockwise, 3 counter-clockwise
	region          bool
}

// flash is a pin or via at a place.
type flash struct {
	net, pin string
	at       board.Point
}

type drawn struct {
	net   string
	layer uint8
	pen   board.PadShape
	path  []board.Point
}

type aperture struct {
	round, inside board.PadShape
	via           bool
}

var gerberCommand = regexp.MustCompile(`%[^%]*%|[^*%]+\*`)

func (g *gerber) read(t *testing.T, path string) {
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	g.apertures, g.net, g.pin, g.region, g.arc = map[string]aperture{}, "", "", false, 0
	clean := strings.NewReplacer("\r", "", "\n", "").Replace(string(text))
	for _, c := range gerberCommand.FindAllString(clean, -1) {
		if strings.HasPrefix(c, "%") {
			g.extended(strings.TrimSuffix(strings.Trim(c, "%"), "*"))
		} else {
			g.word(strings.TrimSuffix(c, "*"))
		}
	}
}

// extended reads what stands between per cent signs.
func (g *gerber) extended(c string) {
	value := func(prefix string) []string { return strings.Split(strings.TrimPrefix(c, prefix), ",") }
	switch {
	case strings.HasPrefix(c, "FSLAX"):
		g.decimals = c[6] - '0'
	case strings.HasPrefix(c, "TF.FileFunction,Copper,L"):
		n, _ := strconv.Atoi(value("TF.FileFunction,Copper,L")[0])
		g.layer = uint8(n)
		g.layers = max(g.layers, g.layer)
	case strings.HasPrefix(c, "TA.AperFunction,"):
		g.function = value("TA.AperFunction,")[0]
	case strings.HasPrefix(c, "TO.N,"):
		g.net = value("TO.N,")[0]
	case strings.HasPrefix(c, "TO.P,"):
		f := value("TO.P,")
		g.pin = f[0] + "." + f[1]
	case c == "TD":
		g.net, g.pin, g.function = "", "", ""
	case strings.HasPrefix(c, "ADD"):
		name := regexp.MustCompile(`^ADD\d+`).FindString(c)
		kind, numbers, _ := strings.Cut(c[len(name):], ",")
		a := apertureOf(kind, numbers)
		a.via = g.function == "ViaPad"
		g.apertures[name[2:]] = a
	}
}

// apertureOf is a shape round an aperture and one in it. They are the same for
// a circle and a box; both are unknown for a polygon of its own.
func apertureOf(kind, numbers string) (a aperture) {
	var n []float64
	for _, s := range strings.Split(numbers, "X") {
		f, _ := strconv.ParseFloat(s, 64)
		n = append(n, f*1000)
	}
	box := func(w, h, turn float64) board.PadShape {
		return board.PadShape{W: int32(w), H: int32(h), Turn: int32(math.Round(turn * 180_000 / math.Pi))}
	}
	switch kind {
	case "C":
		a.round = board.PadShape{W: int32(n[0])}
		a.inside = a.round
	case "R":
		a.round = box(n[0], n[1], 0)
		a.inside = a.round
	case "O":
		a.round, a.inside = box(n[0], n[1], 0), board.PadShape{W: int32(min(n[0], n[1]))}
	case "RoundRect": // four corners and the radius round them
		w, h := math.Hypot(n[3]-n[1], n[4]-n[2])+2*n[0], math.Hypot(n[5]-n[3], n[6]-n[4])+2*n[0]
		a.round, a.inside = box(w, h, math.Atan2(n[4]-n[2], n[3]-n[1])), board.PadShape{W: int32(min(w, h))}
	}
	return a
}

var gerberNumber = regexp.MustCompile(`([XYIJ])(-?\d+)`)

// word reads a command without per cent signs.
func (g *gerber) word(c string) {
	switch c {
	case "G36":
		g.region = true
		g.areas[g.net] = true
	case "G37":
		g.region = false
	case "G01", "G1":
		g.arc = 0
	case "G02", "G2":
		g.arc = 2
	case "G03", "G3":
		g.arc = 3
	}
	if strings.HasPrefix(c, "G04") || strings.HasPrefix(c, "M") {
		return
	}
	if strings.HasPrefix(c, "D") {
		g.aperture = c
		return
	}
	numbers := gerberNumber.FindAllStringSubmatch(c, -1)
	if numbers == nil {
		return
	}
	to, off := g.at, board.Point{}
	for _, m := range numbers {
		f, _ := strconv.ParseFloat(m[2], 64)
		um := int32(math.Round(f / math.Pow10(int(g.decimals)) * 1000))
		switch m[1] {
		case "X":
			to.X = um
		case "Y":
			to.Y = um
		case "I":
			off.X = um
		case "J":
			off.Y = um
		}
	}
	switch {
	case g.region:
	case strings.HasSuffix(c, "D01"):
		g.draw(to, off)
	case strings.HasSuffix(c, "D03"):
		g.flash(to)
	}
	g.at = to
}

func (g *gerber) draw(to, off board.Point) {
	if g.net == "" {
		return
	}
	path := []board.Point{g.at}
	if g.arc > 0 {
		path = append(path, arcPoints(g.at, to, off, g.arc == 3)...)
	}
	g.tracks = append(g.tracks, drawn{g.net, g.layer, g.apertures[g.aperture].inside, append(path, to)})
}

// arcPoints are some points of an arc between its ends.
func arcPoints(from, to, off board.Point, left bool) (path []board.Point) {
	x, y := float64(from.X+off.X), float64(from.Y+off.Y)
	r := math.Hypot(float64(off.X), float64(off.Y))
	begin, end := math.Atan2(float64(from.Y)-y, float64(from.X)-x), math.Atan2(float64(to.Y)-y, float64(to.X)-x)
	for left && end <= begin {
		end += 2 * math.Pi
	}
	for !left && end >= begin {
		end -= 2 * math.Pi
	}
	const pieces = 16
	for i := 1; i < pieces; i++ {
		sin, cos := math.Sincos(begin + (end-begin)*float64(i)/pieces)
		path = append(path, board.Point{X: int32(x + r*cos), Y: int32(y + r*sin)})
	}
	return path
}

func (g *gerber) flash(at board.Point) {
	a := g.apertures[g.aperture]
	f := flash{g.net, g.pin, at}
	if old, ok := g.shapes[f]; !ok || a.round.W < old.round.W {
		g.shapes[f] = a
	}
	switch {
	case g.net == "":
	case g.pin != "":
		g.pins[f] = append(g.pins[f], g.layer)
	case a.via:
		g.vias[f] = append(g.vias[f], g.layer)
	}
}

// board is the board that the files show. With onOne, all of it is on one net, and
// pads have the shape inside theirs.
func (g *gerber) board(onOne bool) *board.Board {
	bu := board.NewBuilder(board.Ref{Name: "Plover-A"})
	bu.Board().Layers = int32(g.layers)
	net := func(name string) board.NetID {
		if onOne {
			name = "all"
		}
		return bu.Net(name)
	}
	for f, on := range g.pins {
		part, name, _ := strings.Cut(f.pin, ".")
		pin := bu.Pin(bu.Part(part), fmt.Sprintf("%s@%d/%d", name, f.at.X, f.at.Y))
		bu.Connect(pin, net(f.net))
		p := bu.PinAt(pin)
		p.Placed, p.At, p.Shape, p.Side = true, f.at, g.shapes[f].round, board.Top
		if onOne {
			p.Shape = g.shapes[f].inside
		}
		switch {
		case len(on) > 1:
			p.Side = board.BothSides
		case on[0] != 1:
			p.Side = board.Bottom
		}
	}
	for f, on := range g.vias {
		bu.Board().Vias = append(bu.Board().Vias, board.Via{Net: net(f.net), At: f.at, Shape: g.shapes[f].inside, From: slices.Min(on), To: slices.Max(on)})
	}
	for _, d := range g.tracks {
		bu.Board().Tracks = append(bu.Board().Tracks, board.Track{Net: net(d.net), Layer: d.layer, Pen: d.pen, Path: d.path})
	}
	if onOne { // beside a declared branch, all that touches is told
		bu.BranchAt(bu.Branch("none")).Net = net("")
	}
	return bu.Build()
}

func realCopper(t *testing.T, folder string) *gerber {
	t.Helper()
	files, _ := filepath.Glob(filepath.Join(boardsDir(t), folder, "*.g*"))
	if files == nil {
		t.Skipf("no collection of boards with %s beside the sources", folder)
	}
	g := &gerber{pins: map[flash][]uint8{}, vias: map[flash][]uint8{}, shapes: map[flash]aperture{}, areas: map[string]bool{}}
	for _, f := range files {
		g.layer = 0
		if text, err := os.ReadFile(f); err == nil && strings.Contains(string(text), "TF.FileFunction,Copper") {
			g.read(t, f)
		}
	}
	return g
}
