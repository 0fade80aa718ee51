package bench_test

import (
	"bytes"
	"image/jpeg"
	"io"
	"mime/multipart"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"netlore/store/board"
	"netlore/store/photo"
)

// upload sends a picture as a browser does.
func (s *served) upload(c *http.Client, of, side string, fields map[string][]byte) (int, string) {
	s.t.Helper()
	var form bytes.Buffer
	w := multipart.NewWriter(&form)
	for name, data := range fields {
		part, err := w.CreateFormFile(name, name+".jpg")
		if err != nil {
			s.t.Fatal(err)
		}
		part.Write(data)
	}
	w.Close()
	r, err := c.Post(s.root+"/photo/add?"+url.Values{"of": {of}, "side": {side}}.Encode(), w.FormDataContentType(), &form)
	if err != nil {
		return 0, err.Error() // it was refused before it was read to its end
	}
	return body(s.t, r)
}

// TestUpload sends pictures and what is none: what is refused says why, and keeps what was there.
func TestUpload(t *testing.T) {
	s := serve(t, "")
	c := s.browser()
	_, path := shotOf(t, heronB(t), board.Top)
	picture, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	kept := func() string { t.Helper(); _, out := command(t, s.base, "photo"); return out }
	none := kept()
	for name, c := range map[string]struct {
		of, side string
		fields   map[string][]byte
		says     string
	}{
		"no file":        {"Heron-B rev 2", "top", nil, "choose a photo first"},
		"an empty one":   {"Heron-B rev 2", "top", map[string][]byte{"picture": nil}, "choose a photo first"},
		"another field":  {"Heron-B rev 2", "top", map[string][]byte{"file": picture}, "choose a photo first"},
		"no picture":     {"Heron-B rev 2", "top", map[string][]byte{"picture": []byte("<script>alert(1)</script>")}, "P201"},
		"cut short":      {"Heron-B rev 2", "top", map[string][]byte{"picture": picture[:len(picture)/2]}, "P204"},
		"no board":       {"Heron-C", "top", map[string][]byte{"picture": picture}, "no side of a board here"},
		"no side":        {"Heron-B rev 2", "inside", map[string][]byte{"picture": picture}, "no side"},
		"a stack":        {"Heron", "top", map[string][]byte{"picture": picture}, "no side"},
		"more than fits": {"Heron-B rev 2", "top", map[string][]byte{"picture": make([]byte, photo.MostBytes+1<<20)}, ""},
	} {
		if code, text := s.upload(s.browser(), c.of, c.side, c.fields); code < 400 && code != 0 || !strings.Contains(text, c.says) {
			t.Errorf("%s: %d\n%s", name, code, text)
		}
	}
	if code, _ := s.upload(http.DefaultClient, "Heron-B rev 2", "top", map[string][]byte{"picture": picture}); code != http.StatusForbidden {
		t.Errorf("from who was not let in: %d", code)
	}
	foreign, _ := http.NewRequest("POST", s.root+"/photo/add?of=Heron-B+rev+2&side=top", bytes.NewReader(picture))
	foreign.Header.Set("Sec-Fetch-Site", "cross-site")
	if r, err := c.Do(foreign); err != nil || r.StatusCode != http.StatusForbidden {
		t.Errorf("from another site: %v, %v", r, err)
	}
	if got := kept(); got != none {
		t.Errorf("what was refused is kept:\n%s", got)
	}
	if code, text := s.upload(c, "Heron-B rev 2", "top", map[string][]byte{"picture": picture}); code != http.StatusSeeOther {
		t.Fatalf("%d\n%s", code, text)
	}
	code, text := s.get(c, "/photo/picture?of=Heron-B+rev+2&side=top")
	if got, err := jpeg.Decode(strings.NewReader(text)); code != http.StatusOK || err != nil || got.Bounds().Dx() != 1650 {
		t.Errorf("%d, %v", code, err)
	}
	if code, text := s.get(c, "/photo/flat?of=Heron-B+rev+2&side=top"); code != http.StatusUnprocessableEntity || !strings.Contains(text, "P102") {
		t.Errorf("it is laid flat before it is aligned: %d\n%s", code, text)
	}
	if code, _ := s.get(c, "/photo/picture?of=Heron-B+rev+2&side=bottom"); code != http.StatusNotFound {
		t.Errorf("a photo that there is not: %d", code)
	}
}

