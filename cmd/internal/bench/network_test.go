package bench_test

import (
	"bufio"
	"bytes"
	"crypto/tls"
	"fmt"
	"io"
	"io/fs"
	"net"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// Nothing is told in the network to who was not let in, and a code lets one in, once.
func TestNetworkDoor(t *testing.T) {
	s := serveOpen(t)
	there := s.from(s.there)
	stranger := s.device()
	for _, path := range append([]string{"/devices", "/enter?secret=" + s.secret()}, secretPaths...) {
		code, text := there.get(stranger, path)
		if code != http.StatusForbidden && (path != "/" || code != http.StatusSeeOther) || strings.Contains(text, "Heron") {
			t.Errorf("%s: %d %s", path, code, text)
		}
	}
	if r, _ := there.post(stranger, "/enter", url.Values{"secret": {s.secret()}}); r.StatusCode != http.StatusForbidden || r.Header.Get("Set-Cookie") != "" {
		t.Errorf("the secret of this machine opens the network: %d", r.StatusCode)
	}
	code := s.code("work")
	for _, wrong := range []string{"", "00000000", code[:8], code + "1", "x"} {
		if r, _ := there.post(s.device(), "/pair", url.Values{"code": {wrong}}); r.StatusCode != http.StatusForbidden || r.Header.Get("Set-Cookie") != "" {
			t.Errorf("code %q: %d", wrong, r.StatusCode)
		}
	}
	s.hear(`a wrong code came from 127\.0\.0\.1`)
	if r, text := there.post(stranger, "/pair", url.Values{"code": {s.code("work")}}); r.StatusCode != http.StatusForbidden || !strings.Contains(text, "wait five minutes") {
		t.Errorf("after so many wrong codes: %d", r.StatusCode)
	}
	s.unchanged()
}

func TestNetworkPairing(t *testing.T) {
	s := serveOpen(t)
	there := s.from(s.there)
	code := s.code("work")
	tablet := s.device()
	r, text := there.post(tablet, "/pair", url.Values{"code": {code}, "name": {"at the microscope"}})
	cookies := r.Cookies()
	if r.StatusCode != http.StatusSeeOther || len(cookies) != 1 {
		t.Fatalf("%d, %v %s", r.StatusCode, cookies, text)
	}
	if c := cookies[0]; !c.HttpOnly || !c.Secure || c.SameSite != http.SameSiteStrictMode || c.Path != "/" || c.Domain != "" || len(c.Value) < 26 || !strings.HasPrefix(c.Name, "__Host-") {
		t.Errorf("cookie %v", c)
	}
	if r.Header.Get("Strict-Transport-Security") != "" {
		t.Error("a browser is told never to come without TLS, which would lock it out of a renewed certificate")
	}
	if r, _ := there.post(s.device(), "/pair", url.Values{"code": {code}}); r.StatusCode != http.StatusForbidden {
		t.Errorf("a code counts twice: %d", r.StatusCode)
	}
	if r.Proto != "HTTP/2.0" || r.TLS.Version != tls.VersionTLS13 {
		t.Errorf("spoken was %s, TLS %x", r.Proto, r.TLS.Version)
	}
	s.hear(`at the microscope at 127\.0\.0\.1 was let in: may work`)
	there.post(tablet, "/job/1042/log", url.Values{"step": {"hot nothing"}})
	if out := s.steps(); !strings.Contains(out, "   7  hot nothing") {
		t.Errorf("the tablet has logged nothing:\n%s", out)
	}
	s.hashesOnly(cookies[0].Value)

	// What is secret for one way to the page is worth nothing on the other.
	here := s.browser()
	for _, c := range here.Jar.Cookies(at(t, s.root)) {
		if code, _ := there.withCookie(s.device(), "/job/1042", c.Value, cookies[0].Name); code != http.StatusForbidden {
			t.Errorf("the cookie of this machine is taken in the network: %d", code)
		}
		if code, _ := s.withCookie(http.DefaultClient, "/job/1042", cookies[0].Value, c.Name); code != http.StatusForbidden {
			t.Errorf("the cookie of the network is taken on this machine: %d", code)
		}
	}
	for _, path := range []string{"/devices"} {
		if code, text := there.get(tablet, path); code != http.StatusForbidden || !strings.Contains(text, "B202") {
			t.Errorf("a tablet is shown who was let in: %d", code)
		}
	}
	for _, path := range []string{"/devices/code", "/devices/away"} {
		if r, _ := there.post(tablet, path, url.Values{"for": {"work"}, "device": {"at the microscope"}}); r.StatusCode != http.StatusForbidden {
			t.Errorf("a tablet posts to %s: %d", path, r.StatusCode)
		}
	}
}

func at(t *testing.T, root string) *url.URL {
	t.Helper()
	u, err := url.Parse(root)
	if err != nil {
		t.Fatal(err)
	}
	return u
}

func (s *served) withCookie(c *http.Client, path, value, name string) (int, string) {
	s.t.Helper()
	r := s.request("GET", path, "")
	r.AddCookie(&http.Cookie{Name: name, Value: value, Quoted: false})
	answer, err := c.Do(r)
	if err != nil {
		s.t.Fatal(err)
	}
	return body(s.t, answer)
}

// hashesOnly says that nothing on disk lets anybody in, and that nobody else can read
// who was.
func (s *opened) hashesOnly(token string) {
	s.t.Helper()
	files := 0
	err := filepath.WalkDir(s.base+"-page", func(path string, f fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		info, err := f.Info()
		if err != nil {
			return err
		}
		if info.Mode().Perm()&0o077 != 0 {
			s.t.Errorf("others can get at %s: %v", path, info.Mode())
		}
		if f.IsDir() {
			return nil
		}
		files++
		text, err := os.ReadFile(path)
		if bytes.Contains(text, []byte(token)) || strings.Contains(path, token) {
			s.t.Errorf("%s holds what the tablet shows", path)
		}
		return err
	})
	if err != nil || files != 2 { // the certificate and the tablet
		s.t.Errorf("%d files, %v", files, err)
	}
}

// A tablet stays let in when the page is started again, a guest does not; and who is
// sent away is out at once.
func TestNetworkStays(t *testing.T) {
	s := serveOpen(t)
	there := s.from(s.there)
	tablet, guest := s.letIn("work", "tablet"), s.letIn("guest", "")
	if code, out := command(t, s.base, "bench", "devices"); code != 0 || !strings.Contains(out, "tablet  may work") || !strings.Contains(out, "guest   may only look") {
		t.Errorf("%d %s", code, out)
	}
	port := s.there[strings.LastIndex(s.there, ":")+1:]
	s.end()
	if _, out := command(t, s.base, "bench", "devices"); strings.Contains(out, "guest") || !strings.Contains(out, "tablet") {
		t.Errorf("after the page has ended:\n%s", out)
	}
	s.open("--network", networkHost, "--port", port)
	if strings.Contains(s.said.String(), "code for a tablet:") {
		t.Error("a code was made though a tablet is let in")
	}
	if code, _ := there.get(tablet, "/job/1042"); code != http.StatusOK {
		t.Errorf("the tablet after a restart: %d", code)
	}
	if code, _ := there.get(guest, "/job/1042"); code != http.StatusForbidden {
		t.Errorf("the guest after a restart: %d", code)
	}
	stream, err := tablet.Get(s.there + "/live")
	if err != nil || stream.StatusCode != http.StatusOK {
		t.Fatal(err, stream)
	}
	defer stream.Body.Close()
	if code, out := command(t, s.base, "bench", "send-away", "tablet"); code != 0 {
		t.Error(out)
	}
	if code, _ := there.get(tablet, "/job/1042"); code != http.StatusForbidden {
		t.Errorf("the tablet that was sent away: %d", code)
	}
	began := time.Now()
	if _, err := io.ReadAll(stream.Body); err != nil || time.Since(began) > 5*time.Second {
		t.Errorf("it still hears what happens: %v, %v", err, time.Since(began))
	}
	if code, out := command(t, s.base, "bench", "send-away", "tablet"); code == 0 || !strings.Contains(out, "no device of that name has been let in") {
		t.Errorf("%d %s", code, out)
	}
	// Let in once more, a device is the same one.
	again := s.letIn("work", "again")
	if r, text := there.post(again, "/pair", url.Values{"code": {s.code("work")}, "name": {"again"}}); r.StatusCode != http.StatusSeeOther {
		t.Errorf("%d %s", r.StatusCode, text)
	}
	if _, out := command(t, s.base, "bench", "devices"); strings.Count(out, "again") != 1 || strings.Contains(out, "again 2") {
		t.Errorf("a device that was let in once more:\n%s", out)
	}
	// The same by a tap on the loopback page.
	here := s.browser()
	s.post(here, "/devices/away", url.Values{"device": {"again"}})
	if code, _ := there.get(again, "/"); code != http.StatusSeeOther {
		t.Errorf("the tablet that was sent away by a tap: %d", code)
	}
	if code, text := s.get(here, "/devices"); code != http.StatusOK || !strings.Contains(text, "nobody yet") {
		t.Errorf("%d %s", code, text)
	}
}

// Codes are made by keys in the terminal, too.
func TestNetworkKeys(t *testing.T) {
	s := serveOpen(t)
	first := s.hear(`code for a tablet: \d{4} \d{4}`)
	fmt.Fprint(s.keys, "\n")
	s.hear(`(?s)code for a tablet: .*code for a tablet: \d{4} \d{4}`)
	if r, _ := s.from(s.there).post(s.device(), "/pair", url.Values{"code": {strings.TrimPrefix(first, "code for a tablet: ")}}); r.StatusCode != http.StatusForbidden {
		t.Errorf("the first code: %d", r.StatusCode)
	}
	fmt.Fprint(s.keys, "g\n")
	code := strings.TrimPrefix(s.hear(`code for a guest: \d{4} \d{4}`), "code for a guest: ")
	guest := s.device()
	if r, _ := s.from(s.there).post(guest, "/pair", url.Values{"code": {code}}); r.StatusCode != http.StatusSeeOther {
		t.Errorf("the code for a guest: %d", r.StatusCode)
	}
	if r, _ := s.from(s.there).post(guest, "/job/1042/log", url.Values{"step": {"joined"}}); r.StatusCode != http.StatusForbidden {
		t.Errorf("the guest logs: %d", r.StatusCode)
	}
	fmt.Fprint(s.keys, "what\n")
	s.hear(`Ctrl-C ends the page`)
	s.unchanged()
}

// With --guests a tablet that was let in to work may only look, too.
func TestNetworkGuestsOnly(t *testing.T) {
	s := serveOpen(t)
	tablet := s.letIn("work", "tablet")
	port := s.there[strings.LastIndex(s.there, ":")+1:]
	s.end()
	s.open("--network", networkHost, "--port", port, "--guests")
	there := s.from(s.there)
	if code, text := there.get(tablet, "/job/1042"); code != http.StatusOK || strings.Contains(text, `method="post"`) {
		t.Errorf("%d", code)
	}
	if r, _ := there.post(tablet, "/job/1042/log", url.Values{"step": {"joined"}}); r.StatusCode != http.StatusForbidden {
		t.Errorf("it logs: %d", r.StatusCode)
	}
	s.unchanged()
}

// In the network, too, the page is answered under its own names only, and neither way
// to it under those of the other.
func TestNetworkRebinding(t *testing.T) {
	s := serveOpen(t)
	c := s.letIn("work", "tablet")
	port := s.there[strings.LastIndex(s.there, ":"):]
	try := func(from *served, c *http.Client, host string, want int) {
		t.Helper()
		for _, method := range []string{"GET", "POST"} {
			r := from.request(method, "/job/1042/log", "")
			r.Host = host
			if code := s.do(c, r); code != want {
				t.Errorf("%s %s as %s: %d", method, from.root, host, code)
			}
		}
	}
	there := s.from(s.there)
	for _, host := range []string{"evil.example" + port, "evil.example", "localhost" + port, "127.0.0.1" + port, "[::1]" + port, networkHost, networkHost + ":443", networkHost + "." + port, networkHost + ".evil.example" + port, "192.168.1.20" + port} {
		try(there, c, host, http.StatusMisdirectedRequest)
	}
	try(s.served, s.browser(), networkHost+port, http.StatusMisdirectedRequest)
	for _, site := range []http.Header{{"Sec-Fetch-Site": {"cross-site"}}, {"Origin": {s.root}}, {"Origin": {"http://" + networkHost + port}}, {"Origin": {"null"}}} {
		for _, path := range []string{"/job/1042/log", "/pair"} {
			r := there.request("POST", path, "step=joined&code=1")
			for k, v := range site {
				r.Header[k] = v
			}
			if code := s.do(c, r); code != http.StatusForbidden {
				t.Errorf("POST %s with %v: %d", path, site, code)
			}
		}
	}
	s.unchanged()
}

// Who speaks plain HTTP is sent to where TLS is spoken, and told nothing else; an old
// TLS is not spoken at all.
func TestNetworkTLSOnly(t *testing.T) {
	s := serveOpen(t)
	host := strings.TrimPrefix(s.there, "https://")
	plainly := &http.Client{CheckRedirect: s.device().CheckRedirect}
	for name, want := range map[string]int{host: http.StatusTemporaryRedirect, "evil.example": http.StatusMisdirectedRequest} {
		r := s.from("http://"+host).request("GET", "/job/1042", "")
		r.Host = name
		answer, err := plainly.Do(r)
		if err != nil {
			t.Fatal(err)
		}
		at := answer.Header.Get("Location")
		if code, text := body(t, answer); code != want || text != "" || (want == http.StatusTemporaryRedirect) != (at == s.there+"/") {
			t.Errorf("as %s: %d to %q: %s", name, code, at, text)
		}
	}
	for _, rubbish := range []string{"\x00\x01", "GET / HTTP/1.1\r\nHost: " + strings.Repeat("x", 1<<20), "SSH-2.0-x\r\n", "GET //evil.example/ HTTP/1.1\r\nHost: evil.example\r\nX: " + host + "\r\n\r\n"} {
		line, err := net.Dial("tcp", host)
		if err != nil {
			t.Fatal(err)
		}
		go io.WriteString(line, rubbish)
		line.SetReadDeadline(time.Now().Add(8 * time.Second))
		if text, _ := io.ReadAll(line); strings.Contains(string(text), "Location: https://evil") || strings.Contains(string(text), "Heron") {
			t.Errorf("%.20q: %s", rubbish, text)
		}
		line.Close()
	}
	for version, want := range map[uint16]bool{tls.VersionTLS10: false, tls.VersionTLS11: false, tls.VersionTLS12: false, tls.VersionTLS13: true} {
		line, err := tls.Dial("tcp", host, &tls.Config{RootCAs: s.roots, MinVersion: version, MaxVersion: version})
		if (err == nil) != want {
			t.Errorf("TLS %x: %v", version, err)
		}
		if err == nil {
			line.Close()
		}
	}
}

// Who is large, slow, or many, does not keep others out.
func TestNetworkCrowd(t *testing.T) {
	s := serveOpen(t)
	there := s.from(s.there)
	c := s.letIn("work", "tablet")
	if r, _ := there.post(s.device(), "/pair", url.Values{"code": {strings.Repeat("1", 1<<20)}}); r.StatusCode != http.StatusRequestEntityTooLarge {
		t.Errorf("a code of a megabyte: %d", r.StatusCode)
	}
	if r, _ := there.post(c, "/job/1042/log", url.Values{"step": {strings.Repeat("1", 1<<20)}}); r.StatusCode != http.StatusRequestEntityTooLarge {
		t.Errorf("a step of a megabyte: %d", r.StatusCode)
	}
	hungUp := 0
	for range 200 {
		line, err := net.Dial("tcp", strings.TrimPrefix(s.there, "https://"))
		if err != nil {
			t.Fatal(err)
		}
		defer line.Close()
		line.SetReadDeadline(time.Now().Add(20 * time.Millisecond))
		if _, err := bufio.NewReader(line).ReadByte(); err == io.EOF {
			hungUp++
		}
	}
	if hungUp < 150 {
		t.Errorf("of 200 silent lines %d were hung up on", hungUp)
	}
	if code, _ := there.get(c, "/"); code != http.StatusOK { // on the line that it has
		t.Errorf("the tablet: %d", code)
	}
	if code, _ := s.get(s.browser(), "/"); code != http.StatusOK {
		t.Errorf("this machine: %d", code)
	}
	time.Sleep(6 * time.Second) // the silent ones are gone
	if code, _ := there.get(s.device(), "/pair"); code != http.StatusOK {
		t.Errorf("another device, later: %d", code)
	}
	var streams []io.Closer
	for i := range 10 {
		stream, err := c.Get(s.there + "/live")
		if err != nil {
			t.Fatal(err)
		}
		streams = append(streams, stream.Body)
		if (stream.StatusCode == http.StatusOK) != (i < 6) {
			t.Errorf("stream %d of one device: %d", i+1, stream.StatusCode)
		}
	}
	for _, stream := range streams {
		stream.Close()
	}
	s.unchanged()
}

// However many pages of how many devices listen, this machine can, too.
func TestNetworkStreams(t *testing.T) {
	s := serveOpen(t)
	listened, refused := 0, 0
	listen := func(c *http.Client, root string) bool {
		t.Helper()
		stream, err := c.Get(root + "/live")
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { stream.Body.Close() })
		return stream.StatusCode == http.StatusOK
	}
	for _, kind := range []string{"guest", "guest", "guest", "work", "work", "work", "work"} {
		c := s.letIn(kind, "")
		for range 6 {
			if listen(c, s.there) {
				listened++
			} else {
				refused++
			}
		}
		if kind == "guest" && listened > 12 {
			t.Errorf("%d pages of guests listen", listened)
		}
	}
	if listened != 24 || refused != 18 {
		t.Errorf("of the network %d pages listen, and %d are refused", listened, refused)
	}
	for _, here := range []*http.Client{s.browser(), s.browser()} {
		if !listen(here, s.root) {
			t.Error("there is no room for this machine")
		}
	}
}

// With --guests it is told that who was let in to work may only look now, and a code lets in
// guests alone.
func TestNetworkGuestsOnlyTold(t *testing.T) {
	s := serveOpen(t)
	s.letIn("work", "tablet")
	port := s.there[strings.LastIndex(s.there, ":")+1:]
	s.end()
	s.open("--network", networkHost, "--port", port, "--guests")
	s.letIn("work", "another")
	s.hear("another at 127.0.0.1 was let in: may only look")
	_, text := s.get(s.browser(), "/devices")
	for name, role := range map[string]string{"tablet": "may only look while netlore bench runs with --guests", "another": "may only look"} {
		if !strings.Contains(text, "<strong>"+name+"</strong> <span>"+role+"</span>") {
			t.Errorf("%s is not told to be one who %s:\n%s", name, role, text)
		}
	}
	s.end()
	if _, out := command(t, s.base, "bench", "devices"); strings.Contains(out, "another") || !strings.Contains(out, "tablet  may work") {
		t.Errorf("after the page has ended:\n%s", out)
	}
}
