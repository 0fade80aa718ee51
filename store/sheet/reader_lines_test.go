package sheet_test

import (
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"netlore/store/board"
	"netlore/store/sheet"
)

func (t *tiny) put(thing string, attrs said) {
	t.add(thing, "")
	for name, values := range attrs {
		t.add(thing, name, values...)
	}
}

func (t *tiny) statement() {
	t.kind = t.take()
	switch t.kind {
	case "pad":
		for names, attrs := t.spread(), t.attributes("pad"); len(names) > 0; names = names[1:] {
			t.put("pad "+names[0], attrs)
		}
	case "join":
		t.join()
	case "outline":
		t.put("outline", t.attributes("outline"))
	case "expect", "reading":
		t.lead()
		t.nameless(t.kind, t.attributes(t.kind).said())
	case "continuity":
		t.attrs["of"] = append(t.target(), t.target()...)
		t.nameless(t.kind, t.attributes(t.kind).said())
	case "via", "hole", "track", "note":
		t.nameless(t.kind, t.attributes(t.kind).said())
	default:
		name := t.name()
		t.thing = t.kind + " " + name
		t.attributes(t.kind)
		t.partValue(name)
		t.put(t.thing, t.attrs)
		t.over(t.attrs["over"])
	}
	for _, net := range t.attrs["net"] {
		t.add("net "+net, "")
	}
}

func (t *tiny) partValue(name string) {
	if t.kind != "part" {
		return
	}
	class := board.ClassOf(name)
	if w := t.attrs["class"]; w != nil {
		class, _ = board.ClassByWord(w[0])
	}
	t.attrs["class"] = []string{class.String()}
	if w := t.attrs["value"]; w != nil {
		q, err := board.ParseQuantity(w[0], class.ValueUnit())
		if err != nil {
			q, _ = board.ParseQuantity(w[0], board.NoUnit)
		}
		w[0] = q.String()
	}
}

// over makes known what a cover lists.
func (t *tiny) over(names []string) {
	for _, name := range names {
		t.add(t.thing, "listed", "yes")
		if t.facts[t.thing]["over"] = slices.DeleteFunc(t.facts[t.thing]["over"], func(s string) bool { return s == "nothing" }); name != "nothing" {
			t.add(t.thing, "over", name)
			t.add("part "+name, "")
		}
	}
}

func (t *tiny) join() {
	end := func() (all []string) { return t.target() }
	a, b := end(), end()
	attrs := t.attributes("join")
	for i := range a {
		ends := []string{a[i], b[i]}
		slices.SortFunc(ends, board.CompareNatural)
		t.put("join "+ends[0]+" "+ends[1], attrs)
	}
}

func (t *tiny) member() {
	switch {
	case t.kind == "board":
		t.put(t.thing, t.attributes("board"))
	case t.kind == "stack":
		role := t.name()
		t.attrs["board"] = []string{t.name()}
		t.put("role "+role, t.attributes("role"))
	case t.kind == "part":
		pin := "pin " + strings.TrimPrefix(t.thing, "part ") + "." + t.name()
		t.put(pin, t.attributes("pin"))
	case t.kind == "job":
		number := t.take()
		t.put("step "+strings.TrimPrefix(t.thing, "job ")+"."+strings.TrimLeft(number, "0"), t.step())
	case t.next() == "pad":
		t.take()
		for _, name := range t.spread() {
			t.add("pad "+name, "")
			t.add(t.thing, map[string]string{"cover": "over", "branch": "pads"}[t.kind], map[string]string{"cover": "pad "}[t.kind]+name)
		}
		if t.kind == "cover" {
			t.add(t.thing, "listed", "yes")
		}
	case t.kind == "cover":
		t.over([]string{t.name()})
	default:
		t.pins(t.name())
	}
}

// pins takes the pins of a part on a net or branch.
func (t *tiny) pins(part string) {
	t.add("part "+part, "")
	for len(t.words) > 0 {
		for _, pin := range t.spread() {
			t.add("pin "+part+"."+pin, "")
			if t.kind == "net" {
				t.add("pin "+part+"."+pin, "net", strings.TrimPrefix(t.thing, "net "))
			} else {
				t.add(t.thing, "pins", part+"."+pin)
			}
		}
	}
}

var tinyStepWord = regexp.MustCompile(`^(by|when|nothing|".*|)$`)

// tinyNotHalf is what a draw may go on with, if not with a role.
var tinyNotHalf = regexp.MustCompile(`^(by|when|[-+.\d\x{2000}-\x{2fff}].*|".*|)$`)

// step takes a step of a job, from what was done on.
func (t *tiny) step() said {
	done := t.take()
	t.attrs["done"] = []string{done}
	switch done {
	case "reading":
		t.lead()
	case "resistance":
		t.attrs["on"], t.mode = t.target(), "ohms"
	case "inject":
		t.attrs["on"] = t.target()
	case "draw":
		if !tinyNotHalf.MatchString(t.next()) {
			t.attrs["half"] = []string{t.take()}
		}
	case "separated", "joined", "note":
	case "freeze", "hot", "cold", "look":
		if !tinyStepWord.MatchString(t.next()) {
			t.attrs["on"] = t.list(t.target)
		}
	default:
		t.attrs["on"] = t.list(t.target)
	}
	return t.attributes("step")
}

// settle says what goes without saying: the class that the letters of a part
// tell, and the net of what is on a branch.
func (t *tiny) settle() {
	for thing, attrs := range t.facts {
		if name, ok := strings.CutPrefix(thing, "part "); ok && attrs["class"] == nil {
			t.add(thing, "class", board.ClassOf(name).String())
		}
		if !strings.HasPrefix(thing, "branch ") || attrs["net"] == nil {
			continue
		}
		on := func(what string) {
			if t.facts[what]["net"] == nil {
				t.add(what, "net", attrs["net"][0])
			}
		}
		for _, pad := range attrs["pads"] {
			on("pad " + pad)
		}
		for _, pin := range attrs["pins"] {
			on("pin " + pin)
		}
	}
}

// TestTinyReader holds the package against the tiny reader of this folder, on
// every sheet of the suite that is without mistakes.
func TestTinyReader(t *testing.T) {
	compared := 0
	for _, c := range cases(t) {
		if c.kind == "invalid" || c.kind == "merge" {
			continue
		}
		files, complaints := c.inputs(t)
		content, more := sheet.Read(files...)
		if len(complaints)+len(more) > 0 || newer(files[0]) {
			continue
		}
		compared++
		if want, got := tinyRead(c.text(t)).String(), factsOf(content).String(); want != got {
			t.Errorf("%s: two readers differ (- tiny, + package):\n%s", c.path, cmp.Diff(want, got))
		}
	}
	t.Logf("%d sheets compared", compared)
}

// tinyStep is what the canonical text of a step says.
func tinyStep(text string) said {
	t := tiny{facts: facts{}, words: tinySplit(text), attrs: said{}}
	return t.step()
}
