package ipcd356

import (
	"strings"

	"netlore/importers/record"
	"netlore/query/diag"
	"netlore/store/board"
)

// units is what one count of a length is, and how turns are written.
type units struct {
	stated  string
	metric  bool
	radians bool // the file says radians
	unknown *diag.Diagnostic
}

// setUnits reads CUST 0, CUST, CUST 1, CUST 2 and SI.
func (r *reader) setUnits(value []byte) {
	word := strings.ToUpper(strings.Join(strings.Fields(string(value)), " "))
	if r.units.stated != "" {
		if word != r.units.stated {
			r.complain("D304", diag.Warning, 0, len(r.line), "the units are stated a second time, differently",
				"the first, "+r.units.stated+", holds")
		}
		return
	}
	r.units.stated = word
	switch word {
	case "CUST 0", "CUST":
	case "CUST 1":
		r.units.metric = true
	case "CUST 2":
		r.units.radians = true
		r.complain("D303", diag.Warning, 0, len(r.line), "exporters mean different units by CUST 2; taken as 0.0001 inch",
			"compare the size of the board; state the unit of length if it is wrong")
	case "SI":
		r.units.metric, r.units.radians = true, true
	default:
		d := r.note("D302", diag.Error, 0, len(r.line), "no unit is called "+diag.Quote(word)+"; expected CUST 0, CUST 1, CUST 2 or SI",
			"state the unit of length, or correct this line")
		r.units.unknown = &d
	}
}

// settleUnits applies the caller's unit, and warns when nobody gave one.
func (r *reader) settleUnits() {
	switch {
	case r.opt.Length != record.AsStated:
		r.units.metric = r.opt.Length == record.Millimetre
	case r.units.stated == "":
		r.report.Add(diag.Diagnostic{Code: "D301", Severity: diag.Warning,
			Message: "the file states no units; taken as inches, 0.0001 inch a count",
			Help:    []string{"compare the size of the board; state the unit of length if it is wrong"}})
	}
	// The field has three digits and no point: whole radians end at 6, so a
	// larger number is degrees, whatever the file says.
	r.units.radians = r.units.radians && r.maxTurn <= 6
}

// um converts a length from counts to micrometres, to the nearest, halves away
// from zero.
func (u *units) um(count int32) int32 {
	if u.metric {
		return count
	}
	v := int64(count) * 254
	if v < 0 {
		return int32((v - 50) / 100)
	}
	return int32((v + 50) / 100)
}

func (u *units) point(x, y int32) board.Point { return board.Point{X: u.um(x), Y: u.um(y)} }

// shape converts size and turn of a pad. A round pad is not turned.
func (u *units) shape(w, h, turn int32) board.PadShape {
	s := board.PadShape{W: u.um(w), H: u.um(h)}
	if h == 0 {
		return s
	}
	s.Turn = turn % 360 * 1000
	if u.radians {
		s.Turn = int32(float64(turn)*57295.779513+0.5) % 360_000
	}
	return s
}

// layerCount gathers what a file tells about the number of copper layers. The
// highest access code is the far side, unless more layers are stated.
type layerCount struct {
	stated  int32
	seen    int32 // highest access code or layer number
	highest int32 // highest access code
}

func (l *layerCount) declare(n int32) {
	if 1 <= n && n <= 99 && l.stated == 0 {
		l.stated = n
	}
}

func (l *layerCount) access(code int16) {
	l.highest = max(l.highest, int32(code))
	l.saw(uint8(max(code, 0)))
}

func (l *layerCount) saw(layer uint8) { l.seen = max(l.seen, int32(layer)) }

// bottom is the access code of the far side, or 0 when nothing tells it. An
// exporter that knows two sides only calls the far one 2 on any board.
func (l *layerCount) bottom() int32 {
	if l.highest > 2 && l.stated > l.highest {
		return l.stated
	}
	if l.highest >= 2 {
		return l.highest
	}
	return l.stated
}

// total is the number of copper layers, or 0 when nothing tells it.
func (l *layerCount) total() int32 {
	if n := max(l.seen, l.stated); n >= 2 {
		return n
	}
	return 0
}

// side is the side that a pad can be touched from.
func (l *layerCount) side(access int16, through bool) board.Side {
	switch {
	case through || access == 0:
		return board.BothSides
	case access == 1:
		return board.Top
	case access > 1 && int32(access) == l.bottom():
		return board.Bottom
	}
	return board.SideUnknown
}
