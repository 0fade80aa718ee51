package draw

import (
	"math"
	"strconv"
	"strings"

	"netlore/store/board"
)

// sign is something that the legend explains.
type sign uint8

const (
	signAsked sign = iota
	signHidden
	signMaybe
	signJoined
	signWeight
	signWay
	signBand
	signZone
	signCover
	signBody
	signPad
	signPinOne
	signCount
)

var signTexts = [signCount]string{
	"asked for", "asked for, under a cover", "only possibly", "soldered to the other board: to the pad of the same name, or of that behind =",
	"the heavier, the likelier", "copper or way", "tape", "copper that joins these parts, wherever it runs", "cover", "other part (dashed: under a cover)", "pad", "pin 1",
}

const (
	compassHigh = 58.0
	compassWide = 480.0
	swatchWide  = 26.0
	rowHigh     = 22.0
)

// label writes a text that is exactly as wide as width says.
func (w *writer) label(text string, x, y, size float64, colour string, more ...any) {
	w.tag("text", nil)
	w.attrs("x", x, "y", y, "font-size", size, "fill", colour, "textLength", width(text, size), "lengthAdjust", "spacingAndGlyphs")
	w.attrs(more...)
	w.WriteByte('>')
	w.escaped(text)
	w.end("text")
}

func number(v float64) string { return string(appendNumber(nil, v)) }

// compass draws the scale bar and the axes of the board under a view.
func (v *view) compass(w *writer) {
	y := v.h + 30
	long := roundLength(160 / v.ground.scale)
	end := float64(long) * v.ground.scale
	var bar path
	for _, x := range []float64{0, end} {
		bar.move(x, y-5)
		bar.line(x, y+5)
	}
	bar.move(0, y)
	bar.line(end, y)
	w.empty("path", "d", bar, "fill", "none", "stroke", ink, "stroke-width", "1.4")
	w.label(board.Millimetres(long).String(), end+8, y+4, medium, ink)

	x := end + 110
	along := 1.0
	if v.ground.mirror {
		along = -1
		x += 46
	}
	var axes path
	axes.move(x, y-16)
	axes.line(x, y+8)
	axes.line(x+34*along, y+8)
	axes.move(x-4, y-10)
	axes.line(x, y-18)
	axes.line(x+4, y-10)
	axes.move(x+28*along, y+4)
	axes.line(x+36*along, y+8)
	axes.line(x+28*along, y+12)
	w.empty("path", "d", axes, "fill", "none", "stroke", ink, "stroke-width", "1.4", "stroke-linejoin", "round")
	w.label("N", x-5-14*along, y-6, medium, ink, "font-weight", "bold")
	w.label("x", x+44*along-3, y+12, medium, ink)
	w.label("N is along y of the board", max(x, x+34*along)+30, y+4, medium, ink)
}

// roundLength is the longest of 1, 2 and 5 mm times a power of ten that is no longer than most.
func roundLength(most float64) int32 {
	unit := math.Pow(10, math.Floor(math.Log10(most)))
	for _, f := range []float64{5, 2} {
		if f*unit <= most {
			return int32(math.Round(f * unit))
		}
	}
	return int32(max(math.Round(unit), 1))
}

// legend explains what was drawn, in rows; it returns how high it is.
func (d *drawing) legend(w *writer, y, wide float64) float64 {
	x, top := edge, y
	for _, e := range d.entries() {
		room := swatchWide + 8 + width(e.text, medium) + 24
		if x > edge && x+room > wide-edge {
			x, y = edge, y+rowHigh
		}
		w.start("g", "transform", "translate("+number(x)+" "+number(y)+")")
		e.draw(w)
		w.label(e.text, swatchWide+8, 12, medium, ink)
		w.end("g")
		x += room
	}
	return y - top + rowHigh + 8
}

type entry struct {
	text string
	draw func(*writer)
}

