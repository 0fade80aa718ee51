package bench_test

import (
	"fmt"
	"html"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"runtime"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"
)

// asking is the page of an answer to a question of the demonstration.
func asking(question string) string { return "/ask?" + url.Values{"q": {question}}.Encode() }

// BenchmarkPage answers questions over HTTP, as a browser asks them, each from a base
// that is opened for it. The baselines are the style, which is a page of which
// nothing has to be found, and the same question asked by the command.
func BenchmarkPage(b *testing.B) {
	s := serve(b, "")
	c := s.browser()
	for _, question := range []string{
		"hidden parts on lower:VMAIN", "pads with net in IP1", "branches of VMAIN", "count parts on lower:VMAIN by cover",
		"parts fed only by lower:P11, lower:P12", "suspects in job 1042 with chance above 5%",
	} {
		b.Run("question="+question, func(b *testing.B) { s.fetch(b, c, asking(question)) })
		b.Run("command="+question, func(b *testing.B) {
			for b.Loop() {
				if code, out := command(b, s.base, "ask", question); code != 0 {
					b.Fatal(out)
				}
			}
		})
	}
	b.Run("suspects and next test of a job", func(b *testing.B) { s.fetch(b, c, "/job/1042") })
	b.Run("style", func(b *testing.B) { s.fetch(b, c, "/files/page.css") })
}

// fetch asks for a page over and over.
func (s *served) fetch(b *testing.B, c *http.Client, path string) {
	size := 0
	for b.Loop() {
		code, text := s.get(c, path)
		if size = len(text); code != http.StatusOK {
			b.Fatalf("%s: %d\n%s", path, code, text)
		}
	}
	b.ReportMetric(float64(size), "page-bytes")
}

// TestFirstLoad loads the pages of the demonstration as a browser does that has seen
// none of them, with all that they refer to, plans too.
func TestFirstLoad(t *testing.T) {
	s := serve(t, "")
	c := s.browser()
	refers := regexp.MustCompile(`(?:src="(/[^"]+)"|href="(/files/[^"]+)")`)
	for _, page := range []string{"/", asking("parts on lower:VMAIN"), "/job/1042", "/thing?name=lower:P97&on=Heron"} {
		_, text := s.get(c, page)
		size, files := len(text), 0
		for _, m := range refers.FindAllStringSubmatch(text, -1) {
			at := html.UnescapeString(m[1] + m[2])
			code, file := s.get(c, at)
			if code != http.StatusOK {
				t.Errorf("%s refers to %s: %d", page, at, code)
			}
			size, files = size+len(file), files+1
		}
		t.Logf("%s: %d kB with %d files", page, size/1000, files)
		if most := 300_000; size > most || files < 4 {
			t.Errorf("%s is %d bytes with %d files, want %d bytes at most", page, size, files, most)
		}
	}
}

// TestHeap has ten boards of 5,000 parts looked at at once.
func TestHeap(t *testing.T) {
	if raced {
		t.Skip("the memory of the race detector cannot be told from ours; the tests without it measure")
	}
	s := serve(t, "")
	for i := range 10 {
		s.add(fmt.Sprint("Wren", i), 5000)
	}
	runtime.GC()
	before := heap()
	stop := watchHeap()
	var all sync.WaitGroup
	for i := range 10 {
		c := s.browser()
		all.Go(func() {
			for _, path := range []string{"/ask", "/plan"} {
				code, text := s.get(c, path+"?"+url.Values{"q": {"parts on VMAIN"}, "on": {fmt.Sprintf("Wren%d", i)}}.Encode())
				if code != http.StatusOK || !strings.Contains(text, "C1<") {
					t.Errorf("%s of board %d: %d", path, i, code)
				}
			}
		})
	}
	all.Wait()
	most := stop()
	t.Logf("%d MB of heap at most, %d MB before", most>>20, before>>20)
	if most > 150<<20 {
		t.Errorf("the heap had %d MB", most>>20)
	}
}

// add adds a board like the first one under another name.
func (s *served) add(name string, parts int) {
	s.t.Helper()
	file := filepath.Join(s.t.TempDir(), "board.lore")
	if err := os.WriteFile(file, []byte(strings.Replace(largeBoard(parts), "board Wren", "board "+name, 1)), 0o600); err != nil {
		s.t.Fatal(err)
	}
	if code, out := command(s.t, s.base, "add", file); code != 0 {
		s.t.Fatal(out)
	}
}

func heap() uint64 {
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	return m.HeapAlloc
}

// watchHeap looks at the heap, with what is no longer used of it, until it is
// stopped, and gives the most that it saw.
func watchHeap() (stop func() uint64) {
	var most atomic.Uint64
	end, ended := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(ended)
		for tick := time.NewTicker(2 * time.Millisecond); ; {
			most.Store(max(most.Load(), heap()))
			select {
			case <-tick.C:
			case <-end:
				return
			}
		}
	}()
	return func() uint64 { close(end); <-ended; return most.Load() }
}
