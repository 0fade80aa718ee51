package bench_test

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// onPlan is JavaScript that finds the first plan of a page, and where on the
// window a place of one of its boards is, in mm.
const onPlan = `(() => {
	const board = document.querySelector(".board"), svg = board.querySelector("svg");
	const view = (role, side) => [...svg.querySelectorAll("[data-edges]")].find(v => v.dataset.role === role && v.dataset.side === side);
	const at = (role, side, x, y) => {
		const v = view(role, side), [l, t, r, b] = v.dataset.edges.split(" ").map(Number), [w, h] = v.dataset.size.split(" ").map(Number);
		const p = new DOMPoint((1000*x - l) / (r - l) * w, (1000*y - t) / (b - t) * h).matrixTransform(v.getScreenCTM());
		return [p.x, p.y];
	};
	const middle = () => { const r = board.getBoundingClientRect(); return [r.left + r.width/2, r.top + r.height/2]; };
	const seen = () => svg.getAttribute("viewBox").split(" ").map(Number);
	return {board, svg, at, middle, seen};
})()`

// seen is the part of the picture that is seen: x, y, width, height.
func (p *sight) seen() []float64 { p.Helper(); return evaluate[[]float64](p, onPlan+".seen()") }

// changes does something, and waits until what is seen of the plan is as wanted.
func (p *sight) changes(wanted string, actions ...chromedp.Action[chromedp.Void]) {
	p.Helper()
	before := p.seen()
	p.do(actions...)
	p.waitTrue(fmt.Sprintf("((was, now) => %s)([%f,%f,%f,%f], %s.seen())", wanted, before[0], before[1], before[2], before[3], onPlan))
}

// drawn waits until the browser has drawn what was changed.
var drawn = chromedp.Evaluate[chromedp.Void](`new Promise(done => requestAnimationFrame(() => requestAnimationFrame(() => done())))`, chromedp.EvalAwaitPromise)

func mouse(kind input.DispatchMouseEventType, x, y float64) chromedp.Action[chromedp.Void] {
	return chromedp.Func(func(ctx context.Context, tab *chromedp.Target) error {
		_, err := cdp.Call(ctx, tab, input.DispatchMouseEvent, input.DispatchMouseEventParams{Type: kind, X: x, Y: y, Button: input.MouseButtonLeft, ClickCount: 1})
		return err
	})
}

func tapAt(x, y float64) []chromedp.Action[chromedp.Void] {
	return []chromedp.Action[chromedp.Void]{mouse(input.DispatchMouseEventTypeMousePressed, x, y), mouse(input.DispatchMouseEventTypeMouseReleased, x, y)}
}

func wheel(x, y, by float64) chromedp.Action[chromedp.Void] {
	return chromedp.Func(func(ctx context.Context, tab *chromedp.Target) error {
		_, err := cdp.Call(ctx, tab, input.DispatchMouseEvent, input.DispatchMouseEventParams{Type: input.DispatchMouseEventTypeMouseWheel, X: x, Y: y, DeltaX: 1e-9, DeltaY: by}) // the library leaves out a zero, which the browser wants
		return err
	})
}

// touch puts fingers on the screen, moves them, or takes them off.
func touch(kind input.DispatchTouchEventType, at ...[2]float64) chromedp.Action[chromedp.Void] {
	return chromedp.Func(func(ctx context.Context, tab *chromedp.Target) error {
		params := input.DispatchTouchEventParams{Type: kind, TouchPoints: []*input.TouchPoint{}}
		for i, p := range at {
			params.TouchPoints = append(params.TouchPoints, &input.TouchPoint{X: p[0], Y: p[1], ID: new(float64(i))})
		}
		_, err := cdp.Call(ctx, tab, input.DispatchTouchEvent, params)
		return err
	})
}

