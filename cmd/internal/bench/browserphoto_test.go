package bench_test

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"netlore/store/board"
	"netlore/store/photo/phototest"
	"netlore/store/sheet"
)

// shotOf is a photo of a side of the board that a sheet tells of, taken from aside, in a file.
func shotOf(t testing.TB, text string, side board.Side) (*board.Board, string) {
	t.Helper()
	file, list := sheet.Parse("", []byte(text))
	content, more := sheet.Read(file)
	if err := append(list, more...).Err(); err != nil {
		t.Fatal(err)
	}
	picture, err := phototest.Shoot(content.Board, side, phototest.Slanted, phototest.SlantedWide, phototest.SlantedHigh)
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "board.png")
	if err := os.WriteFile(path, picture, 0o600); err != nil {
		t.Fatal(err)
	}
	return content.Board, path
}

// photographed keeps a photo of the top of the Heron's radio half, aligned.
func (s *served) photographed() {
	s.t.Helper()
	b, path := shotOf(s.t, heronB(s.t), board.Top)
	align := []string{"photo", "align", "Heron-B", "top"}
	for _, name := range []string{"P1", "P33", "P67", "P99", "P132"} {
		x, y := phototest.Slanted.Seen(b, board.Top, b.Pads[b.FindPad(name)].At)
		align = append(align, fmt.Sprintf("%.1f,%.1f=%s", x, y, name))
	}
	for _, args := range [][]string{{"photo", "add", "Heron-B", "top", path}, align} {
		if code, out := command(s.t, s.base, args...); code != 0 {
			s.t.Fatal(out)
		}
	}
}

