package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path"
	"slices"
	"strings"
	"testing"
)

const module = "netlore"

// stages are the steps of a question in the order of the data. A stage may use
// the ones before it.
var stages = []string{"query/diag", "query/value", "query/readings", "query/words", "query/syntax", "query/check", "query/plan", "query/trace", "query/run"}

// soleUsers says which package alone may use a library.
var soleUsers = map[string]string{
	"github.com/alecthomas/participle/v2": "query/syntax",
	"github.com/dgraph-io/badger/v4":      "store",
	"github.com/hiddeco/sshsig":           "store/exchange",
	"golang.org/x/crypto":                 "store/exchange",
	"github.com/spf13/cobra":              "cmd/",
	"github.com/nats-io/nats.go":          "store/exchange/link",
	"github.com/nats-io/nats-server/v2":   "tests",              // the engine is a program of its own
	"net/http":                            "cmd/internal/bench", // no other part answers or asks over the web
}

type listed struct {
	ImportPath   string
	Standard     bool
	Imports      []string
	TestImports  []string
	XTestImports []string
	Deps         []string
}

// TestLayers holds the packages to the order in which data flows: command,
// then questions, store and importers, then the domain.
func TestLayers(t *testing.T) {
	for _, p := range packages(t) {
		from := short(p.ImportPath)
		for _, to := range p.Imports {
			if why := forbidden(from, to); why != "" {
				t.Errorf("%s imports %s: %s", from, to, why)
			}
		}
		if strings.HasPrefix(from, "query") && slices.ContainsFunc(p.Deps, func(d string) bool { return strings.Contains(d, "badger") }) {
			t.Errorf("%s reaches the storage library", from)
		}
	}
}

// TestLayersCatchViolations proves that the rules can fail.
func TestLayersCatchViolations(t *testing.T) {
	for _, c := range [][2]string{
		{"store/board", "github.com/google/go-cmp/cmp"},
		{"store/board", "netlore/query/diag"},
		{"query/diag", "netlore/store/board"},
		{"importers/table", "netlore/store"},
		{"importers", "netlore/query"},
		{"query/check", "netlore/query/run"},
		{"query/syntax", "netlore/query/check"},
		{"query/run", "netlore/store"},
		{"query/trace", "netlore/query/check"},
		{"query/plan", "netlore/query/trace"},
		{"query/ring", "netlore/store/board"},
		{"query/align", "netlore/store/board"},
		{"store/exchange", "netlore/store/photo"},
		{"store/exchange/mirror", "netlore/store/photo"},
		{"store/photo", "netlore/store"},
		{"query/isolate/sequence", "netlore/store/board"},
		{"query/isolate", "netlore/query/run"},
		{"query/isolate/play", "netlore/query/run"},
		{"query/run", "netlore/cmd/trial"},
		{"query/plan", "netlore/query/isolate"},
		{"query/isolate", "netlore/store"},
		{"query/copper", "netlore/query/trace"},
		{"query/draw", "netlore/query/run"},
		{"query/run", "netlore/query/draw"},
		{"store", "netlore/query"},
		{"store/sheet", "netlore/store"},
		{"store/exchange", "netlore/store"},
		{"store/exchange", "netlore/store/exchange/mirror"},
		{"store/exchange/mirror", "netlore/store"},
		{"query/run", "netlore/store/exchange"},
		{"store", "netlore/store/exchange/link"},
		{"store/exchange", "github.com/nats-io/nats.go"},
		{"store/exchange/link", "netlore/store/sheet"},
		{"store/exchange/link", "github.com/nats-io/nats-server/v2/server"},
		{"query", "github.com/dgraph-io/badger/v4"},
		{"query/check", "github.com/alecthomas/participle/v2"},
		{"store", "github.com/spf13/cobra"},
		{"store", "netlore/cmd/internal/cli"},
		{"cmd/internal/scpi", "netlore/store/board"},
		{"cmd/internal/scpi/meter", "netlore/cmd/internal/cli"},
		{"cmd/internal/lsp", "netlore/cmd/internal/scpi/meter"},
		{"store", "net/http"},
		{"cmd/internal/cli", "net/http"},
	} {
		if forbidden(c[0], c[1]) == "" {
			t.Errorf("%s may import %s", c[0], c[1])
		}
	}
}

// forbidden says why a package may not import another, or "".
func forbidden(from, to string) string {
	ours := to == module || strings.HasPrefix(to, module+"/")
	switch {
	case !ours:
		return forbiddenLibrary(from, to)
	case strings.HasPrefix(short(to), "cmd/"):
		return forbiddenCommand(from, short(to))
	case strings.HasPrefix(from, "cmd/internal/scpi") && short(to) != "query/diag":
		return "instruments know numbers and complaints only"
	case strings.HasPrefix(from, "cmd/"):
		return ""
	}
	if !slices.ContainsFunc(allowed(from), func(a string) bool { return matches(a, short(to)) }) {
		return "only " + strings.Join(allowed(from), ", ") + " may be imported there"
	}
	return ""
}