func (d *drawing) entries() []entry {
	var all []entry
	for s := range signCount {
		if d.used[s] {
			text := signTexts[s]
			if asked := signTexts[signAsked]; d.picture.Asked != "" {
				text = strings.Replace(text, asked, d.picture.Asked, 1)
			}
			all = append(all, entry{text, func(w *writer) { w.swatch(s) }})
		}
	}
	for i := range d.picture.Groups {
		if i == mostGroups {
			all = append(all, entry{"and " + strconv.Itoa(len(d.picture.Groups)-i) + " more", func(*writer) {}})
			break
		}
		all = append(all, entry{letters(i) + " " + short(d.picture.Groups[i].text()), func(w *writer) {
			w.empty("rect", "width", swatchWide, "height", 16.0, "fill", "url(#"+filling(i)+")", "stroke", accent, "stroke-width", "1.8")
		}})
	}
	return all
}

// mostGroups is how many groups a legend names; the titles of things name all.
const mostGroups = 40

// swatch draws a sample of a sign, 26 wide and 16 high.
func (w *writer) swatch(s sign) {
	rect := func(more ...any) {
		w.empty("rect", append([]any{"x", 1.0, "y", 1.0, "width", swatchWide - 2, "height", 14.0}, more...)...)
	}
	line := func(d string, more ...any) {
		w.empty("path", append([]any{"d", d, "fill", "none"}, more...)...)
	}
	switch s {
	case signAsked:
		rect("fill", tint, "stroke", accent, "stroke-width", "1.8")
	case signHidden:
		rect("fill", tint, "stroke", accent, "stroke-width", "1.8", "stroke-dasharray", dashes)
	case signMaybe:
		rect("fill", paper, "stroke", accent, "stroke-width", "1.8")
	case signJoined:
		line("M5 8L13 0L21 8L13 16Z", "stroke", accent, "stroke-width", "1.2")
		w.empty("circle", "cx", 13.0, "cy", 8.0, "r", 4.0, "fill", tint, "stroke", accent, "stroke-width", "1.8")
	case signWeight:
		line("M0 3L26 3", "stroke", accent, "stroke-width", "1.8")
		line("M0 11L26 11", "stroke", accent, "stroke-width", "5.8")
	case signWay:
		line("M0 12L13 4L26 4", "stroke", accent, "stroke-width", "1.6")
	case signBand:
		line("M8 8L18 8", "stroke", ink, "stroke-width", "16", "opacity", "0.30", "stroke-linecap", "round")
		line("M8 8L18 8", "stroke", paper, "stroke-width", "12", "opacity", "0.55", "stroke-linecap", "round")
	case signZone:
		line("M2 12L24 4", "stroke", accent, "stroke-width", "2.4", "stroke-dasharray", dots, "stroke-linecap", "round")
	case signCover:
		rect("fill", "url(#nl-cover)", "stroke", ink, "stroke-width", "1")
	case signBody:
		rect("fill", "none", "stroke", pale, "stroke-width", "0.8")
	case signPad:
		w.empty("circle", "cx", 13.0, "cy", 8.0, "r", 5.0, "fill", "none", "stroke", pale, "stroke-width", "0.8")
	case signPinOne:
		w.empty("circle", "cx", 13.0, "cy", 8.0, "r", 1.6, "fill", ink)
	}
}

// paragraph writes text in lines no wider than the picture; it returns how high it is.
func (w *writer) paragraph(text string, y, wide float64) float64 {
	var line []string
	long, top := 0.0, y
	flush := func() {
		w.label(strings.Join(line, " "), edge, y, medium, ink)
		y, line, long = y+18, line[:0], 0
	}
	for _, word := range strings.Fields(text) {
		word = short(word)
		more := width(word, medium)
		if len(line) > 0 {
			more += width(" ", medium)
			if long+more > wide-2*edge {
				flush()
				more -= width(" ", medium)
			}
		}
		line, long = append(line, word), long+more
	}
	if len(line) > 0 {
		flush()
	}
	return y - top
}
