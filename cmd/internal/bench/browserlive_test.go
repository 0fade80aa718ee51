package bench_test

import (
	"context"
	"fmt"
	"net/http"
	"slices"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
)

// hurried makes what a page waits for at least 15 seconds come 50 times as soon, and counts how often
// it has begun to listen.
const hurried = `(() => {
	const wait = setTimeout, Stream = EventSource;
	window.begun = 0;
	window.setTimeout = (do_, ms, ...rest) => wait(do_, ms >= 15000 ? ms / 50 : ms, ...rest);
	window.EventSource = class extends Stream { constructor(at) { super(at); window.begun++; } };
})()`

// hurry does that for all pages from now on.
func (p *sight) hurry() {
	p.Helper()
	if _, err := chromedp.Run(p.ctx, func(ctx context.Context, tab *chromedp.Target) (page.AddScriptToEvaluateOnNewDocumentResult, error) {
		return cdp.Call(ctx, tab, page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{Source: hurried})
	}); err != nil {
		p.Fatal(err)
	}
}

// seenAs has the page be told that it is hidden behind another, or seen again.
func (p *sight) seenAs(hidden bool) {
	p.Helper()
	p.do(chromedp.Evaluate[chromedp.Void](fmt.Sprintf(`Object.defineProperty(document, "hidden", {get: () => %v, configurable: true}); document.dispatchEvent(new Event("visibilitychange")); 0`, hidden)))
}

// TestBrowserHidden has a page that nobody sees use none of the six lines that a browser has to one
// server, and show what it has missed when it is seen again.
func TestBrowserHidden(t *testing.T) {
	s := serve(t, "")
	p := look(t, 1024, 768)
	p.comeIn(s, "/job/1042")
	p.waitTrue(`document.body.dataset.live === "on"`)
	p.seenAs(true)
	if code, out := command(t, s.base, "job", "log", "1042", "hot nothing"); code != 0 {
		t.Fatal(out)
	}
	time.Sleep(1500 * time.Millisecond) // five looks at the base
	if p.truth(`document.querySelector("#story").innerText.includes("hot nothing")`) {
		t.Error("a page that nobody sees listens")
	}
	p.seenAs(false)
	p.waitFor("#story", "hot nothing")
	if code, out := command(t, s.base, "job", "log", "1042", "hot lower:C4410"); code != 0 {
		t.Fatal(out)
	}
	p.waitFor("#story", "hot lower:C4410")
}

// TestBrowserSilence has a page on whose line nothing comes through any more say so and listen anew.
func TestBrowserSilence(t *testing.T) {
	s := serve(t, "")
	p := look(t, 1024, 768)
	p.hurry()
	p.comeIn(s, "/job/1042") // where a sign comes every 15 seconds, and is waited for 0.8
	p.do(chromedp.Evaluate[chromedp.Void](`new MutationObserver(() => { window.wasLost = window.wasLost || !document.querySelector("#lost").hidden; }).observe(document.querySelector("#lost"), {attributes: true}); 0`))
	p.waitTrue(`window.begun >= 3 && window.wasLost === true`)
	p.waitTrue(`document.querySelector("#lost").hidden`)
}

// TestBrowserTooMany has a page that is not told of changes, for too many are, work all the same and ask
// again one time after the other, and be told once others have left.
func TestBrowserTooMany(t *testing.T) {
	s := serve(t, "")
	c := s.browser()
	var streams []*http.Response
	for range 32 {
		stream, err := c.Get(s.root + "/live")
		if err != nil || stream.StatusCode != http.StatusOK {
			t.Fatal(err, stream.StatusCode)
		}
		defer stream.Body.Close()
		streams = append(streams, stream)
	}
	p := look(t, 1024, 768)
	p.hurry()
	p.comeIn(s, "/job/1042")
	p.waitTrue(`window.begun >= 2`)
	for range 5 {
		p.seenAs(true)
		p.seenAs(false)
	}
	from := evaluate[int](p, `window.begun`)
	time.Sleep(3 * time.Second)
	if n := evaluate[int](p, `window.begun`) - from; n < 1 || n > 11 {
		t.Errorf("in 3 s it has begun to listen %d times, and waits 0.3 s between", n)
	}
	if p.truth(`document.querySelector("#lost").checkVisibility() || document.querySelector("#away").checkVisibility() || document.body.dataset.live === "on"`) {
		t.Error("it tells that it is not answered, or not let in")
	}
	if code, out := command(t, s.base, "job", "log", "1042", "hot nothing"); code != 0 {
		t.Fatal(out)
	}
	for _, stream := range streams {
		stream.Body.Close()
	}
	p.waitFor("#story", "hot nothing")
}

// TestBrowserOneAfterOther asks for a page anew one time after the other, however often the base changes.
func TestBrowserOneAfterOther(t *testing.T) {
	s := serve(t, "")
	p := look(t, 1024, 768)
	p.comeIn(s, "/job/1042")
	p.waitTrue(`document.body.dataset.live === "on"`)
	p.do(chromedp.Evaluate[chromedp.Void](`(async () => { await Promise.all(Array.from({length: 30}, refresh)); })()`, chromedp.EvalAwaitPromise))
	p.mu.Lock()
	asked := slices.DeleteFunc(slices.Clone(p.asked), func(url string) bool { return url != s.root+"/job/1042" })
	p.mu.Unlock()
	if len(asked) < 2 || len(asked) > 4 {
		t.Errorf("it was asked for %d times", len(asked))
	}
}