// TestBrowserPlan moves the plan of a job and makes it larger, by buttons, keys,
// wheel, mouse and fingers, and taps on what is drawn there.
func TestBrowserPlan(t *testing.T) {
	s := serve(t, "")
	p := look(t, 1200, 1000)
	p.comeIn(s, "/job/1042")
	p.waitTrue(`document.querySelector(".board svg") !== null`)
	p.do(chromedp.ScrollIntoView(".board"))

	const larger, smaller, same = "now[2] < was[2] - 1", "now[2] > was[2] + 1", "Math.abs(now[2] - was[2]) < 0.1"
	p.changes(larger, chromedp.Click(`//button[@aria-label="larger"]`))
	p.changes(smaller, chromedp.Click(`//button[@aria-label="smaller"]`))
	p.changes(larger, chromedp.Focus(".board"), typed("+"))
	p.changes(smaller, typed("-"))
	p.changes(same+" && now[1] > was[1] + 1", typed(kb.ArrowDown))
	p.changes(larger, typed("+"))
	p.changes(same+" && now[0] > was[0] + 1", chromedp.Click(`//button[@aria-label="move right"]`))
	p.changes("now[0] < was[0] - 1 || now[2] !== was[2]", chromedp.Click(`//button[@aria-label="show all of it"]`))

	// The wheel is the page's own until the plan has the focus.
	at := evaluate[[]float64](p, onPlan+".middle()")
	p.do(chromedp.Focus("#q"))
	before := p.seen()
	p.do(wheel(at[0], at[1], -1), chromedp.Focus(".board"))
	p.changes(larger, wheel(at[0], at[1], -240))
	if now := p.seen(); now[2] >= before[2] {
		t.Error("the wheel does nothing")
	}
	p.changes(larger, typed("+")) // so that the plan is wider than its frame
	p.changes(larger, typed("+"))
	at = evaluate[[]float64](p, onPlan+".middle()")
	p.changes(same+" && now[0] < was[0] - 10 && now[1] < was[1] - 10",
		mouse(input.DispatchMouseEventTypeMousePressed, at[0], at[1]), mouse(input.DispatchMouseEventTypeMouseMoved, at[0]+60, at[1]+40), mouse(input.DispatchMouseEventTypeMouseReleased, at[0]+60, at[1]+40))
	if !p.truth(`document.querySelector(".looked").hidden`) {
		t.Error("to move the plan is taken for a tap")
	}
	p.fingers(at)
	p.shoot("plan-larger")
	p.tapOnThings(s)
	p.onlyFrom(s.root)
}

// TestBrowserDrawnOnce has a plan that is seen drawn once: the picture for those without scripts is not
// asked for where there are some.
func TestBrowserDrawnOnce(t *testing.T) {
	s := serve(t, "")
	p := look(t, 1200, 1000)
	for page, plan := range map[string]string{"/job/1042": "/job/1042/plan", "/ask?q=pads+on+lower:VMAIN&on=Heron": "/plan"} {
		p.comeIn(s, page)
		p.waitTrue(`document.querySelector(".board svg [data-thing]") !== null`)
		p.mu.Lock()
		n := 0
		for _, url := range p.asked {
			if strings.HasPrefix(url, s.root+plan+"?") {
				n++
			}
		}
		p.mu.Unlock()
		if n != 1 {
			t.Errorf("%s asks for its plan %d times", page, n)
		}
	}
}

// TestBrowserNothingDrawn takes the picture away when there is none any more: what was
// drawn before would be taken for what is known now.
func TestBrowserNothingDrawn(t *testing.T) {
	s := serve(t, "")
	p := look(t, 1200, 1000)
	p.comeIn(s, "/job/1042")
	p.waitTrue(`document.querySelector(".board svg [data-thing]") !== null`)
	p.do(chromedp.Evaluate[chromedp.Void](`document.querySelector("figure.plan").dataset.plan = "/plan?on=Heron&q=jobs"; document.dispatchEvent(new Event("parts")); 0`))
	p.waitFor(".saying", "nothing to draw")
	if p.truth(`document.querySelector(".board svg [data-thing]") !== null`) {
		t.Error("what was drawn before is there still")
	}
	p.do(chromedp.Evaluate[chromedp.Void](`document.querySelector("figure.plan").dataset.plan = "/plan?on=Heron&q=pads+on+lower:VMAIN"; document.dispatchEvent(new Event("parts")); 0`))
	p.waitTrue(`document.querySelector('.board svg [data-thing="lower:P11"]') !== null`)
}

