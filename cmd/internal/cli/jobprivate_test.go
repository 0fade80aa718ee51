package cli

import (
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"netlore/testdata/heron"
)

// TestPrivateDetailsStayPrivate fills every private detail of a job with a
// canary, and looks for it in whatever prints something of the base. It is in
// what --private shows, and in nothing else.
func TestPrivateDetailsStayPrivate(t *testing.T) {
	t.Chdir(t.TempDir())
	const canary = "canary-7781"
	run := func(stdin string, args ...string) string {
		t.Helper()
		code, out, complaints := command(t, stdin, append([]string{"--base", "base"}, args...)...)
		if code != exitOK && code != exitFound {
			t.Errorf("%q: exit code %d: %s", args, code, complaints)
		}
		return out + complaints
	}
	if err := os.CopyFS("heron", heron.Sheets); err != nil {
		t.Fatal(err)
	}
	run("", "add", "heron")
	seen := run("", "job", "open", "9", "dead", "--customer", canary+"-1", "--serial", canary+"-2", "--private-remark", canary+"-3")
	seen += run("", "job", "private", "9", "--serial", canary+"-4")
	shown := run("", "job", "show", "9", "--private") + run("", "--json", "job", "show", "9", "--private")
	for _, n := range []string{"-1", "-3", "-4"} {
		if strings.Count(shown, canary+n) != 2 {
			t.Errorf("--private does not show %s twice:\n%s", canary+n, shown)
		}
	}
	if strings.Contains(shown, canary+"-2") {
		t.Error("what was replaced is still there")
	}
	for _, args := range [][]string{
		{"job"}, {"job", "show", "9"}, {"job", "log", "9", "separated"}, {"job", "log", "9", "hot lower:C4103"}, {"job", "undo", "9"},
		{"job", "close", "9", "--outcome", "returned"}, {"job", "reopen", "9"},
		{"history", "job", "9"}, {"history", "Heron"}, {"show", "Heron"}, {"boards"}, {"export", "job", "9"}, {"export", "Heron"}, {"verify"}, {"report", "9"}, {"report", "9", "--as", "html", "--notes"},
		{"ask", "jobs"}, {"ask", "observations"}, {"ask", "jobs show name, device, symptom, remark, author"}, {"ask", "notes"}, {"ask", "why 9 in (jobs)"},
		{"__complete", "job", "show", ""}, {"__complete", "job", "log", "9", "hot "},
		{"export", "--to", "out"},
	} {
		seen += run("", args...)
		if args[0] != "__complete" && !strings.Contains(strings.Join(args, " "), "--to") && args[0] != "job" {
			seen += run("", append([]string{"--json"}, args...)...)
		}
	}
	seen += run("", "--json", "job") + run("", "--json", "job", "show", "9")
	files, err := os.ReadDir("out")
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range files {
		text, err := os.ReadFile("out/" + f.Name())
		if err != nil {
			t.Fatal(err)
		}
		seen += string(text)
	}
	if at := strings.Index(seen, canary); at >= 0 {
		t.Errorf("a private detail is seen: …%s", seen[max(0, at-200):at+len(canary)])
	}
	if !strings.Contains(seen, "job 9 of Heron") || !strings.Contains(seen, "separated") {
		t.Error("nothing of the job was seen at all")
	}
	if run("", "remove", "job", "9"); strings.Contains(run("", "history", "job", "9"), canary) {
		t.Error("after the job is removed, its history tells")
	}
}

// TestWhoReadsPrivateDetails looks through all of the program for what reads
// private details of jobs: the command that shows them, and the one that changes
// them. The language server, questions and reports do not.
func TestWhoReadsPrivateDetails(t *testing.T) {
	may := map[string]bool{"cmd/internal/cli/jobshow.go": true, "cmd/internal/cli/jobprivate.go": true}
	root := filepath.Join("..", "..", "..")
	found := 0
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || filepath.Ext(path) != ".go" || strings.HasSuffix(path, "_test.go") {
			return err
		}
		text, err := os.ReadFile(path)
		name, _ := filepath.Rel(root, path)
		name = filepath.ToSlash(name)
		if strings.Contains(string(text), ".Private(") && !strings.HasPrefix(name, "store/") {
			if found++; !may[name] {
				t.Errorf("%s reads private details of jobs", name)
			}
		}
		return err
	})
	if err != nil || found != len(may) {
		t.Errorf("%d files read private details, want %d; %v", found, len(may), err)
	}
}
