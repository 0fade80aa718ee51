package bench_test

import (
	"bufio"
	"context"
	"crypto/tls"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"
)

// secretPaths are pages that tell or change something.
var secretPaths = []string{"/", "/ask?q=power+nets", "/complete?left=par&right=", "/thing?name=lower:VMAIN", "/job/1042", "/explain/Q10", "/live", "/nowhere"}

// A name of somebody else that leads to this machine is refused for every page
// and method, with the cookie and without: that is DNS rebinding, which
// net/http's cross-origin protection lets through.
func TestRebinding(t *testing.T) {
	s := serve(t, "")
	c := s.browser()
	port := s.root[strings.LastIndex(s.root, ":"):]
	for _, host := range []string{"evil.example" + port, "evil.example", "127.0.0.1.evil.example" + port, "localhost.evil.example" + port,
		"127.0.0.1", "127.0.0.1:1", "localhost." + port, "0.0.0.0" + port, "127.0.0.1" + port + ".evil.example", "[::1", "127.0.0.1@evil.example" + port} {
		for _, path := range append([]string{"/files/page.js", "/enter?secret=" + s.secret()}, secretPaths...) {
			r := s.request("GET", path, "")
			r.Host = host
			if code := s.do(c, r); code != http.StatusMisdirectedRequest && code != http.StatusBadRequest {
				t.Errorf("GET %s for host %s: %d", path, host, code)
			}
		}
		r := s.request("POST", "/job/1042/log", "step=joined")
		r.Host = host
		if code := s.do(c, r); code != http.StatusMisdirectedRequest && code != http.StatusBadRequest {
			t.Errorf("POST for host %s: %d", host, code)
		}
	}
	for _, host := range []string{"localhost" + port, "LOCALHOST" + port, "[::1]" + port} {
		r := s.request("GET", "/files/page.js", "")
		r.Host = host
		if code := s.do(c, r); code != http.StatusOK {
			t.Errorf("own name %s: %d", host, code)
		}
	}
	s.unchanged()
}

func (s *served) request(method, path, form string) *http.Request {
	r, err := http.NewRequest(method, s.root+path, strings.NewReader(form))
	if err != nil {
		s.t.Fatal(err)
	}
	if form != "" {
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	}
	return r
}

// do is the status of an answer; its body is not read to its end, for some have
// none.
func (s *served) do(c *http.Client, r *http.Request) int {
	s.t.Helper()
	answer, err := c.Do(r)
	if err != nil {
		s.t.Fatal(err)
	}
	answer.Body.Close()
	return answer.StatusCode
}

// unchanged says that the job of the demonstration is as it was.
func (s *served) unchanged() {
	s.t.Helper()
	if out := s.steps(); strings.Count(out, "\n   6  ") != 1 || strings.Contains(out, "\n   7  ") || !strings.Contains(out, "halves separated") || strings.Contains(out, "closed") {
		s.t.Errorf("the job has changed:\n%s", out)
	}
	if code, out := command(s.t, s.base, "job", "show", "1043"); code == 0 {
		s.t.Errorf("there is another job:\n%s", out)
	}
}

// A form of another site changes nothing, not even one of another port of this
// machine, with which browsers share the cookie.
func TestCrossSite(t *testing.T) {
	s := serve(t, "")
	c := s.browser()
	for _, h := range []http.Header{
		{"Sec-Fetch-Site": {"cross-site"}}, {"Sec-Fetch-Site": {"same-site"}}, {"Origin": {"http://evil.example"}}, {"Origin": {"null"}}, {"Origin": {"http://127.0.0.1:1"}},
	} {
		for path, form := range map[string]string{"/job/1042/log": "step=joined", "/job/1042/undo": "number=6", "/job/1042/read": "place=lower:P12&value=0.4&mode=diode", "/job": "of=Heron&symptom=dead",
			"/job/1042/close": "outcome=repaired", "/job/1042/reopen": "x=1", "/enter": "secret=" + s.secret()} {
			r := s.request("POST", path, form)
			for k, v := range h {
				r.Header[k] = v
			}
			if code := s.do(c, r); code != http.StatusForbidden {
				t.Errorf("POST %s with %v: %d", path, h, code)
			}
		}
	}
	s.unchanged()
}

