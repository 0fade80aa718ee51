package check

import (
	"sync"
	"testing"
)

func TestKeep(t *testing.T) {
	q := &Question{kept: new(sync.Map)}
	var all sync.WaitGroup
	got := make([]any, 16)
	for i := range got {
		all.Go(func() { got[i] = q.Keep(i%2, func() any { return new(int) }) })
	}
	all.Wait()
	for i := range got {
		if same := got[i] == got[i%2]; !same || got[0] == got[1] {
			t.Errorf("the question keeps more than one thing under a key, or one under two: %v", got)
		}
	}
	copied := *q
	if copied.Keep(0, func() any { return nil }) != got[0] {
		t.Error("a copy keeps something else")
	}
	if made := (&Question{}).Keep(0, func() any { return "made" }); made != "made" {
		t.Errorf("a question that nothing checked keeps %v", made)
	}
}