// TestBrowserDrawnLater draws a plan that could not be drawn before: for there was nothing, or for a
// while nobody to draw it.
func TestBrowserDrawnLater(t *testing.T) {
	s := serve(t, "")
	p := look(t, 1200, 1000)
	p.comeIn(s, "/job/1042")
	for at, says := range map[string]string{"/plan?on=Heron&q=jobs": "there is nothing to draw", "http://127.0.0.1:1/": "the plan cannot be drawn"} {
		p.do(chromedp.Evaluate[chromedp.Void](`{ const f = document.createElement("figure"); f.className = "plan later"; f.dataset.shows = "it";
			f.dataset.plan = "` + at + `"; f.dataset.of = "Heron"; document.querySelector("h1").after(f); document.dispatchEvent(new Event("parts")); } 0`))
		p.waitFor(".later", says)
		p.do(chromedp.Evaluate[chromedp.Void](`document.querySelector(".later").dataset.plan = "/plan?on=Heron&q=pads+on+lower:VMAIN"; document.dispatchEvent(new Event("parts")); 0`))
		p.waitTrue(`document.querySelector('.later .board svg [data-thing="lower:P11"]') !== null`)
		p.do(chromedp.Evaluate[chromedp.Void](`document.querySelector(".later").remove(); 0`))
	}
}

// fingers moves the plan with one, and makes it larger with two.
func (p *sight) fingers(at []float64) {
	p.Helper()
	if _, err := chromedp.Run(p.ctx, func(ctx context.Context, tab *chromedp.Target) (cdp.Empty, error) {
		return cdp.Call(ctx, tab, emulation.SetTouchEmulationEnabled, emulation.SetTouchEmulationEnabledParams{Enabled: true, MaxTouchPoints: 2})
	}); err != nil {
		p.Fatal(err)
	}
	x, y := at[0], at[1]
	p.changes("now[0] > was[0] + 10 && Math.abs(now[2] - was[2]) < 0.1", touch(input.DispatchTouchEventTypeTouchStart, [2]float64{x, y}), touch(input.DispatchTouchEventTypeTouchMove, [2]float64{x - 50, y}), touch(input.DispatchTouchEventTypeTouchEnd))
	p.changes("now[2] < was[2] * 0.7", touch(input.DispatchTouchEventTypeTouchStart, [2]float64{x - 30, y}, [2]float64{x + 30, y}),
		touch(input.DispatchTouchEventTypeTouchMove, [2]float64{x - 60, y}, [2]float64{x + 60, y}), touch(input.DispatchTouchEventTypeTouchEnd))
}

// tapOnThings taps on what is marked, and on what is not, and finds each by the
// place that the sheet of the board states for it.
func (p *sight) tapOnThings(s *served) {
	p.Helper()
	p.do(chromedp.Click(`//button[@aria-label="show all of it"]`))
	for _, name := range []string{"lower:U445", "lower:U440", "lower:C4101", "lower:U300", "lower:P1"} {
		p.tapOn(s, name)
	}
	// With keys alone: the next thing that is marked, and what it is.
	p.do(chromedp.Focus(".board"), typed("n"))
	p.waitFor(".saying", "lower:U445, 12%")
	p.do(typed(kb.Enter))
	p.waitFor(".looked h2", "lower:U445")
	if !p.truth(`document.activeElement.className === "looked"`) {
		p.Error("the focus does not go to what is told")
	}
	p.shoot("plan-told")
	p.do(typed(kb.Tab), typed(kb.Tab), typed(kb.Enter))
	p.waitTrue(`document.activeElement.className === "board"`)
}

// tapOn taps where the base says that a thing is.
func (p *sight) tapOn(s *served, name string) {
	p.Helper()
	noun := "parts"
	if strings.HasPrefix(name, "lower:P") {
		noun = "pads"
	}
	_, out := command(p.TB, s.base, "ask", "--as", "csv", noun+" with name = "+name+" show side, x, y")
	place := strings.Split(strings.Split(out, "\n")[1], ",")
	p.do(chromedp.Evaluate[chromedp.Void](`document.querySelector(".board").scrollIntoView({block: "center"})`), drawn)
	at := evaluate[[]float64](p, fmt.Sprintf("%s.at('lower', %q, parseFloat(%q), parseFloat(%q))", onPlan, place[1], place[2], place[3]))
	p.do(tapAt(at[0], at[1])...)
	p.waitFor(".looked h2", name)
	p.waitTrue(`document.querySelector(".looked table") !== null`)
}