// Nobody gets in without the cookie, with a guessed one, or with one of another
// run; and the door opens for the right secret only.
func TestDoor(t *testing.T) {
	s := serve(t, "")
	port := s.root[strings.LastIndex(s.root, ":")+1:]
	stranger := &http.Client{CheckRedirect: s.browser().CheckRedirect}
	for _, cookie := range []string{"", "netlore-" + port + "=", "netlore-" + port + "=" + s.secret(), "netlore-" + port + "=AAAAAAAAAAAAAAAAAAAAAAAAAA", "netlore=1"} {
		for _, path := range secretPaths {
			r := s.request("GET", path, "")
			r.Header.Set("Cookie", cookie)
			answer, err := stranger.Do(r)
			if err != nil {
				t.Fatal(err)
			}
			code, text := body(t, answer)
			if code != http.StatusForbidden || !strings.Contains(text, "has not been let in") || strings.Contains(text, "Heron") {
				t.Errorf("GET %s with cookie %q: %d %s", path, cookie, code, text)
			}
		}
		r := s.request("POST", "/job/1042/log", "step=joined")
		r.Header.Set("Cookie", cookie)
		if code := s.do(stranger, r); code != http.StatusForbidden {
			t.Errorf("POST with cookie %q: %d", cookie, code)
		}
	}
	for _, secret := range []string{"", "A", s.secret()[1:], s.secret() + "A", strings.ToLower(s.secret())} {
		if r, _ := s.post(stranger, "/enter", url.Values{"secret": {secret}}); r.StatusCode != http.StatusForbidden || r.Header.Get("Set-Cookie") != "" {
			t.Errorf("secret %q: %d, cookie %q", secret, r.StatusCode, r.Header.Get("Set-Cookie"))
		}
	}
	r, _ := s.post(stranger, "/enter", url.Values{"secret": {s.secret()}})
	cookies := r.Cookies()
	if len(cookies) != 1 || !cookies[0].HttpOnly || cookies[0].SameSite != http.SameSiteStrictMode || cookies[0].Path != "/" || cookies[0].Domain != "" || len(cookies[0].Value) < 26 {
		t.Errorf("cookies %v", cookies)
	}
	if answer, err := stranger.Get(s.door); err != nil || answer.Header.Get("Set-Cookie") != "" {
		t.Errorf("to follow the link lets in: %v", err)
	}
	s.unchanged()
}

// No GET changes anything, whatever it asks for; nor does a HEAD or a method
// that no page has.
func TestOnlyPostChanges(t *testing.T) {
	s := serve(t, "")
	c := s.browser()
	for _, method := range []string{"GET", "HEAD", "PUT", "DELETE", "PATCH", "OPTIONS"} {
		for _, path := range []string{"/job/1042/log?step=joined", "/job/1042/undo?number=6", "/job/1042/read?place=lower:P12&value=0.4&mode=diode", "/job/1042?step=joined&number=6&done=6", "/job?of=Heron&symptom=dead", "/job/1042/close?outcome=repaired"} {
			s.do(c, s.request(method, path, ""))
		}
	}
	r, _ := s.post(c, "/job/1042/log?step=joined", url.Values{})
	if r.StatusCode != http.StatusUnprocessableEntity {
		t.Errorf("a step in the address was taken: %d", r.StatusCode)
	}
	s.unchanged()
}