// TestPick picks points by forms alone, as a page without scripts does.
func TestPick(t *testing.T) {
	s := serve(t, "")
	s.photographed()
	c := s.browser()
	send := func(path string, fields ...string) (int, string) {
		t.Helper()
		form := url.Values{"of": {"Heron-B rev 2"}, "side": {"top"}}
		for i := 0; i < len(fields); i += 2 {
			form.Set(fields[i], fields[i+1])
		}
		r, text := s.post(c, path, form)
		return r.StatusCode, text
	}
	for name, try := range map[string]struct {
		path   string
		fields []string
		says   string
	}{
		"nothing":            {"/photo/point", nil, "tap the photo"},
		"no number":          {"/photo/point", []string{"x", "a", "y", "1", "is", "P2"}, "tap the photo"},
		"beyond the photo":   {"/photo/point", []string{"x", "9999", "y", "1", "is", "P2"}, "P107"},
		"not on this side":   {"/photo/point", []string{"x", "9", "y", "1", "is", "C4301"}, "Q98"},
		"another point":      {"/photo/drop", []string{"number", "1", "is", "P33"}, "nothing was changed"},
		"no such point":      {"/photo/drop", []string{"number", "77", "is", "P33"}, "not there any more"},
		"has a place":        {"/photo/place", []string{"x", "9", "y", "1", "is", "P2"}, "has a place already"},
		"place of the sheet": {"/photo/unplace", []string{"is", "P2"}, "no place of P2 was picked on a photo"},
	} {
		if code, text := send(try.path, try.fields...); code != http.StatusUnprocessableEntity || !strings.Contains(text, try.says) {
			t.Errorf("%s: %d\n%s", name, code, text)
		}
	}
	// The same place once more takes the place of what was picked before.
	if code, text := send("/photo/point", "x", "220", "y", "166", "is", "P1"); code != http.StatusSeeOther {
		t.Errorf("%d\n%s", code, text)
	}
	if code, text := send("/photo/drop", "number", "1", "is", "P33"); code != http.StatusSeeOther {
		t.Errorf("%d\n%s", code, text)
	}
	_, out := command(t, s.base, "photo")
	if !strings.Contains(out, "      4  ") {
		t.Errorf("%s", out)
	}
	if code, text := send("/photo/remove"); code != http.StatusSeeOther {
		t.Errorf("%d\n%s", code, text)
	}
	if _, out := command(t, s.base, "photo"); !strings.Contains(out, "no photo is kept") {
		t.Errorf("%s", out)
	}
}

// A photo is sent once: that a point was picked on it makes no other photo of it. Laid flat it is
// another one then, and too when a pad that was picked has another place.
func TestPictureKept(t *testing.T) {
	s := serve(t, "")
	s.photographed()
	c := s.browser()
	tags := map[string]string{}
	same := func(path string) bool {
		t.Helper()
		r := s.request("GET", path+heronTop, "")
		r.Header.Set("If-None-Match", tags[path])
		answer, err := c.Do(r)
		if err != nil {
			t.Fatal(err)
		}
		tags[path] = answer.Header.Get("ETag")
		code, _ := body(t, answer)
		return code == http.StatusNotModified
	}
	const picture, flat = "/photo/picture", "/photo/flat"
	is := func(when string, wantPicture, wantFlat bool) {
		t.Helper()
		if p, f := same(picture), same(flat); p != wantPicture || f != wantFlat {
			t.Errorf("%s the photo is the same: %v, and laid flat: %v", when, p, f)
		}
	}
	is("at first", false, false)
	is("again", true, true)
	if r, text := s.post(c, "/photo/point", url.Values{"of": {"Heron-B rev 2"}, "side": {"top"}, "x": {"220"}, "y": {"166"}, "is": {"P1"}}); r.StatusCode != http.StatusSeeOther {
		t.Fatal(text)
	}
	is("after a tap", true, false)
	is("again after a tap", true, true)
	moved := "netlore 1\nboard Heron-B rev 2\n\npad P33 top at 44.5,34\n"
	path := filepath.Join(t.TempDir(), "moved.lore")
	if err := os.WriteFile(path, []byte(moved), 0o600); err != nil {
		t.Fatal(err)
	}
	if code, out := command(t, s.base, "add", "--correct", path); code != 0 {
		t.Fatal(out)
	}
	is("with a pad elsewhere", true, false)
}

// However many photos come slowly at a time, the page answers.
func TestUploadsLeaveRoom(t *testing.T) {
	s := serve(t, "")
	c := s.browser()
	for range 12 {
		in, out := io.Pipe()
		t.Cleanup(func() { out.CloseWithError(io.ErrUnexpectedEOF) })
		form := multipart.NewWriter(out)
		r, err := http.NewRequest("POST", s.root+"/photo/add"+heronTop, in)
		if err != nil {
			t.Fatal(err)
		}
		r.Header.Set("Content-Type", form.FormDataContentType())
		go func() {
			if answer, err := c.Do(r); err == nil {
				answer.Body.Close()
			}
		}()
		if _, err := form.CreateFormFile("picture", "slow.jpg"); err != nil { // the server has begun to read it
			t.Fatal(err)
		}
	}
	time.Sleep(300 * time.Millisecond) // so long that all of them have come as far as they can
	c.Timeout = 5 * time.Second
	if code, _ := s.get(c, "/"); code != http.StatusOK {
		t.Errorf("beside twelve slow photos: %d", code)
	}
}

// Scripts and style are sent once: a browser that has them is told that they are the same.
func TestFilesKept(t *testing.T) {
	s := serve(t, "")
	for _, name := range []string{"page.js", "page.css"} {
		r := s.request("GET", "/files/"+name, "")
		answer, err := http.DefaultClient.Do(r)
		if err != nil {
			t.Fatal(err)
		}
		tag := answer.Header.Get("ETag")
		_, text := body(t, answer)
		for have, want := range map[string]int{tag: http.StatusNotModified, `"other"`: http.StatusOK} {
			r.Header.Set("If-None-Match", have)
			if code := s.do(http.DefaultClient, r); code != want || tag == "" || text == "" {
				t.Errorf("%s for who has %s: %d", name, have, code)
			}
		}
	}
}
