package bench_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

// largeBoard is the sheet of a board with parts in rows, 300 of them on VMAIN.
func largeBoard(parts int) string {
	var b strings.Builder
	b.WriteString("netlore 1\nboard Wren rev 1\n  size 120x120mm\n\ncover SH1 shield top box 20,20 60,60 lift hot-air 9min risk medium\n\n")
	for i := range parts {
		fmt.Fprintf(&b, "part C%d 10uF 0402 top at %.2f,%.2f\n", i+1, 2+1.6*float64(i%72), 2+1.6*float64(i/72))
	}
	b.WriteString("\nnet VMAIN power 3.8V\n")
	for i := range min(300, parts) {
		fmt.Fprintf(&b, "  C%d 1\n", i*max(parts/300, 1)+1)
	}
	return b.String()
}

// BenchmarkBrowserPlan moves the plan of an answer by one step, and waits until the
// browser has drawn it; the smaller boards are what the largest is to be compared with.
func BenchmarkBrowserPlan(b *testing.B) {
	for _, parts := range []int{50, 500, 5000} {
		b.Run(fmt.Sprintf("parts=%d", parts), func(b *testing.B) {
			s := serve(b, largeBoard(parts))
			p := look(b, 1440, 900)
			p.comeIn(s, "/ask?q=parts+on+VMAIN")
			p.waitTrue(`document.querySelector(".board svg [data-thing]") !== null`)
			p.do(chromedp.Click(`//button[@aria-label="larger"]`), chromedp.Focus(".board"))
			b.ResetTimer()
			for i := range b.N {
				key := []string{"ArrowRight", "ArrowDown", "ArrowLeft", "ArrowUp"}[i%4]
				_, err := chromedp.Run(p.ctx, chromedp.Evaluate[bool](`new Promise(done => {
					document.querySelector(".board").dispatchEvent(new KeyboardEvent("keydown", {key: "`+key+`", bubbles: true}));
					requestAnimationFrame(() => setTimeout(() => requestAnimationFrame(() => done(true)), 0)); // what was drawn between is done
				})`, chromedp.EvalAwaitPromise))
				if err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// BenchmarkBrowserTap taps how a test came out and takes it back, each until the page
// has told so. inp-ms is the longest that the browser took from a tap to its next
// picture, as its Event Timing has it; 16 is the least that it tells.
func BenchmarkBrowserTap(b *testing.B) {
	s := serve(b, "")
	p := look(b, 1440, 900)
	p.comeIn(s, "/job/1042")
	p.waitTrue(`document.querySelector(".board svg [data-thing]") !== null`)
	p.do(chromedp.Evaluate[chromedp.Void](`window.longest = 16;
		new PerformanceObserver(list => list.getEntries().forEach(e => { window.longest = Math.max(window.longest, e.duration); })).observe({type: "event", durationThreshold: 16}); 0`))
	b.ResetTimer()
	for range b.N {
		p.do(chromedp.Click(nothingWarm))
		p.waitFor("#told", "saved as steps 7 to 8")
		p.do(chromedp.Click("#told button"))
		p.waitFor("#told", "taken back")
	}
	b.StopTimer()
	b.ReportMetric(evaluate[float64](p, "window.longest"), "inp-ms")
}
