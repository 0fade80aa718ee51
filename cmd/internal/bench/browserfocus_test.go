package bench_test

import (
	"context"
	"testing"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// TestBrowserFocus goes through the page of a job by Tab, after something was told
// that stays in sight: all that can be reached is reached, and nothing covers what has
// the focus (WCAG 2.2, 2.4.11).
func TestBrowserFocus(t *testing.T) {
	s := serve(t, "")
	for name, size := range map[string][2]int64{"desk": {1280, 800}, "tablet": {820, 1180}} {
		t.Run(name, func(t *testing.T) {
			p := look(t, size[0], size[1])
			p.comeIn(s, "/job/1042?done=6&steps=1")
			p.waitTrue(`document.querySelector(".board svg") !== null`)
			p.waitFor("#told", "saved as step 6")
			p.do(chromedp.Evaluate[chromedp.Void](`document.activeElement.blur(); 0`))
			p.goThrough(typed(kb.Tab), "on")
			p.goThrough(shiftTab, "back")
			missed := evaluate[[]string](p, `[...document.querySelectorAll("button, a[href], input:not([type=hidden]), select, summary")].filter(e => e.checkVisibility() && !window.reached.has(e)).map(e => e.outerHTML.slice(0, 90))`)
			if len(missed) > 0 {
				t.Errorf("never reached: %q", missed)
			}
		})
	}
}

// shiftTab goes back to what had the focus before.
var shiftTab = chromedp.Func(func(ctx context.Context, tab *chromedp.Target) error {
	for _, kind := range []input.DispatchKeyEventType{input.DispatchKeyEventTypeRawKeyDown, input.DispatchKeyEventTypeKeyUp} {
		shift := input.DispatchKeyEventParams{Type: kind, Key: "Tab", Code: "Tab", WindowsVirtualKeyCode: 9, Modifiers: 8}
		if _, err := cdp.Call(ctx, tab, input.DispatchKeyEvent, shift); err != nil {
			return err
		}
	}
	return nil
})

// goThrough presses a key until the focus comes round, and looks whether what has it can
// be seen.
func (p *sight) goThrough(key chromedp.Action[chromedp.Void], way string) {
	p.Helper()
	p.do(chromedp.Evaluate[chromedp.Void](`window.reached = new Set(); 0`))
	for range 150 {
		p.do(key)
		if p.truth(`document.activeElement === document.body || window.reached.has(document.activeElement)`) {
			return
		}
		covered := evaluate[string](p, `(e => {
			window.reached.add(e);
			const r = e.getBoundingClientRect(), x = r.left + Math.min(r.width, 20) / 2;
			const seen = [0.1, 0.5, 0.9].some(f => { const at = document.elementFromPoint(x, r.top + f * r.height); return at && (e.contains(at) || at.contains(e) && at !== document.body); });
			return seen || e.matches(".skip") ? "" : e.outerHTML.slice(0, 120);
		})(document.activeElement)`)
		if covered != "" {
			p.shoot("failed")
			p.Errorf("going %s, this has the focus and is covered: %s", way, covered)
		}
	}
}
