package syntax

import (
	"reflect"
	"slices"
	"strings"
)

// values takes the values of a saved question, `for VMAIN, 10uF`, out of what
// follows its name, and gives the rest.
func (x *expander) values(one *saved, name *Name, where *Alternatives) (map[string]*Operand, *Alternatives, bool) {
	given, rest, ok := x.given(where)
	args := map[string]*Operand{}
	switch {
	case !ok:
	case len(given) != len(one.Parameters):
		x.fail("Q83", x.placed(name.Range()), "it is asked so: "+one.usage(), "%s takes %s; %s", one.Name, valueCount(len(one.Parameters)), givenCount(len(given)))
		ok = false
	default:
		for i, p := range one.Parameters {
			args[p] = x.handed(given[i])
		}
	}
	return args, rest, ok
}

func valueCount(n int) string {
	return [...]string{"no values", "one value", "two values", "three values", "more values"}[min(n, 4)]
}

func givenCount(n int) string {
	return [...]string{"none is given", "one is given", "two are given", "three are given", "more are given"}[min(n, 4)]
}

// given are the values and the phrases after them.
func (x *expander) given(where *Alternatives) ([]*Operand, *Alternatives, bool) {
	if where == nil || where.Runs[0].First.Not || where.Runs[0].First.Relation == nil || where.Runs[0].First.Relation.Word != "for" {
		return nil, where, true
	}
	first := where.Runs[0]
	given := first.First.Relation.Operands
	rest := *where
	switch {
	case len(first.Rest) > 0:
		run := &Run{Span: first.Span, First: first.Rest[0].Phrase, Rest: first.Rest[1:]}
		rest.Runs = append([]*Run{run}, where.Runs[1:]...)
		return given, &rest, true
	case len(where.Runs) == 1:
		return given, nil, true
	}
	x.fail("Q84", x.placed(first.Range()), "", "after the values of a saved question stands what else must hold, then or")
	return nil, nil, false
}

// node copies any part of a tree: its places count in the whole, and values
// stand in the place of parameters.
func (x *expander) node(v reflect.Value) reflect.Value {
	switch v.Kind() {
	case reflect.Pointer:
		if v.IsNil() {
			return v
		}
		if special := x.special(v.Interface()); special != nil {
			return reflect.ValueOf(special)
		}
		c := reflect.New(v.Type().Elem())
		c.Elem().Set(x.node(v.Elem()))
		return c
	case reflect.Slice:
		if v.IsNil() {
			return v
		}
		c := reflect.MakeSlice(v.Type(), v.Len(), v.Len())
		for i := range v.Len() {
			c.Index(i).Set(x.node(v.Index(i)))
		}
		return c
	case reflect.Struct:
		if s, ok := v.Interface().(Span); ok {
			return reflect.ValueOf(x.span(s))
		}
		c := reflect.New(v.Type()).Elem()
		x.copyFields(c, v)
		return c
	}
	return v
}

// fields copies the fields of a node, but for some.
func (x *expander) fields(to, from any, but ...string) {
	x.copyFields(reflect.ValueOf(to).Elem(), reflect.ValueOf(from).Elem(), but...)
}

func (x *expander) copyFields(to, from reflect.Value, but ...string) {
	for i := range from.NumField() {
		if f := from.Type().Field(i); f.IsExported() && !slices.Contains(but, f.Name) {
			to.Field(i).Set(x.node(from.Field(i)))
		}
	}
}

// special copies what is more than its parts.
func (x *expander) special(node any) any {
	switch n := node.(type) {
	case *Question:
		return x.question(n, true)
	case *Operand:
		return x.operand(n)
	case *Name:
		return x.name(n)
	case *Value:
		return x.value(n)
	}
	return nil
}

// value copies a number or word. A complaint about one that stands for a
// parameter is about what was given.
func (x *expander) value(v *Value) *Value {
	if arg, ok := x.withTolerance(v); ok {
		return arg
	}
	c := &Value{}
	x.fields(c, v)
	if _, ok := Parameter(v.name()); ok && len(x.asked) > 0 && v.Tolerance == "" {
		c.Span = c.Text.Span
	}
	return c
}

// withTolerance is a value that was given with a tolerance, unless there is one already.
func (x *expander) withTolerance(v *Value) (*Value, bool) {
	if _, ok := Parameter(v.name()); !ok || v.Tolerance != "" {
		return nil, false
	}
	arg, ok := x.argument(v.Text)
	if !ok || arg.Tolerance == "" {
		return nil, false
	}
	return &Value{Span: arg.Span, Text: arg.Name, Tolerance: arg.Tolerance}, true
}

func (v *Value) name() string {
	if v.Text == nil {
		return ""
	}
	return v.Text.Text
}

func copied[T any](x *expander, node *T) *T {
	return x.node(reflect.ValueOf(node)).Interface().(*T)
}

func (x *expander) span(s Span) Span {
	s.Start += x.base
	s.End += x.base
	return s
}

func (x *expander) names(list []*Name) []*Name {
	var all []*Name
	for _, n := range list {
		all = append(all, x.name(n))
	}
	return all
}

// argument finds the value of a name that is a parameter.
func (x *expander) argument(n *Name) (*Operand, bool) {
	p, ok := Parameter(n.Text)
	if !ok || len(x.asked) == 0 {
		return nil, false
	}
	arg, known := x.args[p]
	if !known {
		one := x.asked[len(x.asked)-1]
		x.fail("Q86", x.placed(n.Range()), `a thing of that name is written "`+n.Text+`"`, "%s has no parameter %s%s", one.Name, n.Text, listed(one.Parameters))
	}
	return arg, known
}

func listed(parameters []string) string {
	if len(parameters) == 0 {
		return ""
	}
	return "; it has $" + strings.Join(parameters, ", $")
}

// operand copies what stands after a relation, which has no tolerance.
func (x *expander) operand(o *Operand) *Operand {
	c := x.handed(o)
	if c.Tolerance != "" {
		at := c.Range()
		x.fail("Q87", at, "", "a tolerance belongs to a value that is compared; %q stands where a name does", x.whole[at.Start:at.End])
	}
	return c
}

// handed copies an operand, or what a saved question is given. A value that is put
// there is any operand; a saved question that stands alone in brackets is no name.
func (x *expander) handed(o *Operand) *Operand {
	if o.Group != nil {
		return &Operand{Span: x.span(o.Span), Group: x.question(o.Group, true)}
	}
	if o.Leader == "" && o.Tolerance == "" {
		if arg, ok := x.argument(o.Name); ok {
			return arg
		}
	}
	return &Operand{Span: x.span(o.Span), Leader: o.Leader, Name: x.name(o.Name), Tolerance: o.Tolerance}
}

// name copies a name, or puts a value in its place, which must then be a mere
// name or number.
func (x *expander) name(n *Name) *Name {
	arg, ok := x.argument(n)
	if !ok {
		return &Name{x.span(n.Span), n.Text}
	}
	if arg.Group != nil || arg.Leader != "" || arg.Tolerance != "" {
		at := arg.Range()
		x.fail("Q87", at, "", "%s stands for one name or number in %s, not for %q", n.Text, x.asked[len(x.asked)-1].Name, x.whole[at.Start:at.End])
		return &Name{x.span(n.Span), n.Text}
	}
	return arg.Name
}
