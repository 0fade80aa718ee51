package bench_test

import (
	"bytes"
	"image"
	"image/color"
	"image/png"
	"math"
	"net/url"
	"os"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// axe is the program of axe-core (MPL-2.0), which finds what is wrong with a page by the
// rules of WCAG that a program can check. It is fetched for tests and is no part of
// netlore; NETLORE_AXE says where it is.
func axe(t *testing.T) string {
	t.Helper()
	path := os.Getenv("NETLORE_AXE")
	if path == "" {
		t.Skip("NETLORE_AXE does not name axe.min.js of the npm package axe-core: npm pack axe-core, unpack it, and name the file")
	}
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// wrongBy has axe-core check the page that is shown by all its rules for WCAG 2.2 at
// the levels A and AA, and returns what is wrong.
func (p *sight) wrongBy(axe, page string) []string {
	p.Helper()
	p.do(chromedp.Evaluate[chromedp.Void](axe + "; 0"))
	found, err := chromedp.Run(p.ctx, chromedp.Evaluate[struct {
		Passes int
		Wrong  []string
	}](`axe.run(document, {runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]}).then(r => ({
		passes: r.passes.length,
		wrong: r.violations.flatMap(v => v.nodes.map(n => v.id + ": " + v.help + ": " + n.html.slice(0, 160) + " " + n.any.map(c => c.message).join("; ").slice(0, 200)))}))`, chromedp.EvalAwaitPromise))
	if err != nil {
		p.Fatalf("%s: %v", page, err)
	}
	if found.Passes < 10 {
		p.Errorf("%s: only %d rules have found something to check", page, found.Passes)
	}
	return found.Wrong
}

func (p *sight) obeys(axe, page string) {
	p.Helper()
	for _, w := range p.wrongBy(axe, page) {
		p.Errorf("%s: %s", page, w)
	}
}

// TestBrowserAccess has every page checked by axe-core, at a desk and on a tablet.
func TestBrowserAccess(t *testing.T) {
	program := axe(t)
	s := serve(t, "")
	s.photographed()
	for name, size := range map[string][2]int64{"desk": {1280, 900}, "tablet": {820, 1180}} {
		t.Run(name, func(t *testing.T) {
			p := look(t, size[0], size[1])
			p.do(chromedp.Navigate(s.root + "/"))
			p.waitFor("h1", "Not done")
			p.obeys(program, "who may not come in")
			p.comeIn(s)
			p.do(chromedp.Evaluate[chromedp.Void](`document.querySelector("main").append(document.createElement("img")); 0`))
			if len(p.wrongBy(program, "a picture without a text")) == 0 {
				t.Error("a picture without a text is not found to be wrong")
			}
			for page, at := range map[string]struct{ path, shows string }{
				"home":      {"/", "On the bench"},
				"answer":    {"/ask?on=Heron&q=" + url.QueryEscape("hidden parts on lower:VMAIN"), "hidden parts"},
				"suspects":  {"/ask?on=Heron&q=" + url.QueryEscape("suspects in job 1042"), "suspects"},
				"complaint": {"/ask?on=Heron&q=" + url.QueryEscape("parts on lower:VMIAN"), "Not done"},
				"thing":     {"/thing?name=lower:P97&on=Heron", "lower:P97"},
				"job":       {"/job/1042?places=" + url.QueryEscape("pads on lower:VMAIN in IP1"), "Job 1042"},
				"closed":    {"/job/1031", "Job 1031"},
				"photos":    {"/photos", "Photos"},
				"photo":     {"/photo?of=Heron-B+rev+2&side=top", "Heron-B rev 2, top"},
				"no photo":  {"/photo?of=Heron-B+rev+2&side=bottom", "Heron-B rev 2, bottom"},
				"compared":  {"/job/1031/compare", "Job 1031 beside what is expected"},
				"explain":   {"/explain/Q10", "Q10"},
				"nowhere":   {"/nowhere", "Not done"},
			} {
				p.do(chromedp.Navigate(s.root + at.path))
				p.waitFor("h1", at.shows)
				p.waitTrue(`document.querySelector("figure.plan > a") === null`) // its script has opened it
				p.obeys(program, page)
			}
			p.obeysAtWork(s, program)
		})
	}
}

// obeysAtWork checks what only comes by work: what was saved, what went wrong, what
// completion offers, what a tap on the plan tells.
func (p *sight) obeysAtWork(s *served, program string) {
	p.Helper()
	p.do(chromedp.Navigate(s.root + "/job/1042"))
	p.waitTrue(`document.querySelector(".board svg") !== null`)
	p.do(chromedp.Click(nothingWarm))
	p.waitFor("#told", "saved as steps")
	p.do(chromedp.Focus(".board"), typed("n"), typed(kb.Enter))
	p.waitTrue(`document.querySelector(".looked table") !== null`)
	p.obeys(program, "job at work")
	p.do(chromedp.Click(`//div[@id="told"]//button`))
	p.waitFor("#told", "taken back")
	p.do(chromedp.Focus("#step"), typed("hot lower:C44100"), typed(kb.Enter))
	p.waitFor("#told", "did you mean")
	p.do(chromedp.Focus("#q"), typed("hidden par"))
	p.waitTrue(`document.querySelector("#offers").innerText.startsWith("parts")`)
	p.do(typed(kb.ArrowDown))
	p.obeys(program, "job with a complaint, and completion")
}

// TestBrowserStill has nothing move where somebody has asked for less motion, and
// something where nobody has, so that the test can see it.
func TestBrowserStill(t *testing.T) {
	s := serve(t, "")
	moving := `[...document.querySelectorAll("*")].filter(e => ["transitionDuration", "animationDuration"].some(k => getComputedStyle(e)[k].split(", ").some(d => parseFloat(d) > 0)) || getComputedStyle(e).scrollBehavior === "smooth").length`
	for _, less := range []bool{true, false} {
		p := look(t, 1024, 768, chromedp.Flag("force-prefers-reduced-motion", less))
		p.comeIn(s, "/job/1042")
		p.waitFor("#tests", "read")
		if n := evaluate[int](p, moving); n > 0 == less {
			t.Errorf("less motion asked for: %v; %d elements move", less, n)
		}
	}
}

// grey is a picture of the page without its colours: how light each point is, from
// 0 to 1, as WCAG 2.2 defines relative luminance.
func (p *sight) grey(name string) func(x, y int) float64 {
	p.Helper()
	shot, err := chromedp.Run(p.ctx, chromedp.CaptureScreenshot())
	if err != nil {
		p.Fatal(err)
	}
	from, err := png.Decode(bytes.NewReader(shot))
	if err != nil {
		p.Fatal(err)
	}
	linear := func(c uint32) float64 {
		v := float64(c) / 0xffff
		if v <= 0.04045 {
			return v / 12.92
		}
		return math.Pow((v+0.055)/1.055, 2.4)
	}
	light := func(x, y int) float64 {
		r, g, b, _ := from.At(x, y).RGBA()
		return 0.2126*linear(r) + 0.7152*linear(g) + 0.0722*linear(b)
	}
	if dir := os.Getenv("NETLORE_SCREENSHOTS"); dir != "" {
		all := from.Bounds()
		to := image.NewGray(all)
		for y := all.Min.Y; y < all.Max.Y; y++ {
			for x := all.Min.X; x < all.Max.X; x++ {
				to.SetGray(x, y, color.GrayModel.Convert(from.At(x, y)).(color.Gray))
			}
		}
		var out bytes.Buffer
		_ = png.Encode(&out, to) // a buffer takes all
		if err := os.WriteFile(dir+"/"+name+".png", out.Bytes(), 0o600); err != nil {
			p.Log(err)
		}
	}
	return light
}

// contrast is that of WCAG 2.2 between two relative luminances.
func contrast(a, b float64) float64 { return (max(a, b) + 0.05) / (min(a, b) + 0.05) }

// stroke is how wide, in points, and how light a line is that a row of points crosses:
// what is darker than halfway from paper to the darkest counts.
func stroke(light func(x, y int) float64, x0, x1, y int) (wide int, darkest float64) {
	darkest = 1
	for x := x0; x < x1; x++ {
		darkest = min(darkest, light(x, y))
	}
	for x := x0; x < x1; x++ {
		if light(x, y) < (1+darkest)/2 {
			wide++
		}
	}
	return wide, darkest
}

// TestBrowserGrey looks at a plan without colours: what is marked stands out from
// what is not by at least 3:1 from paper (WCAG 2.2, 1.4.11) and by its line, and the
// likelier suspect has the heavier line.
func TestBrowserGrey(t *testing.T) {
	s := serve(t, "")
	p := look(t, 1440, 1000)
	p.comeIn(s, "/job/1042")
	p.waitTrue(`document.querySelector(".board svg") !== null`)
	p.do(chromedp.Evaluate[chromedp.Void](`document.querySelector(".board").scrollIntoView({block: "center"})`))
	lines := map[string]int{}
	var marked, plain float64 // how light
	for _, name := range []string{"lower:U445", "lower:U501"} {
		p.do(chromedp.Click(`//button[@aria-label="show all of it"]`))
		p.waitTrue(onPlan + ".seen()[0] <= 0")
		for tries := 0; !strings.Contains(evaluate[string](p, `document.querySelector(".saying").textContent`), name); tries++ {
			if tries > 60 {
				t.Fatalf("%s is not marked", name)
			}
			p.do(chromedp.Click(`//button[@aria-label="next thing that is marked"]`))
		}
		// Both are looked at at one scale.
		p.do(drawn)
		scale := evaluate[float64](p, `document.querySelector(".board svg").getScreenCTM().a`)
		box := evaluate[[]float64](p, `(r => [r.left, r.top, r.width, r.height])(document.querySelector('[data-thing="`+name+`"] path').getBoundingClientRect())`)
		light := p.grey("grey-" + strings.ReplaceAll(name, ":", "-"))
		wide, darkest := stroke(light, int(box[0]-8*scale), int(box[0]+8*scale), int(box[1]+box[3]/2))
		lines[name], marked = int(math.Round(10*float64(wide)/scale)), darkest
		if c := contrast(darkest, 1); c < 3 {
			t.Errorf("%s stands out from paper by %.1f:1", name, c)
		}
	}
	if lines["lower:U445"] <= lines["lower:U501"] {
		t.Errorf("the lines are %d tenths of a point wide for 12%% and %d for 2.4%%", lines["lower:U445"], lines["lower:U501"])
	}
	p.do(chromedp.Evaluate[chromedp.Void](`document.querySelector(".board").scrollIntoView({block: "center"})`))
	light := p.grey("grey-plan")
	// Bodies that nobody asked for are pale: the lightest of the lines of the picture.
	at := evaluate[[]float64](p, `(r => [r.left, r.top, r.width, r.height])(document.querySelector(".board").getBoundingClientRect())`)
	for y := int(at[1]) + 4; y < int(at[1]+at[3])-4; y += 3 {
		for x := int(at[0]) + 4; x < int(at[0]+at[2])-5; x++ {
			l, before, after := light(x, y), light(x-1, y), light(x+1, y)
			if before > 0.98 && after > 0.98 && l < 0.9 {
				plain = max(plain, l)
			}
		}
	}
	t.Logf("marked %.2f, lightest plain line %.2f, lines of %v tenths", marked, plain, lines)
	if plain == 0 || contrast(marked, plain) < 1.5 {
		t.Errorf("what is marked is as light as what is not: %.2f and %.2f", marked, plain)
	}
}
