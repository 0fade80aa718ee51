package main

import (
	"bytes"
	"flag"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

var update = flag.Bool("update", false, "rewrite what README.md and LANGUAGE.md show with what the commands print")

// TestReadme runs every command that README.md shows, in order, in one folder
// and with one knowledge base, as a reader would, and compares what they print
// with what it shows. With -update the shown output is rewritten instead.
func TestReadme(t *testing.T) { playAll(t, "../../README.md") }

// TestLanguage does the same with the reference of the question language.
func TestLanguage(t *testing.T) { playAll(t, "../../query/LANGUAGE.md") }

func playAll(t *testing.T, file string) {
	t.Helper()
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	shell := newReader(t)
	blocks := strings.Split(string(text), "```console\n")
	if len(blocks) < 5 {
		t.Fatalf("%s shows %d console blocks only", file, len(blocks)-1)
	}
	for i := 1; i < len(blocks); i++ {
		shown, rest, ok := strings.Cut(blocks[i], "```")
		if !ok {
			t.Fatalf("%s has a console block without an end", file)
		}
		played := shell.play(shown)
		if d := cmp.Diff(played, shown); d != "" && !*update {
			t.Errorf("a block of %s is not what is printed (-printed +shown):\n%s", file, d)
		}
		blocks[i] = played + "```" + rest
	}
	shell.compare(string(text))
	if *update {
		if err := os.WriteFile(file, []byte(strings.Join(blocks, "```console\n")), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// pictures are the links to pictures of a text.
var pictures = regexp.MustCompile(`!\[[^]]+\]\(([^)]+)\)`)

// compare compares the plans that a text shows with those of the same name that its
// commands have written. What is no plan is of the page, whose own tests compare it.
func (r *reader) compare(text string) {
	for _, link := range pictures.FindAllStringSubmatch(text, -1) {
		shown := filepath.Join("../..", filepath.FromSlash(link[1]))
		want, err := os.ReadFile(shown)
		if filepath.Ext(shown) == ".svg" {
			drawn, missing := os.ReadFile(filepath.Join(r.dir, filepath.Base(shown)))
			if missing != nil {
				r.t.Errorf("no command draws %s: %v", link[1], missing)
			} else if *update {
				want, err = drawn, os.WriteFile(shown, drawn, 0o644)
			}
			if !bytes.Equal(drawn, want) {
				r.t.Errorf("%s is drawn otherwise; look at it, then run with -update", link[1])
			}
		}
		if err != nil {
			r.t.Error(err)
		}
	}
}

// TestReadmeBegins holds the README to its promise: a first paragraph that
// states the job, then one command that runs it and one that passes the tests.
func TestReadmeBegins(t *testing.T) {
	text, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	first := strings.Index(string(text), "    go run ./cmd/netlore demo\n")
	second := strings.Index(string(text), "    go test ./...\n")
	if first < 0 || second < first {
		t.Error("README.md does not begin with its two commands")
	}
}

// reader is somebody who types the commands of the README into a shell.
type reader struct {
	t   *testing.T
	dir string
	env []string
}

func newReader(t *testing.T) *reader {
	t.Helper()
	dir := t.TempDir()
	bin := filepath.Join(dir, ".bin")
	if out, err := exec.Command("go", "build", "-o", bin+"/netlore", ".").CombinedOutput(); err != nil {
		t.Fatalf("building: %v\n%s", err, out)
	}
	if err := os.CopyFS(filepath.Join(dir, "testdata", "heron"), os.DirFS("../../testdata/heron")); err != nil {
		t.Fatal(err)
	}
	env := append(os.Environ(), "PATH="+bin+":"+os.Getenv("PATH"), "HOME="+dir, "XDG_DATA_HOME="+dir+"/.data",
		"NETLORE_BASE=", "NETLORE_AUTHOR=bench-1", "NETLORE_NOW=2026-03-16T09:00:00Z", "NO_COLOR=1", "COLUMNS=120", "TZ=UTC")
	return &reader{t, dir, env}
}

// play runs the lines of a block that begin with "$ " and returns the block
// with what they print.
func (r *reader) play(block string) string {
	var s strings.Builder
	for line := range strings.Lines(block) {
		command, ok := strings.CutPrefix(line, "$ ")
		if !ok {
			continue
		}
		s.WriteString(line)
		s.WriteString(r.run(strings.TrimSuffix(command, "\n")))
	}
	return s.String()
}

func (r *reader) run(command string) string {
	shell := exec.Command("bash", "-c", command)
	shell.Dir, shell.Env = r.dir, r.env
	var out bytes.Buffer
	shell.Stdout, shell.Stderr = &out, &out
	if err := shell.Run(); err != nil {
		if _, ok := err.(*exec.ExitError); !ok {
			r.t.Fatalf("%s: %v", command, err)
		}
	}
	return strings.ReplaceAll(out.String(), r.dir+"/", "~/")
}
