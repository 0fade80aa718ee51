package bench_test

import (
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// trusting has a browser take a certificate that nobody vouches for, as a person does
// who has compared its fingerprint.
var trusting = chromedp.Flag("ignore-certificate-errors", true)

// TestBrowserTablet lets a tablet in by a code that a person reads off the page of this
// machine, works a job there while that page shows it, has a guest look on, and sends
// the tablet away.
func TestBrowserTablet(t *testing.T) {
	s := serveOpen(t)
	desk, tablet, guest := look(t, 1280, 900), look(t, 820, 1180, trusting), look(t, 820, 1180, trusting)
	desk.comeIn(s.served)
	desk.do(chromedp.Click(`a[href="/devices"]`))
	desk.waitFor("h1", "Tablets and guests")
	desk.waitFor(".fingerprint", ":")

	tablet.do(chromedp.Navigate(s.there))
	tablet.waitFor("h1", "Let this device in")
	if print := evaluate[string](tablet, `document.querySelector(".fingerprint").innerText`); print == "" || print != evaluate[string](desk, `document.querySelector(".fingerprint").innerText`) || !strings.Contains(s.said.String(), strings.Split(print, "\n")[1]) {
		t.Errorf("the fingerprints differ: %s", print)
	}
	tablet.do(chromedp.Focus("#code"), typed("1234 5678"), typed(kb.Enter))
	tablet.waitFor(".trouble", "that is not the code")
	tablet.shoot("pair-wrong")
	desk.letIn("work", tablet, "at the microscope")
	tablet.waitFor("h1", "On the bench")
	desk.waitFor("#let-in", "at the microscope") // by itself
	tablet.do(chromedp.Click(`a[href="/job/1042"]`))
	tablet.waitFor("#tests", "read lower:P97")

	desk.letIn("guest", guest, "")
	guest.waitFor("h1", "On the bench")
	guest.shoot("guest-home")
	desk.shoot("devices")
	for _, p := range []*sight{desk, guest} {
		root := map[*sight]string{desk: s.root, guest: s.there}[p]
		p.do(chromedp.Navigate(root + "/job/1042"))
		p.waitFor("#story", "lower:P31")
	}
	guest.waitFor(".guest", "You are a guest")
	if guest.truth(`document.querySelector("form[method=post], #step, #value, .switch") !== null`) {
		t.Error("a guest is shown what changes the job")
	}
	tablet.do(chromedp.Click(nothingWarm))
	tablet.waitFor("#told", "saved as steps 7 to 8")
	desk.waitFor("#story", "hot nothing")
	guest.waitFor("#story", "hot nothing")
	guest.shoot("guest-job")
	tablet.shoot("tablet-job")
	tablet.do(chromedp.SetValue("#places", "pads on lower:VMAIN in IP1"), chromedp.Focus("#places"), typed(kb.Enter))
	tablet.waitFor(".place", "lower:P11")
	tablet.do(chromedp.Focus("#value"), typed("0.431"), typed(kb.Enter))
	tablet.waitFor("#told", "saved as step 9")
	desk.waitFor("#story", "lower:P11 0.431V")

	// Sent away, it is told so where it is, and what is typed stays.
	tablet.do(chromedp.Focus("#step"), typed("hot low"))
	desk.do(chromedp.Navigate(s.root + "/devices"))
	desk.waitFor("#let-in", "may only look")
	desk.do(chromedp.Click(`//li[contains(., "at the microscope")]//button`))
	desk.waitTrue(`!document.querySelector("#let-in").innerText.includes("at the microscope")`)
	tablet.waitTrue(`(e => e.checkVisibility() && e.getBoundingClientRect().top >= 0 && e.getBoundingClientRect().bottom <= innerHeight && e.contains(document.elementFromPoint(innerWidth / 2, e.getBoundingClientRect().top + 5)))(document.querySelector("#away"))`)
	tablet.shoot("sent-away")
	if !tablet.truth(`document.querySelector("#step").value === "hot low" && !document.querySelector("#lost").checkVisibility()`) {
		t.Error("what was typed is gone, or it is told that the page has stopped")
	}
	// So is a guest on the bench, which leads who may not see it to where he is let in.
	guest.do(chromedp.Navigate(s.there + "/"))
	guest.waitFor("h1", "On the bench")
	guest.waitTrue(`document.body.dataset.live === "on"`)
	desk.do(chromedp.Click(`//li[contains(., "may only look")]//button`))
	guest.waitTrue(`document.querySelector("#away").checkVisibility() && !document.querySelector("#lost").checkVisibility()`)
	tablet.do(chromedp.Click("#away a"))
	tablet.waitFor("h1", "Let this device in")
	for p, root := range map[*sight]string{desk: s.root, tablet: s.there, guest: s.there} {
		p.onlyFrom(root)
	}
}

// TestBrowserAccessNetwork has the pages for letting others in, and what a guest sees,
// checked by axe-core.
func TestBrowserAccessNetwork(t *testing.T) {
	program := axe(t)
	s := serveOpen(t)
	s.letIn("work", "at the microscope")
	desk, guest := look(t, 1280, 900), look(t, 820, 1180, trusting)
	desk.comeIn(s.served, "/devices")
	desk.waitFor("#let-in", "at the microscope")
	guest.do(chromedp.Navigate(s.there))
	guest.waitFor("h1", "Let this device in")
	guest.obeys(program, "pairing")
	guest.largeTargets("pairing")
	desk.letIn("guest", guest, "")
	desk.obeys(program, "devices")
	desk.largeTargets("devices")
	guest.waitFor("h1", "On the bench")
	guest.obeys(program, "home of a guest")
	guest.do(chromedp.Navigate(s.there + "/job/1042"))
	guest.waitFor("#tests", "read lower:P97")
	guest.obeys(program, "job for a guest")
}

// letIn has the page of this machine make a code, and types it on a device.
func (p *sight) letIn(kind string, device *sight, name string) {
	p.Helper()
	const shown = `(document.querySelector(".code") || {innerText: ""}).innerText`
	was := evaluate[string](p, shown)
	p.do(chromedp.Click(`button[name=for][value=` + kind + `]`))
	p.waitFor("#code", map[string]string{"work": "for a tablet", "guest": "for a guest"}[kind])
	p.waitTrue(shown + ` !== "` + was + `"`)
	code := evaluate[string](p, shown)
	if device.truth(`location.href === "about:blank"`) {
		device.do(chromedp.Navigate(strings.Fields(evaluate[string](p, `document.querySelector(".at").innerText`))[0]))
	}
	device.waitFor("h1", "Let this device in")
	p.shoot("code-" + kind)
	device.do(chromedp.Focus("#code"), typed(code))
	if name != "" {
		device.do(chromedp.Focus("#name"), typed(name))
	}
	device.shoot("pair-" + kind)
	device.do(typed(kb.Enter))
}

// TestBrowserPairWithoutScripts lets a device in whose browser runs no scripts.
func TestBrowserPairWithoutScripts(t *testing.T) {
	s := serveOpen(t)
	code := s.code("work")
	p := look(t, 410, 590, trusting, chromedp.Flag("blink-settings", "scriptEnabled=false"))
	p.do(chromedp.Navigate(s.there), chromedp.WaitVisible("#code"), chromedp.SetValue("#code", code), chromedp.Click("button.main"), chromedp.WaitVisible("#jobs"),
		chromedp.Click(`a[href="/job/1042"]`), chromedp.WaitVisible("#tests .ways"),
		chromedp.SetValue("#step", "hot nothing"), chromedp.Click("form.logger button"), chromedp.WaitVisible(".done"))
	if out := s.steps(); !strings.Contains(out, "   7  hot nothing") {
		t.Errorf("the step was not logged:\n%s", out)
	}
	p.onlyFrom(s.there)
}
