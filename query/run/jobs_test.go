package run_test

import (
	"context"
	"fmt"
	"math/rand"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"netlore/query/check"
	"netlore/query/run"
	"netlore/query/syntax"
	"netlore/store/board"
)

// jobsOnTwoBoards is a stack of two random boards whose names overlap, with
// jobs that each member knows: on the stack, on one of the boards, and with
// culprits that are parts, pads, pins or nets, of either member or of none that
// is said, and some that are on neither.
func jobsOnTwoBoards(r *rand.Rand) *check.Scope {
	scope := &check.Scope{Stack: "Plover"}
	shared := &board.Knowledge{}
	for i, role := range []string{"lower", "upper"} {
		b := randomBoard(r, 12, 0)
		b.Name = fmt.Sprintf("Plover-%c", 'A'+i)
		scope.Members = append(scope.Members, check.Member{Role: role, Board: b, Knowledge: shared})
	}
	for i := range 12 {
		j := board.Job{ID: fmt.Sprint(i + 1), Of: pick(r, "Plover", "Plover", "Plover-A", "Plover-B")}
		for range r.Intn(3) {
			j.Culprits = append(j.Culprits, randomCulprit(r, scope))
		}
		shared.Jobs = append(shared.Jobs, j)
	}
	return scope
}

func randomCulprit(r *rand.Rand, scope *check.Scope) board.Target {
	m := scope.Members[r.Intn(2)]
	t := board.Target{Role: pick(r, "lower", "upper", m.Role, ""), Name: m.Board.Parts[r.Intn(len(m.Board.Parts))].Name}
	switch r.Intn(8) {
	case 0:
		t.Kind, t.Name = board.OnNet, pick(r, randomNets...)
	case 1:
		t.Kind, t.Name = board.OnPad, m.Board.Pads[r.Intn(len(m.Board.Pads))].Name
	case 2:
		t.Name = "GONE1"
	}
	return t
}

// culpritOn is the answer to `culprit on NET`, straight from the definition: for
// every culprit and every member that it may be meant to be on.
func culpritOn(scope *check.Scope, j *board.Job, net string, roles ...string) board.Truth {
	truth := board.False
	for _, t := range j.Culprits {
		known := false
		for _, m := range scope.Members {
			if t.Role != "" && t.Role != m.Role {
				continue
			}
			nets, found := netsOf(m.Board, t)
			known = known || found
			if slices.Contains(nets, net) && slices.Contains(roles, m.Role) {
				return board.True
			}
		}
		if !known {
			truth = board.Unknown
		}
	}
	return truth
}

// netsOf are the nets that a target is on: a pad, else a net, else a part.
func netsOf(b *board.Board, t board.Target) (nets []string, found bool) {
	pad, net, part := b.FindPad(t.Name), b.FindNet(t.Name), b.FindPart(t.Name)
	switch {
	case pad != board.None && (t.Kind == board.OnPad || t.Kind == board.AnyTarget):
		if n := b.Pads[pad].Net; n != board.None {
			nets = append(nets, b.Nets[n].Name)
		}
		return nets, true
	case net != board.None && (t.Kind == board.OnNet || t.Kind == board.AnyTarget):
		return []string{b.Nets[net].Name}, true
	case part != board.None && t.Kind == board.AnyTarget:
		for _, pin := range b.Pins {
			if pin.Part == part && pin.Net != board.None {
				nets = append(nets, b.Nets[pin.Net].Name)
			}
		}
		return nets, true
	}
	return nil, false
}

// Jobs are asked once for both members of a stack, and denied once: the answers
// are those of the definition, in both bounds.
func TestJobsOfAStack(t *testing.T) {
	r := rand.New(rand.NewSource(41))
	seen := map[board.Truth]int{}
	for range 150 {
		scope := jobsOnTwoBoards(r)
		net := pick(r, randomNets...)
		both, lower := []string{"lower", "upper"}, []string{"lower"}
		for text, judge := range map[string]func(j *board.Job) board.Truth{
			"jobs with culprit on " + net:              func(j *board.Job) board.Truth { return culpritOn(scope, j, net, both...) },
			"jobs not with culprit on " + net:          func(j *board.Job) board.Truth { return opposite(culpritOn(scope, j, net, both...)) },
			"jobs with culprit on lower:" + net:        func(j *board.Job) board.Truth { return culpritOn(scope, j, net, lower...) },
			"jobs with not culprit on lower:" + net:    func(j *board.Job) board.Truth { return opposite(culpritOn(scope, j, net, lower...)) },
			"jobs not on Plover-A":                     func(j *board.Job) board.Truth { return truth(j.Of == "Plover-B") },
			"jobs on Plover without culprit":           func(j *board.Job) board.Truth { return truth(j.Of == "Plover" && len(j.Culprits) == 0) },
			"(jobs) except (jobs with culprit on GND)": func(j *board.Job) board.Truth { return opposite(culpritOn(scope, j, "GND", both...)) },
		} {
			want := bounds{map[string]bool{}, map[string]bool{}}
			for i := range scope.Members[0].Knowledge.Jobs {
				j := &scope.Members[0].Knowledge.Jobs[i]
				verdict := judge(j)
				seen[verdict]++
				if verdict == board.True {
					want.certain[j.ID] = true
				}
				if verdict != board.False {
					want.possible[j.ID] = true
				}
			}
			if d := cmp.Diff(want, jobBounds(t, text, scope), exported); d != "" {
				t.Fatalf("%s\n%s", text, d)
			}
		}
	}
	if seen[board.True] < 100 || seen[board.False] < 100 || seen[board.Unknown] < 100 {
		t.Errorf("too few of a sort: %v", seen)
	}
}

func jobBounds(t *testing.T, text string, scope *check.Scope) bounds {
	b := bounds{map[string]bool{}, map[string]bool{}}
	for _, possibly := range []string{"", "possibly "} {
		tree, list := syntax.Parse(possibly + text)
		if list.HasErrors() {
			t.Fatal(list)
		}
		q, list := check.Check(possibly+text, tree, scope)
		if q == nil {
			t.Fatal(list)
		}
		for _, row := range run.Run(context.Background(), q, run.Options{}).Rows {
			name := row.Cells[0].Raw()
			b.possible[name] = true
			b.certain[name] = b.certain[name] || possibly == ""
			if !b.certain[name] {
				delete(b.certain, name)
			}
		}
	}
	return b
}