// What is too large is refused, and the page goes on.
func TestHuge(t *testing.T) {
	s := serve(t, "")
	c := s.browser()
	large := strings.Repeat("x", 1<<20)
	if r, _ := s.post(c, "/job/1042/log", url.Values{"step": {"note \"" + large + "\""}}); r.StatusCode != http.StatusRequestEntityTooLarge {
		t.Errorf("a form of a megabyte: %d", r.StatusCode)
	}
	if r, _ := s.post(c, "/enter", url.Values{"secret": {large}}); r.StatusCode != http.StatusRequestEntityTooLarge {
		t.Errorf("a secret of a megabyte: %d", r.StatusCode)
	}
	if r, _ := s.post(http.DefaultClient, "/photo/add", url.Values{"of": {large}}); r.StatusCode != http.StatusRequestEntityTooLarge {
		t.Errorf("a form of a megabyte where photos are sent, from who was not let in: %d", r.StatusCode)
	}
	some := url.Values{"step": {"note \"" + strings.Repeat("x", 10<<10) + "\""}}
	if r, _ := s.post(http.DefaultClient, "/job/1042/log", some); r.StatusCode != http.StatusRequestEntityTooLarge {
		t.Errorf("a form of 10 KiB from who was not let in: %d", r.StatusCode)
	}
	if r, _ := s.post(c, "/job/1042/log", some); r.StatusCode == http.StatusRequestEntityTooLarge {
		t.Errorf("a form of 10 KiB: %d", r.StatusCode)
	}
	long := url.QueryEscape(strings.Repeat("a b ", 1100))
	for _, path := range []string{"/ask?q=" + long, "/thing?name=" + long} {
		if code, text := s.get(c, path); code != http.StatusUnprocessableEntity || len(text) > 10_000 {
			t.Errorf("%.30s: %d, %d bytes", path, code, len(text))
		}
	}
	if code, text := s.get(c, "/complete?left="+long+"&right="); code != http.StatusOK || strings.TrimSpace(text) != "[]" {
		t.Errorf("completion of a long text: %d %.50s", code, text)
	}
	if code, _ := s.get(c, "/ask?q="+strings.Repeat("x", 64<<10)); code != http.StatusRequestHeaderFieldsTooLarge {
		t.Errorf("an address of 64 KiB: %d", code)
	}
	if code, _ := s.get(c, "/"); code != http.StatusOK {
		t.Errorf("the page after that: %d", code)
	}
	s.unchanged()
}

// Who is slow, or says nothing, does not keep others out, and is hung up on.
func TestSlow(t *testing.T) {
	s := serve(t, "")
	var lines []net.Conn
	for i := range 100 {
		line, err := net.Dial("tcp", strings.TrimPrefix(s.root, "http://"))
		if err != nil {
			t.Fatal(err)
		}
		defer line.Close()
		if i%2 == 0 {
			fmt.Fprintf(line, "POST /enter HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Le")
		}
		lines = append(lines, line)
	}
	if code, _ := s.get(s.browser(), "/"); code != http.StatusOK {
		t.Errorf("beside a hundred silent ones: %d", code)
	}
	for _, line := range lines[:4] {
		line.SetReadDeadline(time.Now().Add(8 * time.Second))
		if _, err := io.ReadAll(line); err != nil {
			t.Errorf("a silent one is still there after 8 s: %v", err)
		}
	}
}

// Paths lead to pages and our own few files, and nowhere else.
func TestPaths(t *testing.T) {
	s := serve(t, "")
	for _, path := range []string{"/files/", "/files/..", "/files/../pages/job.html", "/files/%2e%2e/pages/job.html", "/files/..%2fbench.go", "/files/..%5cbench.go",
		"/files/page.css%00", "//files/page.css/..", "/files//etc/passwd", "/files/%2fetc%2fpasswd", "/files/page.js/", "/../../etc/passwd"} {
		line, err := net.Dial("tcp", strings.TrimPrefix(s.root, "http://"))
		if err != nil {
			t.Fatal(err)
		}
		fmt.Fprintf(line, "GET %s HTTP/1.1\r\nHost: %s\r\nConnection: close\r\n\r\n", path, strings.TrimPrefix(s.root, "http://"))
		text, _ := io.ReadAll(line)
		line.Close()
		first, _, _ := strings.Cut(string(text), "\r\n")
		if strings.Contains(first, " 200 ") || strings.Contains(string(text), "define") || strings.Contains(string(text), "root:") {
			t.Errorf("%s: %s", path, first)
		}
	}
	c := s.browser()
	for _, path := range []string{"/job/..", "/job/%2e%2e%2f", "/job/1042%00", "/job/no such", "/explain/../ask", "/explain/nix"} {
		if code, _ := s.get(c, strings.ReplaceAll(path, " ", "%20")); code < 300 || code >= 500 {
			t.Errorf("%s: %d", path, code)
		}
	}
}

