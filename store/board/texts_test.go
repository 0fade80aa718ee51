package board

import (
	"strings"
	"testing"
)

// Strings that are kept stay what they were, whatever is kept after them.
func TestTexts(t *testing.T) {
	var texts Texts
	var kept, want []string
	for i := range 40_000 {
		s := strings.Repeat("x", i%37) + string(rune('a'+i%26))
		if i%1000 == 0 {
			s = strings.Repeat(s, 700) // longer than a piece
		}
		kept, want = append(kept, texts.Keep(s)), append(want, s)
	}
	for i := range kept {
		if kept[i] != want[i] {
			t.Fatalf("string %d became %q", i, kept[i])
		}
	}
}

func TestTextsAllocateSeldom(t *testing.T) {
	var texts Texts
	per := testing.AllocsPerRun(10, func() {
		for range 1000 {
			texts.Keep("C12345")
		}
	})
	if per > 2 {
		t.Errorf("%v allocations for a thousand names", per)
	}
}
