package bench_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/chromedp/chromedp"
)

// dots is where the reading, the expected value and the ends of the tolerance of a
// place are drawn, in pixels of the window.
const dots = `(place => {
	const row = [...document.querySelectorAll("#compared tr")].find(r => r.querySelector("th[scope=row] a") && r.querySelector("th").innerText.trim() === place);
	if (!row) return [];
	const svg = row.querySelector(".drawn svg"), x = e => { const b = e.getBoundingClientRect(); return b.x + b.width / 2; };
	const band = svg.querySelector(".band"), half = parseFloat(getComputedStyle(band).strokeWidth) / 2, box = band.getBoundingClientRect();
	return [x(svg.querySelector(".was")), x(svg.querySelector(".due")), box.left + half, box.right - half, svg.querySelectorAll(".ring").length];
})`

// TestBrowserCompare sees on the sheet of a job how its readings lie beside what is
// expected, one that another command enters at once, and goes on to compare it with a
// good board.
func TestBrowserCompare(t *testing.T) {
	s := serve(t, "")
	p := look(t, 1280, 900)
	p.comeIn(s, "/job/1042")
	p.waitFor("#compared", "shorted")
	if !p.truth(`document.querySelector("#compared tbody tr .verdict").innerText === "shorted"`) {
		t.Error("what is most surprising does not stand first")
	}
	if code, out := command(t, s.base, "job", "log", "1042", "reading diode lower:P97 0.301V"); code != 0 {
		t.Fatal(out)
	}
	p.waitFor("#compared", "lower:P97")
	p.do(chromedp.Evaluate[chromedp.Void](`document.querySelector("#compared").scrollIntoView(); 0`))
	p.shoot("compared-live")
	// The scale says where 0 and the last tick are; 0.301 V, 0.459 V and 8 % of that lie between in proportion.
	at := evaluate[[]float64](p, dots+`("lower:P97 separated")`)
	scale := evaluate[[]float64](p, `(t => [t[0], t[t.length - 1]].map(e => { const b = e.previousElementSibling.getBoundingClientRect(); return b.x + b.width / 2; }).concat(+t[t.length - 1].textContent))([...document.querySelectorAll("#compared thead text")])`)
	if len(at) != 5 {
		t.Fatalf("lower:P97 is not drawn")
	}
	for i, volts := range []float64{0.301, 0.459, 0.459 * 0.92, 0.459 * 1.08} {
		if want := scale[0] + (scale[1]-scale[0])*volts/scale[2]; math.Abs(at[i]-want) > 0.7 {
			t.Errorf("%gV is drawn at %.1f, not at %.1f", volts, at[i], want)
		}
	}
	if at[4] != 4 {
		t.Errorf("%g of the four good boards are drawn", at[4])
	}
	p.do(chromedp.Click(`//a[starts-with(., "compare in full")]`))
	p.waitFor("h1", "Job 1042 beside what is expected")
	p.waitFor("#answer", "reads like")
	p.shoot("compared")
	p.do(chromedp.SetValue("#with", "board-2"), chromedp.Click(`form.list button`))
	p.waitFor("h1", "Job 1042 beside board-2")
	p.waitFor("#answer", "board-2")
	if n := evaluate[int](p, fmt.Sprintf(`document.querySelectorAll(%q).length`, "#chart tbody .ring")); n == 0 {
		t.Error("the good board is not drawn")
	}
	p.shoot("compared-with")
	p.do(chromedp.Navigate(s.root + "/job/1042/compare?with=board-77"))
	p.waitFor("#chart", `no job and no specimen of a good board that was read here is called "board-77"`)
	p.onlyFrom(s.root)
}

// TestBrowserCompareGrey looks at a chart without its colours: a reading that is off
// stands out by its form and by at least 3:1 from paper (WCAG 2.2, 1.4.11).
func TestBrowserCompareGrey(t *testing.T) {
	s := serve(t, "")
	p := look(t, 1280, 900)
	p.comeIn(s, "/job/1031/compare")
	p.waitFor("#chart", "lower:P97")
	forms := evaluate[[]string](p, `[...document.querySelectorAll("#chart tbody .was")].map(e => e.tagName)`)
	if len(forms) < 4 || forms[0] != "path" || forms[len(forms)-1] != "circle" {
		t.Errorf("what is off and what is not are drawn as %v", forms)
	}
	light := p.grey("grey-compared")
	box := evaluate[[]float64](p, `(r => [r.left + r.width / 2, r.top + r.height / 2])(document.querySelector("#chart tbody .was").getBoundingClientRect())`)
	if c := contrast(light(int(box[0]), int(box[1])), 1); c < 3 {
		t.Errorf("a reading stands out from paper by %.1f:1", c)
	}
}