func heronB(t testing.TB) string {
	t.Helper()
	text, err := os.ReadFile("../../../testdata/heron/heron-b.lore")
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// onPhoto is where on the window a pixel of the photo is.
const onPhoto = `((x, y) => {
	const view = document.querySelector("#seen [data-edges]"), p = new DOMPoint(x, y).matrixTransform(view.getScreenCTM());
	return [p.x, p.y];
})`

// tapPhoto taps the photo where the camera has seen a place of the board.
func (p *sight) tapPhoto(b *board.Board, side board.Side, at board.Point) {
	p.Helper()
	x, y := phototest.Slanted.Seen(b, side, at)
	spot := evaluate[[]float64](p, fmt.Sprintf("%s(%f, %f)", onPhoto, x, y))
	p.do(tapAt(spot[0], spot[1])...)
	p.waitTrue(`document.activeElement.id === "is" && document.querySelector("#x").value !== ""`)
}

// opened waits for the photo.
func (p *sight) photoOpen() {
	p.Helper()
	p.waitTrue(`document.querySelector("#seen svg image") !== null`)
	p.do(chromedp.Evaluate[chromedp.Void](`window.scrollTo(0, 0); 0`), drawn)
}

// sendPicture chooses a file and sends it.
func (p *sight) sendPicture(path string) {
	p.Helper()
	p.do(chromedp.SetUploadFiles("#file", []string{path}), chromedp.Click(".upload button"))
}

// TestBrowserPhoto uploads a photo of the Heron's radio half, picks places on it by tap and by
// keys, sees what they are off by, mends one, and sees the plan over the photo.
func TestBrowserPhoto(t *testing.T) {
	s := serve(t, "")
	b, path := shotOf(t, heronB(t), board.Top)
	p := look(t, 1280, 900)
	p.comeIn(s)
	p.do(chromedp.Click(`a[href="/photos"]`))
	p.waitFor("#sides", "Heron-B rev 2")
	p.shoot("photos")
	p.do(chromedp.Click(`//a[contains(., "Heron-B rev 2") and contains(., "top")]`))
	p.waitFor("h1", "Heron-B rev 2, top")
	p.shoot("photo-none")
	p.sendPicture(path)
	p.waitFor(".needs", "Tap a place on the photo that you know")
	p.photoOpen()
	p.shoot("photo-first")
	for i, name := range []string{"P1", "P33", "P67", "P99"} {
		p.tapPhoto(b, board.Top, b.Pads[b.FindPad(name)].At)
		if i == 1 {
			p.shoot("photo-tapped")
		}
		p.do(typed(name), typed(kb.Enter))
		p.waitFor("#points", name)
		p.waitTrue(fmt.Sprintf(`document.querySelectorAll("#seen [data-thing]").length === %d`, i+1))
	}
	p.waitFor(".judged", "perspective from 4 points; it goes through all of them")
	// A fifth by keys alone: the middle of what is seen. It is not where it is said to be.
	p.do(chromedp.Focus("#seen .board"), typed("+++"), typed(kb.ArrowLeft), drawn, typed(kb.Enter))
	p.waitTrue(`document.activeElement.id === "is" && document.querySelector("#x").value !== ""`)
	p.do(typed("P132"), typed(kb.Enter))
	p.waitFor("#points", "P132")
	p.waitFor(".judged", "which is much")
	p.shoot("photo-wrong")
	p.do(chromedp.Click(`[aria-label="Take back P132"]`))
	p.waitTrue(`!document.querySelector("#points").innerText.includes("P132")`)
	p.do(chromedp.Click(`#seen [aria-label="show all of it"]`), drawn)
	p.tapPhoto(b, board.Top, b.Parts[b.FindPart("U445")].At)
	p.do(typed("U445"), typed(kb.Enter))
	p.waitFor("#points", "U445")
	p.waitFor(".judged", "perspective from 5 points, off by 0.0")
	for _, off := range evaluate[[]string](p, `[...document.querySelectorAll("#points tbody td:nth-child(4)")].map(e => e.innerText)`) {
		if !strings.HasPrefix(off, "0.0") && !strings.HasPrefix(off, "0.1") {
			t.Errorf("a point that was tapped is off by %s", off)
		}
	}
	// A name that is none, and one of the other side.
	p.tapPhoto(b, board.Top, board.Point{X: 30000, Y: 20000})
	p.do(typed("P777"), typed(kb.Enter))
	p.waitFor("#told .trouble", "nothing on Heron-B rev 2 is called")
	p.shoot("photo-noname")
	p.planOverPhoto()
	// The photo can be seen under any other plan, and is not fetched before.
	p.do(chromedp.Navigate(s.root + "/ask?on=Heron&q=pads+on+lower:VMAIN"))
	p.waitTrue(`document.querySelector("figure .photobar:not([hidden]) input") !== null`)
	if p.truth(`document.querySelector("image.photo").hasAttribute("href")`) {
		t.Error("the photo is fetched before anybody wants to see it")
	}
	p.do(chromedp.Evaluate[chromedp.Void](`(i => { i.value = 70; i.dispatchEvent(new Event("input")); })(document.querySelector(".photobar input")); 0`))
	p.waitTrue(`(i => i.getAttribute("href").startsWith("/photo/flat?") && i.getAttribute("opacity") === "0.7")(document.querySelector("image.photo"))`)
	p.do(chromedp.Navigate(s.root + "/job/1042"))
	p.waitTrue(`(i => i !== null && i.getAttribute("opacity") === "0.7")(document.querySelector("#drawn image.photo"))`) // it is kept
	p.onlyFrom(s.root)
}

// planOverPhoto looks whether pads of the plan lie on pads of the photo, which are bright there.
func (p *sight) planOverPhoto() {
	p.Helper()
	p.waitTrue(`document.querySelector("#over image.photo[href]") !== null`)
	p.do(chromedp.Evaluate[chromedp.Void](`document.querySelector("#over").scrollIntoView(); 0`))
	p.do(chromedp.Evaluate[chromedp.Void](`document.querySelector("#over .photobar input").value = 100; document.querySelector("#over .photobar input").dispatchEvent(new Event("input")); 0`), drawn)
	p.waitTrue(`(i => fetch(i.getAttribute("href")).then(r => r.ok))(document.querySelector("#over image.photo")) && document.querySelector("#over image.photo").getAttribute("opacity") === "1"`)
	p.do(chromedp.Evaluate[chromedp.Void](`new Promise(done => { const i = new Image(); i.onload = () => requestAnimationFrame(() => requestAnimationFrame(done)); i.src = document.querySelector("#over image.photo").getAttribute("href"); })`, chromedp.EvalAwaitPromise))
	p.shoot("photo-plan")
	light := p.grey("grey-photo-plan")
	box := evaluate[[]float64](p, `(r => [r.left, r.top, r.right, r.bottom])(document.querySelector('#over [data-thing="P33"] path').getBoundingClientRect())`)
	x, y := (box[0]+box[2])/2, (box[1]+box[3])/2
	beside := light(int(x+3*(box[2]-box[0])), int(y+2*(box[3]-box[1])))
	if on := light(int(x), int(y-(box[3]-box[1])*0.8)); on > 0.5 || beside > 0.3 {
		p.Errorf("round pad P33 the photo is as light as %.2f and %.2f, and should be dark as the board", on, beside)
	}
}

// TestBrowserPlaces picks places on the photo of a board whose places are not known, takes one back,
// and asks for them.
func TestBrowserPlaces(t *testing.T) {
	s := serve(t, "netlore 1\nboard Wren size 62x38mm\n\npart C12 10uF\npart R1\n\nnet VMAIN power\n  C12 1\n  R1 1\n\npad P1 on VMAIN\n")
	b, path := shotOf(t, "netlore 1\nboard Wren size 62x38mm\n\npart C12 1x1mm top at 11,9\n\npad P1 top at 30,20\n", board.Top)
	p := look(t, 820, 1180)
	p.comeIn(s, "/photo?of=Wren&side=top")
	p.sendPicture(path)
	p.waitFor(".needs", "Tap a place on the photo that you know")
	p.photoOpen()
	for name, at := range map[string]board.Point{"lower-left": {}, "lower-right": {X: 62000}, "upper-right": {X: 62000, Y: 38000}, "upper-left": {Y: 38000}} {
		p.do(chromedp.Evaluate[chromedp.Void](`window.scrollTo(0, 0); 0`), drawn)
		p.tapPhoto(b, board.Top, at)
		p.do(typed(name), typed(kb.Enter))
		p.waitFor("#points", name)
	}
	p.waitFor(".judged", "perspective from 4 points")
	p.shoot("places-aligned")
	for name, at := range map[string]board.Point{"C12": {X: 11000, Y: 9000}, "P1": {X: 30000, Y: 20000}} {
		p.do(chromedp.Evaluate[chromedp.Void](`window.scrollTo(0, 0); 0`), drawn)
		p.tapPhoto(b, board.Top, at)
		p.do(typed(name))
		p.do(chromedp.Click(`//button[starts-with(., "Write this place down")]`))
		p.waitFor("#told", name+" has its place now")
		p.waitTrue(`document.querySelector("#seen .picked") === null && !document.querySelector("#seen").innerText.includes("say what is there")`)
	}
	p.shoot("places-written")
	_, sheetText := command(t, s.base, "export", "Wren")
	var x, y float64
	line := sheetText[strings.Index(sheetText, "part C12"):]
	if _, err := fmt.Sscanf(line, "part C12 10uF top at %g,%g", &x, &y); err != nil || x < 10.8 || x > 11.2 || y < 8.8 || y > 9.2 {
		t.Errorf("C12 is at %g,%g, want 11,9: %v\n%s", x, y, err, sheetText)
	}
	p.do(chromedp.Click(`//button[starts-with(., "Take the place of")]`))
	p.waitTrue(`document.querySelector("#told .done") === null`)
	if _, out := command(t, s.base, "export", "Wren"); strings.Count(out, " at ") != 1 {
		t.Errorf("one of two places was taken back, and the base says\n%s", out)
	}
	p.onlyFrom(s.root)
}
