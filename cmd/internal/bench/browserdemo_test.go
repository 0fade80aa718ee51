package bench_test

import (
	"fmt"
	"regexp"
	"strings"
	"testing"

	"github.com/chromedp/chromedp/kb"
)

// broken is the device of the demonstration on the bench: C4410 is shorted, which hangs
// on the pads P97 to P99 of the lower half and lies under J7.
type broken struct{ open bool } // J7 is off

// outcome is what somebody sees who makes a test, as a pattern of the button for it.
func (d *broken) outcome(test string) string {
	ring := func(seen bool) string {
		if seen {
			return "^rings"
		}
		return "^does not ring"
	}
	place := regexp.MustCompile(`^read (\S+) against`).FindStringSubmatch(test)
	switch {
	case place != nil:
		return ring(regexp.MustCompile(`^lower:(P9[789]|C44\d\d\b|U440)`).MatchString(place[1]))
	case strings.Contains(test, "becomes warm") && strings.Contains(test, "under lower:J7"):
		d.open = true // which the test says comes first
		return isWarm
	case strings.Contains(test, "becomes warm"):
		return "^nothing"
	case strings.HasPrefix(test, "feed lower alone"), strings.HasPrefix(test, "feed the device"):
		return "^at the limit"
	case strings.HasPrefix(test, "feed upper alone"):
		return "or less"
	case strings.HasPrefix(test, "look for corrosion"):
		return "^no corrosion"
	case strings.HasPrefix(test, "tape over P99, P98, P97"):
		return "^the short is gone"
	case strings.HasPrefix(test, "lift lower:C4410"):
		return "^the short is gone"
	}
	return "^still there"
}

// isWarm stands for what is typed, for the part is not among those that are offered.
const isWarm = "lower:C4410"

// tabTo goes on by the key Tab until what has the focus is as wanted: a JavaScript
// condition on e.
func (p *sight) tabTo(wanted string) {
	p.Helper()
	for range 150 {
		if p.truth("(e => e !== document.body && !!(" + wanted + "))(document.activeElement)") {
			return
		}
		p.do(typed(kb.Tab))
	}
	p.shoot("failed")
	p.Fatalf("Tab does not lead to %s", wanted)
}

// TestBrowserDemo leads the job of the demonstration from the first question to the part
// that was bad and the closed job, by keys alone: each test that the page proposes is
// made on a device of which the page does not know what is broken in it.
func TestBrowserDemo(t *testing.T) {
	s := serve(t, "")
	p := look(t, 1280, 900)
	p.comeIn(s)

	p.tabTo(`e.id === "q"`)
	p.do(typed("parts on lower:VMAIN under shield or connector"), typed(kb.Enter))
	p.waitFor("#answer", "lower:C4101")
	p.tabTo(`e.className === "home"`)
	p.do(typed(kb.Enter))
	p.waitFor("h1", "On the bench")
	p.tabTo(`e.getAttribute("href") === "/job/1042"`)
	p.do(typed(kb.Enter))
	p.waitFor("h1", "Job 1042")

	device, step, made := broken{}, 6, []string(nil)
	for !p.found("lower:C4410") {
		if len(made) == 15 {
			t.Fatalf("after %d tests it is not found: %q", len(made), made)
		}
		p.waitTrue(`document.querySelector("#tests h3") !== null`)
		test := evaluate[string](p, `document.querySelector("#tests h3").textContent`)
		pattern := device.outcome(test)
		const ofFirst = `e.closest("#tests li li") && e.closest("ol > li") === document.querySelector("#tests ol > li") && `
		if pattern == isWarm {
			p.tabTo(ofFirst + `e.placeholder === "the part that is warm"`)
			p.do(typed(isWarm))
		} else {
			p.tabTo(fmt.Sprintf("%s/%s/.test(e.innerText)", ofFirst, pattern))
		}
		made = append(made, test+": "+evaluate[string](p, `document.activeElement.innerText || document.activeElement.value`))
		logs := evaluate[int](p, `document.activeElement.form.querySelectorAll("[name=step]").length`)
		p.do(typed(kb.Enter))
		step += logs
		p.waitTrue(fmt.Sprintf(`(d => d !== null && d.dataset.step === "%d")(document.querySelector(".done"))`, step))
		p.shoot(fmt.Sprintf("demo-%d", len(made)))
	}
	t.Logf("found by %d tests: %q", len(made), made)
	if !device.open {
		t.Error("it was found without J7 being taken off")
	}

	// Without it the pad reads as it should, which is typed; then the job is closed.
	p.tabTo(`e.id === "step"`)
	p.do(typed("removed lower:C4410 gone"), typed(kb.Enter))
	p.waitFor("#told", "removed lower:C4410 gone")
	p.tabTo(`e.id === "step"`)
	p.do(typed("reading diode lower:P97 0.431V"), typed(kb.Enter))
	p.waitFor("#told", "matching")
	p.tabTo(`e.id === "culprit"`)
	p.do(typed("lower:C4410"))
	p.tabTo(`e.value === "repaired"`)
	p.do(typed(kb.Enter))
	p.waitFor("#told", "the job is closed")
	p.shoot("demo-closed")
	if out := s.steps(); !strings.Contains(out, "repaired") || !strings.Contains(out, "lower:C4410") {
		t.Errorf("the job is not closed:\n%s", out)
	}
	p.onlyFrom(s.root)
}

// found reports whether a part is most likely it, and by far.
func (p *sight) found(name string) bool {
	p.Helper()
	return p.truth(`(r => r !== null && r.cells[0].textContent.trim() === "` + name + `" && parseFloat(r.cells[1].textContent) > 90)(document.querySelector("#suspects tbody tr"))`)
}
