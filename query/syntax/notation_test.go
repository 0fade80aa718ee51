package syntax

import (
	"reflect"
	"testing"
)

// A wrong tag ends the building of the grammar, and it is told where.
func TestWrongTags(t *testing.T) {
	type empty struct{ Span }
	type unopened struct {
		A bool `parser:"@'a' )"`
	}
	type unclosed struct {
		A bool `parser:"( @'a'"`
	}
	type unquoted struct {
		A bool `parser:"@'a"`
	}
	type noWord struct {
		A bool `parser:"@''"`
	}
	type noKind struct {
		A bool `parser:"@Noise"`
	}
	type noChoice struct {
		A bool `parser:"( | 'a' )"`
	}
	type nothing struct {
		A bool `parser:"@"`
	}
	for said, node := range map[string]any{
		`empty is wrong at ""`: empty{}, `unopened is wrong at ")"`: unopened{}, `unclosed is wrong at ""`: unclosed{},
		`unquoted is wrong at "'a"`: unquoted{}, `noWord is wrong at "''"`: noWord{}, `noKind is wrong at "Noise"`: noKind{},
		`noChoice is wrong at "|"`: noChoice{}, `nothing is wrong at ""`: nothing{},
	} {
		if got := wrongTags(reflect.TypeOf(node)); got != "the grammar of "+said {
			t.Errorf("%q is said instead of %q", got, said)
		}
	}
}

// wrongTags is how the building of a grammar ends.
func wrongTags(node reflect.Type) (said string) {
	defer func() {
		if r := recover(); r != nil {
			said = r.(string)
		}
	}()
	buildGrammar().nodeOf(node)
	return "nothing"
}
