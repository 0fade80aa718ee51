package bench_test

import (
	"regexp"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// TestBrowserJob leads the job of the demonstration from a question to logged
// steps and readings, by keys and clicks.
func TestBrowserJob(t *testing.T) {
	s := serve(t, "")
	p := look(t, 1440, 900)
	p.comeIn(s)
	p.shoot("home")

	// A question with what completion offers.
	p.do(chromedp.Focus("#q"), typed("hidden par"))
	p.waitTrue(`document.querySelector("#offers").innerText.startsWith("parts")`)
	p.do(typed(kb.ArrowDown), typed(kb.Enter), typed("on lower:VM"))
	p.waitTrue(`document.querySelector("#offers").innerText.startsWith("lower:VMAIN")`)
	p.shoot("completion")
	p.do(typed(kb.ArrowDown), typed(kb.Tab))
	p.do(typed(kb.Enter))
	p.waitFor("h1", "hidden parts on lower:VMAIN")
	p.waitFor("#answer", "lower:J7")
	p.waitTrue(`document.querySelector("figure .board svg [data-thing]") !== null`)
	p.shoot("answer")

	// A slip, mended by a tap.
	p.do(chromedp.SetValue("#q", "parts on lower:VMIAN"), chromedp.Focus("#q"), typed(kb.Enter))
	p.waitFor(".trouble", "^")
	p.shoot("complaint")
	p.do(chromedp.Click(".trouble .button"))
	p.waitFor("#answer", "lower:C4407")

	// All that is known of a part.
	p.do(chromedp.Click(`//a[text()="lower:C4407"]`))
	p.waitFor("#answer", "covers over lower:C4407")
	p.shoot("thing")

	p.do(chromedp.Click("header .home"))
	p.waitFor("#jobs", "1042")
	p.do(chromedp.Click(`a[href="/job/1042"]`))
	p.waitFor("#tests", "read lower:P97")
	p.waitFor("#suspects", "lower:U445")
	p.shoot("job")
	p.testByTap(s)
	p.readByKeys(s)
	p.logByHand(s)
	p.shoot("job-later")
	p.onlyFrom(s.root)
}

// testByTap logs how one of the proposed tests came out with one tap, and takes it
// back by keys; then what needs a value.
func (p *sight) testByTap(s *served) {
	p.Helper()
	p.do(chromedp.Click(nothingWarm))
	p.waitFor("#told", "saved as steps 7 to 8")
	p.waitFor("#story", "hot nothing")
	p.shoot("tested")
	if out := s.steps(); !strings.Contains(out, "   7  inject lower:VMAIN 1V 2A") || !strings.Contains(out, "   8  hot nothing") {
		p.Errorf("the base has not what the page told:\n%s", out)
	}
	p.do(typed(kb.Tab)) // to take it back is the next thing after what was told
	if !p.truth(`document.activeElement.innerText === "Take back steps 7 to 8"`) {
		p.Errorf("the focus is on %s", evaluate[string](p, "document.activeElement.outerHTML"))
	}
	p.do(typed(kb.Enter))
	p.waitFor("#told", "steps 7 to 8 were taken back")
	p.waitTrue(`document.querySelectorAll("#story li").length === 6`)
	if out := s.steps(); strings.Contains(out, "inject") {
		p.Errorf("the base has still what was taken back:\n%s", out)
	}
	// What needs a value says so, and takes one.
	p.do(chromedp.Click(`//section[@id="tests"]//li[contains(., "read lower:P97")]//button[starts-with(., "Log")]`))
	p.waitFor("#told", "type what was found")
	p.do(chromedp.SendKeys(`//section[@id="tests"]//li[contains(., "read lower:P97")]//input[@name="value" and not(@type="hidden")]`, "4mV"), typed(kb.Enter))
	p.waitFor("#told", "reading diode lower:P97 4mV: shorted")
	p.do(chromedp.Click(`//div[@id="told"]//button`))
	p.waitFor("#told", "step 7 was taken back")
}

// readByKeys enters readings with a field that has the focus.
func (p *sight) readByKeys(s *served) {
	p.Helper()
	p.do(chromedp.SetValue("#places", "pads on lower:VMAIN in IP1"), chromedp.Focus("#places"), typed(kb.Enter))
	p.waitFor(".place", "lower:P11")
	p.do(chromedp.Focus("#value"))
	p.shoot("reading")
	p.do(typed("s"))
	p.waitFor(".place", "lower:P12")
	p.do(chromedp.Focus("#value"), typed("0.431"), typed(kb.Enter))
	p.waitFor("#told", "saved as step 7")
	p.waitFor(".place", "lower:P13")
	if !p.truth(`document.activeElement.id === "value"`) {
		p.Error("the field for readings has lost the focus")
	}
	p.do(typed("o"))
	p.waitFor("#told", "saved as step 8")
	p.waitFor("#story", "lower:P13 open")
	p.do(typed("u"))
	p.waitFor("#told", "step 8 was taken back")
	if out := s.steps(); strings.Contains(out, "lower:P13") || !strings.Contains(out, "lower:P12 0.431V") {
		p.Errorf("the base has not what the page told:\n%s", out)
	}
	// Switched off, a key is a letter (WCAG 2.1.4).
	p.do(chromedp.Click(`[data-keep=keys]`), chromedp.Focus("#value"), typed("o"))
	if !p.truth(`document.querySelector("#value").value === "o"`) {
		p.Error("one key still enters")
	}
	p.do(typed(kb.Enter))
	p.waitFor("#told", "type a number")
	p.shoot("wrong-reading")
	if !p.truth(`document.querySelector("#value").value === "o"`) {
		p.Error("what was typed is gone")
	}
}

// logByHand logs steps by taps and by typing, and sees what a command logs.
func (p *sight) logByHand(s *served) {
	p.Helper()
	p.do(chromedp.Click(`//button[text()="nothing hot"]`), typed(kb.Enter))
	p.waitFor("#told", "hot nothing")
	if !p.truth(`document.querySelector(".done").getBoundingClientRect().top >= 0`) {
		p.Error("what was saved is told out of sight")
	}
	p.do(chromedp.Click(`//button[contains(., "lower:J7")]`))
	p.waitFor("#state", "covers off: lower:J7")
	p.do(chromedp.SendKeys(".taping input[placeholder]", "lower:P11..P14"), typed(kb.Enter))
	p.waitFor("#state", "tape over lower:P11..P14")
	p.do(chromedp.Click(`//section[@id="state"]//button[contains(., "tape over")]`))
	p.waitTrue(`!document.querySelector("#state").innerText.includes("lower:P11")`)
	p.do(chromedp.Focus("#step"), typed("hot lower:C44100"), typed(kb.Enter))
	p.waitFor("#told", "did you mean lower:C4410?")
	p.do(typed(kb.Backspace), typed(kb.Enter))
	p.waitFor("#told", "hot lower:C4410")
	p.waitFor("#suspects", "lower:C4410")
	// Nothing covers what has the focus (WCAG 2.2, 2.4.11).
	p.waitTrue(`(r => document.elementFromPoint(r.left + r.width/2, r.top + r.height/2) === document.activeElement)(document.activeElement.getBoundingClientRect())`)
	if code, out := command(p.TB, s.base, "job", "log", "1042", `note "from the other bench"`); code != 0 {
		p.Fatal(out)
	}
	p.waitFor("#story", "from the other bench")
	if !p.truth(`document.body.dataset.sounded !== undefined`) {
		p.Error("nothing was to be heard")
	}
}

// TestBrowserSizes looks at the pages on a tablet, and at 200 % of a small window:
// nothing runs out of the window but tables, which can be moved.
func TestBrowserSizes(t *testing.T) {
	s := serve(t, "")
	s.photographed()
	for name, size := range map[string][2]int64{"tablet": {820, 1180}, "zoomed": {640, 400}, "tablet at 200 %": {410, 590}, "phone": {390, 844}, "narrow": {320, 640}} {
		t.Run(name, func(t *testing.T) {
			p := look(t, size[0], size[1])
			p.comeIn(s)
			for page, path := range map[string]string{"home": "/", "answer": "/ask?q=hidden+parts+on+lower:VMAIN&on=Heron", "job": "/job/1042?places=pads+on+lower:VMAIN+in+IP1", "thing": "/thing?name=lower:P97&on=Heron", "compare": "/job/1031/compare", "photo": "/photo?of=Heron-B+rev+2&side=top",
				"photos": "/photos", "no-photo": "/photo?of=Heron-B+rev+2&side=bottom", "complaint": "/ask?q=parts+on+lower:VMIAN&on=Heron", "explain": "/explain/B201", "closed": "/job/1031"} {
				p.do(chromedp.Navigate(s.root + path))
				p.shoot(name + "-" + page)
				if !p.truth(`document.documentElement.scrollWidth <= innerWidth`) {
					t.Errorf("%s runs out of the window", page)
				}
				if broken := evaluate[int](p, `[...document.querySelectorAll("pre")].filter(e => e.scrollWidth > e.clientWidth).length`); broken > 0 {
					t.Errorf("%s: a text runs out of its frame", page)
				}
				if gone := evaluate[[]string](p, `[...document.querySelectorAll(".always a")].map(e => e.hash).filter(at => !document.querySelector(at))`); len(gone) > 0 {
					t.Errorf("%s leads to %q, which is not there", page, gone)
				}
				p.largeTargets(page)
			}
		})
	}
}

// largeTargets finds what is too small for a glove: 44 CSS pixels are what WCAG
// 2.5.5 asks for, links in running text and words in tables apart.
func (p *sight) largeTargets(page string) {
	p.Helper()
	small := evaluate[[]string](p, `[...document.querySelectorAll("button, .button, summary, select, input:not([type=hidden]):not([type=checkbox]), header a")]
		.filter(e => e.checkVisibility() && (e.getBoundingClientRect().height < 44 || e.getBoundingClientRect().width < 44)).map(e => e.outerHTML.slice(0, 80))`)
	if len(small) > 0 {
		p.Errorf("%s has small targets: %q", page, small)
	}
}

// TestBrowserWithoutScripts reads and logs with scripts off.
func TestBrowserWithoutScripts(t *testing.T) {
	s := serve(t, "")
	p := look(t, 1024, 768, chromedp.Flag("blink-settings", "scriptEnabled=false"))
	p.do(chromedp.Navigate(s.door), chromedp.Click("button.main"), chromedp.WaitVisible("#jobs"),
		chromedp.Click(`a[href="/job/1042"]`), chromedp.WaitVisible("#tests .ways"),
		chromedp.SetValue("#step", "hot nothing"), chromedp.Click("form.logger button"), chromedp.WaitVisible(".done"))
	p.shoot("without-scripts")
	if out := s.steps(); !strings.Contains(out, "   7  hot nothing") {
		t.Errorf("the step was not logged:\n%s", out)
	}
	p.onlyFrom(s.root)
}

// TestBrowserOrigin has a browser say that its forms come from the page: one that does not know the headers
// of Fetch Metadata is told from another site by that alone.
func TestBrowserOrigin(t *testing.T) {
	s := serve(t, "")
	p := look(t, 1024, 768)
	p.comeIn(s, "/job/1042")
	p.do(chromedp.Focus("#step"), typed("hot nothing"), typed(kb.Enter))
	p.waitFor("#told", "saved as step 7")
	p.mu.Lock()
	defer p.mu.Unlock()
	for _, origin := range p.origins {
		if origin != s.root {
			t.Errorf("a form comes from %q, not from %s", origin, s.root)
		}
	}
	if len(p.origins) < 2 {
		t.Errorf("%d forms say where they come from", len(p.origins))
	}
}

// TestBrowserHostile shows a name that would be a script in a browser: nothing of
// it runs or becomes an element.
func TestBrowserHostile(t *testing.T) {
	s := serve(t, "netlore 1\nboard Wren rev 1\n\npart C1 10uF\n\nnet \""+hostile+"\" power\n  C1 1\nnet GND ground\n  C1 2\n")
	p := look(t, 1024, 768)
	p.comeIn(s)
	p.do(chromedp.Focus("#q"), typed("parts on "))
	p.waitFor("#offers", "<img")
	p.do(chromedp.Navigate(s.root + "/ask?q=nets"))
	p.waitFor("#answer", hostile)
	if p.truth(`document.querySelectorAll("img:not([src^='/plan?'], [src^='/job/']), [onerror]").length > 0`) {
		t.Error("a name has become a picture")
	}
	p.onlyFrom(s.root)
}

// TestBrowserServerBack kills the page under a browser and starts it again: the
// browser says so, and what was logged is there.
func TestBrowserServerBack(t *testing.T) {
	s := newServed(t, "")
	s.startProcess()
	t.Cleanup(func() { s.end() })
	p := look(t, 1024, 768)
	p.comeIn(s, "/job/1042")
	p.waitFor("#tests", "read")
	p.do(chromedp.Focus("#step"), typed("hot nothing"), typed(kb.Enter))
	p.waitFor("#told", "saved as step 7")
	port := s.root[strings.LastIndex(s.root, ":")+1:]
	s.end()
	p.waitFor("#lost", "not answered")
	p.shoot("lost")
	s.start("--port", port)
	p.do(chromedp.Navigate(s.root + "/job/1042"))
	p.waitFor(".trouble", "has not been let in")
	p.comeIn(s, "/job/1042")
	p.waitFor("#story", "hot nothing")
}

// TestBrowserTwo has two browsers on one job: each sees at once what the other
// logs, and neither takes back what is not its last any more.
func TestBrowserTwo(t *testing.T) {
	s := serve(t, "")
	a, b := look(t, 1024, 768), look(t, 1024, 768)
	for _, p := range []*sight{a, b} {
		p.comeIn(s, "/job/1042")
		p.waitFor("#story", "lower:P31")
	}
	b.do(chromedp.Focus("#step"), typed(`note "fro`))
	a.do(chromedp.Focus("#step"), typed(`note "from a"`), typed(kb.Enter))
	a.waitFor("#told", "saved as step 7")
	b.waitFor("#story", "from a")
	if !b.truth(`document.querySelector("#step").value === 'note "fro'`) {
		t.Error("what b was typing is gone")
	}
	b.do(typed(`m b"`), typed(kb.Enter))
	b.waitFor("#told", "saved as step 8")
	a.waitFor("#story", "from b")
	if out := s.steps(); !strings.Contains(out, `   7  note "from a"`) || !strings.Contains(out, `   8  note "from b"`) {
		t.Errorf("the base holds\n%s", out)
	}
	// Both tap at once. Neither step comes between the steps of the other's tap.
	for _, p := range []*sight{a, b} {
		p.waitTrue(`document.querySelector('` + nothingWarm + `') !== null`)
		p.do(chromedp.Evaluate[chromedp.Void](`setTimeout(() => document.querySelector('` + nothingWarm + `').click(), 0); 0`))
	}
	for _, p := range []*sight{a, b} {
		p.waitFor("#told", "saved as steps")
		p.waitTrue(`document.querySelectorAll("#story li").length === 12`)
	}
	_, rest, _ := strings.Cut(s.steps(), "\n   9  ")
	if !regexp.MustCompile(`^inject .*\n  10  hot .*\n  11  inject .*\n  12  hot `).MatchString(rest) {
		t.Errorf("the steps of two taps are\n%s", rest)
	}
}
