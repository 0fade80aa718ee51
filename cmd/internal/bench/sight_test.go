package bench_test

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// sight is a page in a real browser.
type sight struct {
	testing.TB
	ctx context.Context

	mu      sync.Mutex
	asked   []string // all that the browser asked for
	origins []string // where it said that forms came from
	wrong   []string // what its console says that should not be
}

// look opens a browser without a window.
func look(t testing.TB, width, height int64, options ...chromedp.ExecAllocatorOption) *sight {
	t.Helper()
	if testing.Short() {
		t.Skip("a way through the pages in a browser: run without -short")
	}
	browser := ""
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome"} {
		if path, err := exec.LookPath(name); err == nil {
			browser = path
			break
		}
	}
	if browser == "" {
		t.Skip("no Chromium on this machine: install chromium to test the page in a browser")
	}
	options = append(append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(browser), chromedp.NoSandbox,
		chromedp.WindowSize(int(width), int(height)), chromedp.Flag("force-prefers-reduced-motion", true)), options...)
	ctx, cancel := chromedp.NewExecAllocator(context.Background(), options...)
	t.Cleanup(cancel)
	ctx, end := chromedp.NewContext(ctx)
	t.Cleanup(end)
	p := &sight{TB: t, ctx: ctx}
	if err := chromedp.Listen(ctx, p.hear); err != nil {
		t.Fatal(err)
	}
	if _, err := chromedp.Run(ctx, func(ctx context.Context, tab *chromedp.Target) (cdp.Empty, error) {
		return cdp.Call(ctx, tab, network.Enable, network.EnableParams{})
	}); err != nil {
		t.Fatal(err)
	}
	p.do(chromedp.EmulateViewport(width, height))
	return p
}

// hear keeps what the browser asks for and complains about.
func (p *sight) hear(event any) {
	p.mu.Lock()
	defer p.mu.Unlock()
	switch e := event.(type) {
	case *network.EventRequestWillBeSent:
		p.asked = append(p.asked, e.Request.URL)
	case *network.EventRequestWillBeSentExtraInfo:
		if origin, has := e.Headers["Origin"]; has {
			p.origins = append(p.origins, fmt.Sprint(origin))
		}
	case *runtime.EventExceptionThrown:
		p.wrong = append(p.wrong, e.ExceptionDetails.Text)
	}
}

// patience is how long one thing may take on a busy machine.
const patience = 30 * time.Second

func (p *sight) do(actions ...chromedp.Action[chromedp.Void]) {
	p.Helper()
	for i, a := range actions {
		err := p.once(a)
		for tries := 0; tries < 5 && err != nil && strings.Contains(err.Error(), "Could not find node"); tries++ {
			err = p.once(a) // the page has put another in its place, before anything was done
		}
		if err != nil {
			p.shoot("failed")
			p.Fatalf("action %d: %v", i, err)
		}
	}
}

func (p *sight) once(a chromedp.Action[chromedp.Void]) error {
	ctx, cancel := context.WithTimeout(p.ctx, patience)
	defer cancel()
	_, err := chromedp.Run(ctx, a)
	return err
}

// evaluate is what an expression comes to.
func evaluate[T any](p *sight, expression string) T {
	p.Helper()
	is, err := chromedp.Run(p.ctx, chromedp.Evaluate[T](expression))
	if err != nil {
		p.Fatalf("%s: %v", expression, err)
	}
	return is
}

// comeIn opens the page of this machine by its door, and then another page of it if one is
// given.
func (p *sight) comeIn(s *served, then ...string) {
	p.Helper()
	p.do(chromedp.Navigate(s.door))
	p.waitFor("h1", "On the bench")
	for _, path := range then {
		p.do(chromedp.Navigate(s.root + path))
	}
}

// waitFor waits until an element holds a text.
func (p *sight) waitFor(selector, text string) {
	p.Helper()
	is, until := "", time.Now().Add(patience)
	for time.Now().Before(until) {
		// While one page gives way to the next there is none to ask.
		is, _ = chromedp.Run(p.ctx, chromedp.Evaluate[string]("document.readyState !== 'complete' ? '' : (document.querySelector(`"+selector+"`)||{innerText:''}).innerText"))
		if strings.Contains(is, text) {
			return
		}
		time.Sleep(50 * time.Millisecond)
	}
	p.shoot("failed")
	p.Fatalf("%s does not show %q but %q", selector, text, is)
}

// waitTrue waits until an expression is true.
func (p *sight) waitTrue(expression string) {
	p.Helper()
	for until := time.Now().Add(patience); !p.truth(expression); time.Sleep(50 * time.Millisecond) {
		if time.Now().After(until) {
			p.shoot("failed")
			p.Fatalf("never came true: %s", expression)
		}
	}
}

// truth is what an expression comes to.
func (p *sight) truth(expression string) bool { p.Helper(); return evaluate[bool](p, expression) }

// shoot keeps a picture in the folder of NETLORE_SCREENSHOTS, to look at.
func (p *sight) shoot(name string) {
	p.Helper()
	dir := os.Getenv("NETLORE_SCREENSHOTS")
	if dir == "" {
		return
	}
	picture, err := chromedp.Run(p.ctx, chromedp.CaptureScreenshot())
	if err != nil {
		p.Log(err)
		return
	}
	if err := os.WriteFile(filepath.Join(dir, name+".png"), picture, 0o600); err != nil {
		p.Log(err)
	}
}

// onlyFrom says that the browser asked nobody else for anything, and complained
// of nothing.
func (p *sight) onlyFrom(root string) {
	p.Helper()
	p.mu.Lock()
	defer p.mu.Unlock()
	for _, url := range p.asked {
		if !strings.HasPrefix(url, root+"/") && url != "about:blank" {
			p.Errorf("the browser asked for %s", url)
		}
	}
	for _, w := range p.wrong {
		p.Errorf("the browser complains: %s", w)
	}
}

// typed types into the element that has the focus. A key and its letter are one
// event, as those of a keyboard are: what a script does with the key keeps the
// letter away.
func typed(keys string) chromedp.Action[chromedp.Void] {
	return chromedp.Func(func(ctx context.Context, tab *chromedp.Target) error {
		for _, r := range keys {
			events := kb.Encode(r)
			down, up := *events[0], *events[len(events)-1]
			if len(events) == 3 {
				down.Text, down.UnmodifiedText = events[1].Text, events[1].UnmodifiedText
			}
			for _, e := range []input.DispatchKeyEventParams{down, up} {
				if _, err := cdp.Call(ctx, tab, input.DispatchKeyEvent, e); err != nil {
					return err
				}
			}
		}
		return nil
	})
}

// nothingWarm is the button of a test in which nothing became warm. It logs two steps.
const nothingWarm = `#tests button[title="logs: inject lower:VMAIN 1V 2A, then hot nothing"]`
