package syntax

import "reflect"

// keep is a value on its way to a field. It gets there when the node that it is
// in has been read, unless the alternative is given up before.
type keep struct {
	in       reflect.Value
	step     *step
	from, to int           // tokens
	node     reflect.Value // a pointer
}

// settle puts what was kept where it belongs.
func (r *reader) settle() {
	for _, k := range r.kept[r.ours:] {
		f := k.in.Field(k.step.field)
		switch k.step.sort {
		case nodeField:
			f.Set(k.node)
		case nodesField:
			n := f.Len()
			f.Grow(1)
			f.SetLen(n + 1)
			f.Index(n).Set(k.node)
		case flagField:
			f.SetBool(true)
		default:
			f.Addr().Interface().(tokenField).take(r.tokens[k.from:k.to])
		}
	}
	r.kept = r.kept[:r.ours]
}

// fieldSort says how a value gets into a field.
type fieldSort uint8

const (
	nodeField fieldSort = iota
	nodesField
	flagField
	textField
)

// tokenField is a field that is filled with the text of tokens.
type tokenField interface{ take([]token) }

func sortOf(t reflect.Type) fieldSort {
	switch t.Kind() {
	case reflect.Pointer:
		return nodeField
	case reflect.Slice:
		return nodesField
	case reflect.Bool:
		return flagField
	}
	return textField
}

// placed is any node.
type placed interface{ place() *Span }
