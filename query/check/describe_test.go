package check

import (
	"fmt"
	"reflect"
	"strings"

	"netlore/query/diag"
	"netlore/query/value"
	"netlore/query/words"
	"netlore/store/board"
)

// describe writes a typed tree in lines. Names are shown with what they stand
// for, as member:noun names; places in the text are left out.
func describe(q *Question) string {
	d := describer{scope: q.Scope}
	d.show("", reflect.ValueOf(*q), 0)
	return d.out.String()
}

type describer struct {
	scope *Scope
	out   strings.Builder
}

func (d *describer) line(level int, format string, args ...any) {
	fmt.Fprintf(&d.out, "%s%s\n", strings.Repeat("  ", level), fmt.Sprintf(format, args...))
}

// show writes one value under its label.
func (d *describer) show(label string, v reflect.Value, level int) {
	for v.Kind() == reflect.Interface || v.Kind() == reflect.Pointer && v.Type() != reflect.TypeFor[*words.Field]() {
		v = v.Elem()
	}
	if v.Type() == reflect.TypeFor[diag.Range]() {
		return
	}
	if text, ok := d.plain(v.Interface()); ok {
		d.line(level, "%s %s", label, text)
		return
	}
	switch v.Kind() {
	case reflect.Struct:
		if label != "" {
			d.line(level, "%s %s", label, v.Type().Name())
			level++
		}
		for i := range v.NumField() {
			name := v.Type().Field(i).Name
			if !v.Type().Field(i).IsExported() {
				continue
			}
			if f := v.Field(i); !f.IsZero() && name != "Text" && name != "Reading" && name != "Scope" || name == "Text" && v.Type() == reflect.TypeFor[Value]() && !f.IsZero() {
				d.show(name, f, level)
			}
		}
	case reflect.Slice:
		for i := range v.Len() {
			d.show(label, v.Index(i), level)
		}
	default:
		d.line(level, "%s %v", label, v.Interface())
	}
}

// plain gives the values that are one word, and leaves out places.
func (d *describer) plain(v any) (string, bool) {
	switch v := v.(type) {
	case Field:
		return v.Word, true
	case value.Pattern:
		return "true", true // its text stands beside it
	case Name:
		return v.Text + d.found(v.Found), true
	case []int:
		var roles []string
		for _, i := range v {
			roles = append(roles, d.member(i))
		}
		return strings.Join(roles, " "), true
	case board.Quantity:
		return v.String(), true
	case PartKind:
		return v.String(), true
	case Choice:
		return strings.Join(strings.Fields(strings.Trim(fmt.Sprintf("%v", v), "{}")), " "), true
	case SetOp:
		return [...]string{Union: "and also", Except: "except", Shared: "shared with"}[v], true
	case CompareOp:
		return [...]string{Equal: "=", NotEqual: "!=", Less: "<", LessEqual: "<=", Greater: ">", GreaterEqual: ">=", Between: "between"}[v], true
	case AggregateKind:
		return aggregateWord(v), true
	case fmt.Stringer:
		return v.String(), true
	}
	return "", false
}

func (d *describer) member(i int) string {
	if role := d.scope.Members[i].Role; role != "" {
		return role
	}
	return d.scope.Members[i].Board.Name
}

func (d *describer) found(found []Found) string {
	var s strings.Builder
	for _, f := range found {
		fmt.Fprintf(&s, " = %s:%s", d.member(f.Member), f.Noun)
		for _, id := range f.IDs {
			s.WriteString(" " + nameOf(d.scope, d.scope.Members[f.Member], f.Noun, id))
		}
		for _, text := range f.Texts {
			s.WriteString(" " + text)
		}
	}
	return s.String()
}