// hasForeignPicture reports whether a page has a picture other than our plans.
func hasForeignPicture(text string) bool {
	return strings.Contains(strings.NewReplacer(`<img src="/plan?`, "", `<img src="/job/7/plan?`, "").Replace(text), "<img")
}

// hostile is a name that ends a script and an attribute.
const hostile = `</script><img src=x onerror=alert(1)>`

// What stands in a sheet never becomes a part of the page, wherever it is shown.
func TestHostileNames(t *testing.T) {
	quoted := `"` + hostile + `"`
	s := serve(t, "netlore 1\nboard Wren rev 1 \"a 'title' "+hostile+"\"\n\npart C1 10uF\n\nnet "+quoted+" power 3V also \"' onmouseover='x\"\n  C1 1\nnet GND ground\n  C1 2\n\n"+
		"pad "+quoted+" on "+quoted+"\n\nnote on "+quoted+" \"<b>"+hostile+"</b>\"\n\njob 7 \""+hostile+"\" of Wren opened 2026-01-02\n  1 note \""+hostile+"\"\n")
	c := s.browser()
	esc := url.QueryEscape
	for _, path := range []string{"/", "/ask?q=nets", "/ask?q=notes", "/plan?q=nets", "/plan?q=" + esc(hostile), "/plan?q=" + esc("parts on "+quoted), "/ask?q=boards", "/ask?q=jobs", "/ask?q=parts+on+" + esc(quoted), "/ask?q=" + esc(hostile), "/ask?q=nets&on=" + esc(hostile),
		"/thing?name=" + esc(quoted), "/thing?name=" + esc(hostile), "/job/7", "/job/7?places=" + esc("pads on "+quoted), "/job/7?places=" + esc(hostile) + "&meter=" + esc(hostile) + "&mode=" + esc(hostile),
		"/job/" + url.PathEscape(hostile), "/explain/" + url.PathEscape(hostile), "/enter?secret=" + esc(`"><script>alert(1)</script>`), "/" + url.PathEscape(hostile)} {
		code, text := s.get(c, path)
		if code >= 500 {
			t.Errorf("%s: %d", path, code)
		}
		if hasForeignPicture(text) || strings.Count(text, "<script") > strings.Count(text, `<script src="/files/`) || strings.Contains(text, "onerror=alert(1)>") || strings.Contains(text, "' onmouseover='x") {
			t.Errorf("%s holds what was sent:\n%s", path, text)
		}
	}
	if code, text := s.get(c, "/job/7?places="+esc("pads on "+quoted)); code != 200 || !strings.Contains(text, `value="pad &#34;`) {
		t.Errorf("the hostile pad cannot be read: %d", code)
	}
	r, text := s.post(c, "/job/7/read", url.Values{"place": {"pad " + quoted}, "mode": {"diode"}, "value": {"0.4"}})
	if r.StatusCode != http.StatusSeeOther {
		t.Errorf("reading at the hostile pad: %d %s", r.StatusCode, text)
	}
	r, text = s.post(c, "/job/7/log", url.Values{"step": {`hot ` + quoted + ` "` + hostile}})
	if r.StatusCode != http.StatusUnprocessableEntity || hasForeignPicture(text) {
		t.Errorf("a wrong hostile step: %d %s", r.StatusCode, text)
	}
	if _, text := s.get(c, "/complete?left="+esc("parts on ")+"&right="); strings.Contains(text, "<img") {
		t.Errorf("completion: %s", text)
	}
}

