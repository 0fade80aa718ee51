package run

import (
	"strings"

	"netlore/query/check"
	"netlore/query/isolate"
	"netlore/query/plan"
	"netlore/query/value"
	"netlore/query/words"
	"netlore/store/board"
)

// compare judges whether a field of a thing fits. Of several values one has to,
// for NotEqual none may.
func (ev *evaluator) compare(n *plan.Node, id int32) finding {
	c := n.Compared
	switch {
	case c.Field.Noun == words.Parts && c.Field.ID == words.Kind:
		return ev.compareKind(c, id)
	case c.Field.Noun == words.Suspects && c.Field.ID == words.Kind:
		return ev.suspect(id).compareClass(c)
	}
	f := ev.fieldOf(n, c.Field.Field, id)
	why := f.why(c.Field.Field)
	got := no
	for _, v := range f.values() {
		got = got.or(fits(c, v, why))
	}
	for _, v := range f.maybe() {
		if fits(c, v, why).Truth != board.False {
			got = got.or(unknown(why))
		}
	}
	if f.open() && ev.canFit(c, id) {
		got = got.or(unknown(why))
	}
	if c.Op == check.NotEqual {
		return got.not()
	}
	return got
}

// compareKind compares the class of a part, which may be narrower than what is
// known of it.
func (s *site) compareKind(c *check.Compare, id int32) finding {
	got := s.isAny(id, c)
	if c.Op == check.NotEqual {
		return got.not()
	}
	return got
}

// isAny judges whether a part is of one of the classes that are compared with.
func (s *site) isAny(id int32, c *check.Compare) finding {
	got := no
	for _, v := range c.Values {
		got = got.or(s.partIs(id, v.Choice.Part))
	}
	return got
}

// compareClass compares the classes of the parts of a suspect. What no sheet tells
// of is not known to be of any.
func (x *suspect) compareClass(c *check.Compare) finding {
	got := no
	if x.fault.Kind == isolate.Elsewhere {
		got = unknown(nowhere.why)
	}
	for _, p := range x.pieces {
		if p.noun == words.Parts {
			got = got.or(x.site(p.member).isAny(p.id, c))
		}
	}
	if c.Op == check.NotEqual {
		return got.not()
	}
	return got
}

// canFit reports whether a value that is not known could fit: that of a part
// has the unit of its class.
func (s *site) canFit(c *check.Compare, id int32) bool {
	if c.Field.Noun != words.Parts || c.Field.ID != words.Value {
		return true
	}
	unit := s.b.Parts[id].Class.ValueUnit()
	for _, v := range c.Values {
		if unit == board.NoUnit || unit == unitOf(v) {
			return true
		}
	}
	return false
}

func unitOf(v check.Value) board.Unit {
	if v.Quantity.Known() {
		return v.Quantity.Unit
	}
	return v.Low.Unit
}

// fits judges one value of a field. Why is what is missing if it is a number
// of which only the bounds are known.
func fits(c *check.Compare, v value.Value, why string) finding {
	got := no
	for _, want := range c.Values {
		got = got.or(fitsOne(c, v, want))
	}
	if got.Truth == board.Unknown {
		got.why = why
		if why == "" {
			got.why = c.Field.Word + " not known exactly"
		}
	}
	return got
}

func fitsOne(c *check.Compare, v value.Value, want check.Value) finding {
	switch v.Kind() {
	case value.Text, value.Name:
		return known(sameText(v, want))
	case value.Word:
		return known(fitsWord(c, v, want))
	case value.Quantity:
		q, _ := v.Quantity()
		return known(fitsQuantity(c.Op, q, want))
	case value.Time:
		return known(fitsTime(c.Op, v.Nanoseconds(), want))
	case value.Count:
		return fitsCount(c.Op, v, want)
	}
	return no
}

// sameText compares without regard to case, as a pattern if it is one. What stands
// before a colon is the role of a name; a text has it as it stands.
func sameText(v value.Value, want check.Value) bool {
	text := v.Raw()
	switch {
	case v.Kind() == value.Name && want.Role == "":
		return fitsText(text, want) || strings.EqualFold(v.String(), want.Text)
	case v.Kind() == value.Name:
		return strings.EqualFold(v.Role(), want.Role) && fitsText(text, want)
	case want.Role == "":
		return fitsText(text, want)
	}
	role, rest, ok := strings.Cut(text, ":")
	return ok && strings.EqualFold(role, want.Role) && fitsText(rest, want)
}

func fitsText(text string, want check.Value) bool {
	if want.Pattern != nil {
		return want.Pattern.Fits(text)
	}
	return strings.EqualFold(text, want.Text)
}

// fitsWord compares a word of a closed list. What goes through the board is on
// either side; risks have an order.
func fitsWord(c *check.Compare, v value.Value, want check.Value) bool {
	if want.Outcome != board.Measured {
		return (c.Field.ID == words.Value || c.Field.ID == words.ExpectedOf) && v.Rank() == int(want.Outcome)
	}
	rank := 0
	switch c.Field.ID {
	case words.Side:
		return board.Side(v.Rank()) == want.Choice.Side || board.Side(v.Rank()) == board.BothSides
	case words.Mode:
		rank = int(want.Choice.Mode)
	case words.Risk:
		rank = int(want.Choice.Risk)
	case words.Verdict:
		rank = int(want.Choice.Verdict)
	case words.Fault:
		rank = int(want.Choice.Fault)
	case words.Kind:
		rank = int(want.Choice.NetKind) + int(want.Choice.CoverKind)
	default:
		return false // a number is asked for, and the meter showed none
	}
	return ordered(c.Op, v.Rank()-rank)
}

// ordered reports whether a comparison holds for two things whose order is
// given as below, at or above 0. For NotEqual it says whether they are equal.
func ordered(op check.CompareOp, order int) bool {
	switch op {
	case check.Less:
		return order < 0
	case check.LessEqual:
		return order <= 0
	case check.Greater:
		return order > 0
	case check.GreaterEqual:
		return order >= 0
	}
	return order == 0
}

// fitsQuantity compares numbers exactly. One in another unit does not fit.
func fitsQuantity(op check.CompareOp, q board.Quantity, want check.Value) bool {
	switch {
	case want.Outcome != board.Measured:
		return false
	case op == check.Between || want.Interval:
		return value.Judge(q, want.Low, want.High) == value.Matching
	case !q.SameUnit(want.Quantity):
		return false
	}
	return ordered(op, q.Compare(want.Quantity))
}

// fitsTime compares with a date or time that lasts from From to before To.
func fitsTime(op check.CompareOp, t int64, want check.Value) bool {
	switch {
	case op == check.LessEqual:
		return t < want.To
	case t < want.From:
		return op == check.Less
	case t >= want.To:
		return op == check.Greater || op == check.GreaterEqual
	}
	return op != check.Less && op != check.Greater
}

// fitsCount compares a number of things, of which perhaps only the bounds are
// known. Any number between them is possible.
func fitsCount(op check.CompareOp, v value.Value, want check.Value) finding {
	least, most := v.Bounds()
	fit := 0
	for n := least; n <= most; n++ {
		q, _ := board.NewQuantity(int64(n), 0, board.One)
		if fitsQuantity(op, q, want) {
			fit++
		}
	}
	switch fit {
	case 0:
		return no
	case most - least + 1:
		return yes
	}
	return unknown("")
}
