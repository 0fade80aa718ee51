package bench_test

import (
	"bytes"
	"context"
	"crypto/tls"
	"crypto/x509"
	"io"
	"net"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"os"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"netlore/cmd/internal/cli"
)

// opened is the page as `netlore bench --network` serves it, at an address at which
// this machine can call itself with TLS.
type opened struct {
	*served
	there string // root in the network, without a slash at its end
	roots *x509.CertPool
	keys  io.Writer // the keyboard of the terminal
	said  *printed
}

// printed is what a command prints while it runs.
type printed struct {
	mu   sync.Mutex
	text bytes.Buffer
}

func (p *printed) Write(b []byte) (int, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.text.Write(b)
}

func (p *printed) String() string {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.text.String()
}

// networkHost is where tests listen for the network.
const networkHost = "127.0.0.2"

// serveOpen serves a page that is open to the network.
func serveOpen(t testing.TB, args ...string) *opened {
	t.Helper()
	free, err := net.Listen("tcp", networkHost+":0")
	if err != nil {
		t.Skip("this machine does not answer at " + networkHost)
	}
	_, port, _ := net.SplitHostPort(free.Addr().String())
	free.Close()
	s := &opened{served: newServed(t, "")}
	s.open(append([]string{"--network", networkHost, "--port", port}, args...)...)
	t.Cleanup(s.end)
	return s
}

// open runs `netlore bench` with a terminal until end.
func (s *opened) open(args ...string) {
	s.t.Helper()
	ctx, stop := context.WithCancel(context.Background())
	in, keys := io.Pipe()
	s.keys, s.said = keys, &printed{}
	ended := make(chan int, 1)
	e := env(s.said)
	e.In, e.InTerminal = in, true
	go func() { ended <- cli.Run(ctx, e, append([]string{"--base", s.base, "bench"}, args...)) }()
	s.stop, s.ended = stop, ended
	s.door = s.hear(`http://127\.\S+`)
	s.root = strings.TrimSuffix(s.door[:strings.Index(s.door, "/enter")], "/")
	s.there = strings.TrimSuffix(s.hear(`https://\S+`), "/")
	s.hear(`(?m)^Enter makes a code`)
	text, err := os.ReadFile(s.base + "-page/certificate.pem")
	if s.roots = x509.NewCertPool(); err != nil || !s.roots.AppendCertsFromPEM(text) {
		s.t.Fatalf("the certificate cannot be read: %v", err)
	}
}

// hear waits for what is printed, and returns the last that fits.
func (s *opened) hear(pattern string) string {
	s.t.Helper()
	looked := regexp.MustCompile(pattern)
	for until := time.Now().Add(patience); time.Now().Before(until); time.Sleep(10 * time.Millisecond) {
		if all := looked.FindAllString(s.said.String(), -1); len(all) > 0 {
			return all[len(all)-1]
		}
	}
	s.t.Fatalf("%q was not printed but\n%s", pattern, s.said)
	return ""
}

// code has a code made at the loopback page.
func (s *opened) code(kind string) string {
	s.t.Helper()
	c := s.browser()
	s.post(c, "/devices/code", url.Values{"for": {kind}})
	_, text := s.get(c, "/devices")
	code := regexp.MustCompile(`class="code">(\d{4} \d{4})<`).FindStringSubmatch(text)
	if code == nil {
		s.t.Fatalf("no code is shown:\n%s", text)
	}
	return code[1]
}

// device is a browser in the network that has not been let in. It takes the
// certificate for what it is: the one that was made.
func (s *opened) device() *http.Client {
	jar, _ := cookiejar.New(nil)
	dialing := &http.Transport{TLSClientConfig: &tls.Config{RootCAs: s.roots}, ForceAttemptHTTP2: true}
	s.t.Cleanup(dialing.CloseIdleConnections)
	return &http.Client{Jar: jar, Transport: dialing, Timeout: 20 * time.Second, CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
}

// letIn lets a device in.
func (s *opened) letIn(kind, name string) *http.Client {
	s.t.Helper()
	c := s.device()
	if r, text := s.from(s.there).post(c, "/pair", url.Values{"code": {s.code(kind)}, "name": {name}}); r.StatusCode != http.StatusSeeOther || r.Header.Get("Location") != "/" {
		s.t.Fatalf("the device is not let in: %d %s", r.StatusCode, text)
	}
	return c
}

// from is the page as others call it.
func (s *opened) from(root string) *served {
	one := *s.served
	one.root = root
	return &one
}