// Every answer forbids what a page does not need, whoever asks.
func TestHeaders(t *testing.T) {
	s := serve(t, "")
	c := s.browser()
	for _, path := range append([]string{"/files/page.css", "/enter", "/files/none"}, secretPaths...) {
		answer, err := c.Get(s.root + path)
		if err != nil {
			t.Fatal(err)
		}
		answer.Body.Close()
		policy := answer.Header.Get("Content-Security-Policy")
		if !strings.Contains(policy, "default-src 'none'") || strings.Contains(policy, "unsafe") || answer.Header.Get("X-Content-Type-Options") != "nosniff" ||
			answer.Header.Get("Referrer-Policy") != "same-origin" || answer.Header.Get("Access-Control-Allow-Origin") != "" {
			t.Errorf("%s: %v", path, answer.Header)
		}
	}
}

// The page ends while streams are open and requests come in, and lets go of the
// port.
func TestStops(t *testing.T) {
	s := serve(t, "")
	c := s.browser()
	stream, err := c.Get(s.root + "/live")
	if err != nil {
		t.Fatal(err)
	}
	defer stream.Body.Close()
	began := time.Now()
	s.end()
	if took := time.Since(began); took > 5*time.Second {
		t.Errorf("it took %v", took)
	}
	if _, err := io.ReadAll(stream.Body); err != nil {
		t.Errorf("the stream ended with %v", err)
	}
	if _, err := net.DialTimeout("tcp", strings.TrimPrefix(s.root, "http://"), time.Second); err == nil {
		t.Error("somebody still listens")
	}
}

// A line on which nothing was asked for, as browsers keep ready, is hung up on at the end.
func TestStopsBesideWaiting(t *testing.T) {
	s := serveOpen(t)
	for _, at := range []string{strings.TrimPrefix(s.root, "http://"), strings.TrimPrefix(s.there, "https://")} {
		line, err := net.Dial("tcp", at)
		if err != nil {
			t.Fatal(err)
		}
		defer line.Close()
	}
	secret, err := tls.Dial("tcp", strings.TrimPrefix(s.there, "https://"), &tls.Config{RootCAs: s.roots})
	if err != nil {
		t.Fatal(err)
	}
	defer secret.Close()
	time.Sleep(100 * time.Millisecond) // they have been taken
	began := time.Now()
	s.stop()
	code := <-s.ended
	s.stop, s.ended = func() {}, closedCodes
	if took := time.Since(began); code != 0 || took > 2*time.Second || strings.Contains(s.said.String(), "netlore:") {
		t.Errorf("it ended with %d after %v, and said\n%s", code, took, s.said)
	}
}

// It listens on this machine's own address only.
func TestLoopbackOnly(t *testing.T) {
	s := serve(t, "")
	if !strings.HasPrefix(s.root, "http://127.0.0.1:") {
		t.Errorf("the page is at %s", s.root)
	}
	all, err := net.InterfaceAddrs()
	if err != nil {
		t.Fatal(err)
	}
	port := s.root[strings.LastIndex(s.root, ":")+1:]
	for _, a := range all {
		ip, _, err := net.ParseCIDR(a.String())
		if err != nil || ip.IsLoopback() {
			continue
		}
		ctx, cancel := context.WithTimeout(context.Background(), 300*time.Millisecond)
		if line, err := new(net.Dialer).DialContext(ctx, "tcp", net.JoinHostPort(ip.String(), port)); err == nil {
			line.Close()
			t.Errorf("it answers at %s", ip)
		}
		cancel()
	}
}

// A command that logs a step is heard of at once by whoever listens.
func TestLive(t *testing.T) {
	s := serve(t, "")
	stream, err := s.browser().Get(s.root + "/live")
	if err != nil {
		t.Fatal(err)
	}
	defer stream.Body.Close()
	events := make(chan string, 16)
	go func() {
		lines := bufio.NewScanner(stream.Body)
		for lines.Scan() {
			if lines.Text() == "event: changed" {
				events <- lines.Text()
			}
		}
	}()
	quietly := func(what string) {
		select {
		case e := <-events:
			t.Errorf("%s made %q", what, e)
		case <-time.After(time.Second):
		}
	}
	s.steps()
	quietly("reading the base")
	if code, out := command(t, s.base, "job", "log", "1042", "hot nothing"); code != 0 {
		t.Fatal(out)
	}
	select {
	case <-events:
	case <-time.After(5 * time.Second):
		t.Error("a logged step was not told")
	}
}