// forbiddenCommand is forbidden for a package of the command.
func forbiddenCommand(from, to string) string {
	instruments := strings.HasPrefix(from, "cmd/internal/scpi")
	switch {
	case !strings.HasPrefix(from, "cmd/"):
		return "nothing below the command may know it"
	case instruments != strings.HasPrefix(to, "cmd/internal/scpi") && (instruments || from != "cmd/internal/cli"):
		return "instruments stand alone, and only cmd/internal/cli uses them"
	}
	return ""
}

func forbiddenLibrary(from, to string) string {
	if from == "store/board" && strings.Contains(to, ".") {
		return "the domain imports the standard library only"
	}
	for library, user := range soleUsers {
		if (to == library || strings.HasPrefix(to, library+"/")) && from != user && !(strings.HasSuffix(user, "/") && strings.HasPrefix(from, user)) {
			return "only " + user + " may use it"
		}
	}
	return ""
}

// allowed lists what of ours a package may import; "x/..." is x and below.
func allowed(from string) []string {
	switch {
	case from == "store/board", from == "query/diag", from == "query/ring", from == "query/isolate/sequence", from == "query/isolate/inject":
		return nil
	case from == "query/align", from == "store/photo":
		return []string{"query/diag"}
	case from == "query/isolate", from == "query/isolate/play":
		return []string{"query/isolate/...", "query/trace", "store/board"}
	case from == "query/trace", from == "query/copper", from == "query/draw":
		return []string{"store/board"}
	case from == "store/sheet":
		return []string{"store/board", "query/diag"}
	case from == "store/exchange": // it cannot name what is private of a job, which is a type of the store
		return []string{"store/board", "store/sheet", "query/diag"}
	case from == "store/exchange/mirror": // nor can this
		return []string{"store/exchange", "store/board", "store/sheet", "query/diag"}
	case from == "store/exchange/link":
		return []string{"store", "store/exchange", "query/diag"}
	case from == "store": // carriers know the base, and it does not know them
		return []string{"store/board", "store/sheet", "store/exchange", "store/photo", "query/diag"}
	case strings.HasPrefix(from, "store/"):
		return []string{"store/...", "query/diag"}
	case from == "importers" || strings.HasPrefix(from, "importers/"):
		return []string{"importers/...", "store/board", "query/diag"}
	case from == "query":
		return []string{"query/...", "store/board"}
	case from == "query/run":
		return append([]string{"store/board", "query/isolate/...", "query/copper"}, stages[:len(stages)-1]...)
	case slices.Contains(stages, from):
		return append([]string{"store/board"}, stages[:slices.Index(stages, from)]...)
	}
	return nil
}

func matches(rule, pkg string) bool {
	base, below := strings.CutSuffix(rule, "/...")
	return pkg == base || below && strings.HasPrefix(pkg, base+"/")
}

// TestTopLevel keeps the way in short: five folders and four files.
func TestTopLevel(t *testing.T) {
	want := []string{"DEVELOPERS.md", "README.md", "cmd", "go.mod", "go.sum", "importers", "query", "store", "testdata"}
	entries, err := os.ReadDir("../..")
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, e := range entries {
		if !strings.HasPrefix(e.Name(), ".") {
			got = append(got, e.Name())
		}
	}
	if !slices.Equal(got, want) {
		t.Errorf("top level holds %v, want %v", got, want)
	}
}

// TestNoDumpingGround refuses packages whose name says nothing.
func TestNoDumpingGround(t *testing.T) {
	for _, p := range packages(t) {
		switch path.Base(p.ImportPath) {
		case "util", "utils", "common", "helpers", "misc", "base":
			t.Errorf("%s: a package is named for what it knows", p.ImportPath)
		}
	}
}

func packages(t *testing.T) []listed {
	t.Helper()
	command := exec.Command("go", "list", "-json=ImportPath,Imports,Deps", module+"/...")
	command.Dir = "../.."
	out, err := command.Output()
	if err != nil {
		t.Fatalf("go list: %v", err)
	}
	var all []listed
	for dec := json.NewDecoder(strings.NewReader(string(out))); ; {
		var p listed
		if err := dec.Decode(&p); errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			t.Fatal(fmt.Errorf("reading go list: %w", err))
		}
		all = append(all, p)
	}
	if len(all) < 10 {
		t.Fatalf("go list named %d packages only", len(all))
	}
	return all
}

func short(importPath string) string { return strings.TrimPrefix(importPath, module+"/") }
