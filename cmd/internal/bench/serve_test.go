package bench_test

import (
	"bufio"
	"bytes"
	"context"
	"io"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"netlore/cmd/internal/cli"
)

// served is the page as `netlore bench` serves it, with a base of its own.
type served struct {
	t     testing.TB
	base  string
	door  string // the address that was printed
	root  string // without a slash at its end
	stop  func()
	ended chan int
}

// command runs a command on a base, and returns its exit code and output.
func command(t testing.TB, base string, args ...string) (int, string) {
	t.Helper()
	var out bytes.Buffer
	code := cli.Run(context.Background(), env(&out), append([]string{"--base", base}, args...))
	return code, out.String()
}

func env(out io.Writer) cli.Env {
	getenv := func(name string) string {
		if name == "NETLORE_AUTHOR" {
			return "bench-1"
		}
		return ""
	}
	return cli.Env{In: strings.NewReader(""), Out: out, Err: out, Getenv: getenv, Now: time.Now}
}

// serve serves a page of the Heron, or of a sheet if one is given.
func serve(t testing.TB, sheet string) *served {
	t.Helper()
	s := newServed(t, sheet)
	s.start()
	t.Cleanup(s.end)
	return s
}

// newServed is a page that is not served yet.
func newServed(t testing.TB, sheet string) *served {
	t.Helper()
	dir := t.TempDir()
	from := filepath.Join("..", "..", "..", "testdata", "heron")
	if sheet != "" {
		from = filepath.Join(dir, "board.lore")
		if err := os.WriteFile(from, []byte(sheet), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	s := &served{t: t, base: filepath.Join(dir, "base")}
	if code, out := command(t, s.base, "add", from); code != 0 {
		t.Fatal(out)
	}
	return s
}

// start runs `netlore bench` until end, and reads the address that it prints.
func (s *served) start(args ...string) {
	ctx, stop := context.WithCancel(context.Background())
	in, out := io.Pipe()
	ended := make(chan int, 1)
	go func() {
		ended <- cli.Run(ctx, env(out), append([]string{"--base", s.base, "bench"}, args...))
		out.Close()
	}()
	s.heard(in, stop, ended)
}

// childArgs makes this test a process that runs `netlore bench` with what it holds.
const childArgs = "NETLORE_BENCH_CHILD"

func TestMain(m *testing.M) {
	if args := os.Getenv(childArgs); args != "" {
		os.Exit(cli.Run(context.Background(), env(os.Stdout), strings.Split(args, "\n")))
	}
	os.Exit(m.Run())
}

// startProcess runs `netlore bench` as a process of its own, which the end kills: it
// has no time to finish anything.
func (s *served) startProcess() {
	child := exec.Command(os.Args[0])
	child.Env = append(os.Environ(), childArgs+"=--base\n"+s.base+"\nbench")
	out, err := child.StdoutPipe()
	if err == nil {
		err = child.Start()
	}
	if err != nil {
		s.t.Fatal(err)
	}
	ended := make(chan int, 1)
	s.heard(out, func() {
		_ = child.Process.Kill() // it may have ended, which is seen
		_ = child.Wait()
		ended <- child.ProcessState.ExitCode()
	}, ended)
}

// heard reads the address that is printed.
func (s *served) heard(in io.Reader, stop func(), ended chan int) {
	lines := bufio.NewScanner(in)
	for s.door = ""; s.door == "" && lines.Scan(); {
		s.door = regexp.MustCompile(`http://\S+`).FindString(lines.Text())
	}
	go io.Copy(io.Discard, in)
	at, err := url.Parse(s.door)
	if err != nil || s.door == "" {
		s.t.Fatalf("no address was printed: %v", err)
	}
	s.root, s.stop, s.ended = "http://"+at.Host, stop, ended
}

func (s *served) end() {
	s.stop()
	select {
	case <-s.ended:
	case <-time.After(10 * time.Second):
		s.t.Error("the page did not stop")
	}
	s.stop, s.ended = func() {}, closedCodes
}

var closedCodes = sync.OnceValue(func() chan int { c := make(chan int); close(c); return c })()

// secret is what the printed address holds.
func (s *served) secret() string {
	at, _ := url.Parse(s.door)
	return at.Query().Get("secret")
}

// browser is a client that has come in by the door. It follows no redirection.
func (s *served) browser() *http.Client {
	s.t.Helper()
	jar, _ := cookiejar.New(nil)
	c := &http.Client{Jar: jar, Timeout: 20 * time.Second, CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
	r, err := c.PostForm(s.root+"/enter", url.Values{"secret": {s.secret()}})
	if err != nil || r.StatusCode != http.StatusSeeOther {
		s.t.Fatalf("the door stays shut: %v %v", r, err)
	}
	r.Body.Close()
	return c
}

// get asks for a page.
func (s *served) get(c *http.Client, path string) (int, string) {
	s.t.Helper()
	r, err := c.Get(s.root + path)
	if err != nil {
		s.t.Fatal(err)
	}
	return body(s.t, r)
}

// post sends a form.
func (s *served) post(c *http.Client, path string, form url.Values) (*http.Response, string) {
	s.t.Helper()
	r, err := c.PostForm(s.root+path, form)
	if err != nil {
		s.t.Fatal(err)
	}
	_, text := body(s.t, r)
	return r, text
}

func body(t testing.TB, r *http.Response) (int, string) {
	t.Helper()
	defer r.Body.Close()
	text, err := io.ReadAll(r.Body)
	if err != nil {
		t.Fatal(err)
	}
	return r.StatusCode, string(text)
}

// steps are the steps of the demonstration's job, as the command tells them.
func (s *served) steps() string {
	s.t.Helper()
	code, out := command(s.t, s.base, "job", "show", "1042")
	if code != 0 {
		s.t.Fatal(out)
	}
	return out
}
