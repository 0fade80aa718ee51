package bench_test

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"testing"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
)

// TestBrowserPrint prints the page of a job on A4 and Letter: nothing to press is on
// it, nothing is cut off at its side, and the plan is whole on a page of its own.
func TestBrowserPrint(t *testing.T) {
	s := serve(t, "")
	p := look(t, 1200, 1000)
	p.comeIn(s, "/job/1042")
	p.waitTrue(`document.querySelector(".board svg [data-thing]") !== null`)
	p.do(chromedp.Click(`//button[@aria-label="larger"]`), drawn)
	seen := p.seen()
	for name, size := range map[string][2]float64{"A4": {210 / 25.4, 297 / 25.4}, "Letter": {8.5, 11}} {
		pdf, err := chromedp.Run(p.ctx, func(ctx context.Context, tab *chromedp.Target) (page.PrintToPDFResult, error) {
			return cdp.Call(ctx, tab, page.PrintToPDF, page.PrintToPDFParams{PaperWidth: size[0], PaperHeight: size[1]})
		})
		if err != nil {
			t.Fatal(err)
		}
		pages := len(regexp.MustCompile(`/Type\s*/Page\b`).FindAll(pdf.Data, -1))
		if !bytes.HasPrefix(pdf.Data, []byte("%PDF")) || pages < 2 || pages > 4 {
			t.Errorf("%s: %d pages", name, pages)
		}
		if dir := os.Getenv("NETLORE_SCREENSHOTS"); dir != "" {
			if err := os.WriteFile(filepath.Join(dir, "job-"+name+".pdf"), pdf.Data, 0o600); err != nil {
				t.Log(err)
			}
		}
		p.paper(name, (size[0]-30/25.4)*96)
	}
	if now := p.seen(); math.Abs(now[2]-seen[2]) > 1 {
		t.Errorf("what was seen of the plan is not there again: %v, was %v", now, seen)
	}
}

// paper looks at the page as it is printed, on paper so many CSS pixels wide.
func (p *sight) paper(name string, wide float64) {
	p.Helper()
	as := func(media string) {
		if _, err := chromedp.Run(p.ctx, func(ctx context.Context, tab *chromedp.Target) (cdp.Empty, error) {
			return cdp.Call(ctx, tab, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Media: media})
		}); err != nil {
			p.Fatal(err)
		}
	}
	as("print")
	p.do(chromedp.EmulateViewport(int64(wide), 900), chromedp.Evaluate[chromedp.Void](`dispatchEvent(new Event("beforeprint")); 0`), drawn)
	if shown := evaluate[[]string](p, `[...document.querySelectorAll("button, input, select, .button")].filter(e => e.checkVisibility()).map(e => e.outerHTML.slice(0, 90))`); len(shown) > 0 {
		p.Errorf("%s: on paper there is %q", name, shown)
	}
	if !p.truth(`document.documentElement.scrollWidth <= innerWidth`) {
		p.Errorf("%s: %s", name, evaluate[string](p, `"the page is " + document.documentElement.scrollWidth + " wide on paper of " + innerWidth`))
	}
	if !p.truth(`((v, svg) => v[0] === 0 && v[1] === 0 && v[2] > 1000 && svg.getBoundingClientRect().height < 900)(document.querySelector(".board svg").getAttribute("viewBox").split(" ").map(Number), document.querySelector(".board svg"))`) {
		p.Errorf("%s: the plan is not whole: %s", name, evaluate[string](p, `document.querySelector(".board svg").getAttribute("viewBox")`))
	}
	if !p.truth(`(svg => [...svg.querySelectorAll("text")].every(t => t.getBoundingClientRect().bottom <= svg.getBoundingClientRect().bottom + 1))(document.querySelector(".board svg"))`) {
		p.Errorf("%s: the plan is cut off below", name)
	}
	p.shoot("print-" + name)
	for _, kept := range []string{"#story li", "#suspects tr", "h1"} {
		if !p.truth(fmt.Sprintf(`document.querySelector(%q).checkVisibility()`, kept)) {
			p.Errorf("%s: %s is not on paper", name, kept)
		}
	}
	as("")
	p.do(chromedp.EmulateViewport(1200, 1000), chromedp.Evaluate[chromedp.Void](`dispatchEvent(new Event("afterprint")); 0`), drawn)
}
