package plan

import (
	"strings"
	"time"

	"netlore/query/check"
	"netlore/query/diag"
	"netlore/query/value"
	"netlore/query/words"
	"netlore/store/board"
)

// Text is a node in the words of the language: "under shield or connector".
func (n *Node) Text() string {
	switch n.Op {
	case Select:
		return n.Noun.String() + whoseText(n.Jobs)
	case Kind:
		return kindText(n)
	case Adjective:
		return n.Adjective.String()
	case Compare:
		return compareText(*n.Compared)
	case Inside:
		return n.Inside.Text
	case Reads:
		return n.Reads.Text
	case Has:
		return "with " + n.Field.Word
	case IsUnknown:
		return "with unknown " + n.Field.Word
	case Tie:
		return relatedText(n.Related)
	case Not:
		return "not " + bracketed(n.Kids[0])
	case All:
		return joined(n.Kids, " ")
	case Any:
		return joined(n.Kids, " or ")
	}
	return combined[n.Op]
}

// whoseText is of which jobs suspects or tests are.
func whoseText(jobs []string) string {
	if jobs == nil {
		return ""
	}
	return " in job " + diag.OneOf(jobs...)
}

func joined(kids []*Node, by string) string {
	texts := make([]string, len(kids))
	for i, kid := range kids {
		texts[i] = bracketed(kid)
	}
	return strings.Join(texts, by)
}

// bracketed puts brackets round what is made of several conditions.
func bracketed(n *Node) string {
	if n.Op == All || n.Op == Any {
		return "(" + n.Text() + ")"
	}
	return n.Text()
}

func kindText(n *Node) string {
	var all []string
	for _, k := range n.Kinds {
		all = append(all, k.String())
	}
	for _, k := range n.CoverKinds {
		all = append(all, k.String())
	}
	return diag.OneOf(all...)
}

func relatedText(r check.Related) string {
	if r.Said != "" {
		return "with " + r.Said
	}
	if r.Relation == words.Within {
		return "within " + r.Distance.String() + " of " + operandText(r.Operand)
	}
	text := r.Relation.String() + " " + operandText(r.Operand)
	if r.Trace != nil {
		text += TraceText(r.Trace)
	}
	return text
}

// TraceText is where a trace comes from and what it goes through, in words of
// the language.
func TraceText(t *check.Trace) string {
	var passes []string
	for _, p := range t.Passes {
		passes = append(passes, passText(p))
	}
	text := " through " + diag.OneOf(passes...)
	if t.From != nil {
		text = " from " + operandText(t.From) + text
	}
	return text
}

func passText(p check.Pass) string {
	text := "any"
	if !p.Any {
		text = p.Kind.String()
	}
	switch {
	case !p.Below.Known():
	case p.AtMost:
		text += " at most " + p.Below.String()
	default:
		text += " below " + p.Below.String()
	}
	return text
}

// RouteText is a route in words of the language.
func RouteText(r *check.Route) string {
	text := "route from " + operandText(r.From) + " to " + operandText(r.To) + TraceText(r.Trace)
	if r.ByResistance {
		text += " by resistance"
	}
	return text
}

func operandText(o check.Operand) string {
	switch o := o.(type) {
	case check.Names:
		texts := make([]string, len(o.List))
		for i, name := range o.List {
			texts[i] = name.Text
		}
		return diag.OneOf(texts...)
	case check.Anything:
		return "any " + o.Of.Singular()
	case check.Kinds:
		return diag.OneOf(kindWords(o)...)
	case check.Either:
		texts := make([]string, len(o.List))
		for i, part := range o.List {
			texts[i] = operandText(part)
		}
		return diag.OneOf(texts...)
	}
	return "(" + o.(check.Sub).Set.Noun().String() + " …)"
}

func kindWords(o check.Kinds) []string {
	var all []string
	for _, k := range o.Parts {
		all = append(all, k.String())
	}
	for _, k := range o.NetKinds {
		all = append(all, k.String()+" nets")
	}
	for _, k := range o.CoverKinds {
		all = append(all, k.String())
	}
	return all
}

var signs = map[check.CompareOp]string{
	check.Equal: "=", check.NotEqual: "!=", check.Less: "<", check.LessEqual: "<=",
	check.Greater: ">", check.GreaterEqual: ">=", check.Between: "between",
}

func compareText(c check.Compare) string {
	texts := make([]string, len(c.Values))
	for i, v := range c.Values {
		texts[i] = valueText(c, v)
	}
	return "with " + c.Field.Word + " " + signs[c.Op] + " " + diag.OneOf(texts...)
}

func valueText(c check.Compare, v check.Value) string {
	switch {
	case c.Op == check.Between:
		return v.Low.String() + " and " + v.High.String()
	case v.Interval:
		return v.Low.String() + " to " + v.High.String()
	case v.Outcome != board.Measured:
		return v.Outcome.Word(board.ModeUnknown)
	case v.Quantity.Known():
		return v.Quantity.String()
	case v.To != 0:
		return value.OfTime(time.Unix(0, v.From)).String()
	case v.Choice != check.Choice{}:
		return choiceText(v.Choice)
	case v.Role != "":
		return v.Role + ":" + v.Text
	}
	return v.Text
}

// choiceText is the word of a closed list: a choice is only ever one.
func choiceText(c check.Choice) string {
	if c.Part != (check.PartKind{}) {
		return c.Part.String()
	}
	return c.NetKind.String() + c.CoverKind.String() + c.Side.String() + c.Risk.String() + c.Mode.String() + c.Fault.String()
}
