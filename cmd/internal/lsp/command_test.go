package lsp_test

import (
	"bufio"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

// built is the command as users have it.
var built = sync.OnceValues(func() (string, error) {
	binary := filepath.Join(scratch, "netlore")
	out, err := exec.Command("go", "build", "-o", binary, "netlore/cmd/netlore").CombinedOutput()
	if err != nil {
		err = fmt.Errorf("%w\n%s", err, out)
	}
	return binary, err
})

// scratch is a folder for what several tests use.
var scratch string

func TestMain(m *testing.M) {
	var err error
	if scratch, err = os.MkdirTemp("", "netlore-lsp"); err != nil {
		panic(err)
	}
	code := m.Run()
	os.RemoveAll(scratch)
	os.Exit(code)
}

func build(t *testing.T) string {
	t.Helper()
	binary, err := built()
	if err != nil {
		t.Fatal(err)
	}
	return binary
}

// run starts the command with a base of its own.
func run(t *testing.T, binary, base string, args ...string) (*client, *exec.Cmd) {
	t.Helper()
	cmd := exec.Command(binary, append([]string{"--base", base}, args...)...)
	in, err := cmd.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { cmd.Process.Kill() })
	return &client{t: t, out: in, in: bufio.NewReader(out)}, cmd
}

// exitCode waits for the command to end.
func exitCode(t *testing.T, cmd *exec.Cmd) int {
	t.Helper()
	stop := time.AfterFunc(20*time.Second, func() { cmd.Process.Kill() })
	defer stop.Stop()
	var exit *exec.ExitError
	if err := cmd.Wait(); err != nil && !errors.As(err, &exit) {
		t.Fatal(err)
	}
	return cmd.ProcessState.ExitCode()
}

// TestCommand is an evening at the bench with the command itself: a sheet of the
// demonstration radio is opened, a reading is added, a slip is mended, a net
// gets another name, and the knowledge base is asked in between.
func TestCommand(t *testing.T) {
	binary := build(t)
	base, work := filepath.Join(t.TempDir(), "base"), t.TempDir()
	if err := os.CopyFS(work, os.DirFS("../../../testdata/heron")); err != nil {
		t.Fatal(err)
	}
	if out, err := exec.Command(binary, "--base", base, "add", work).CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	uri := "file://" + filepath.ToSlash(filepath.Join(work, "heron-b-readings.lore"))

	// Initialize Request, Initialized Notification
	c, cmd := run(t, binary, base, "language-server", "--stdio")
	c.ask("initialize", `{"processId":1,"clientInfo":{"name":"bench"},"rootUri":null,"capabilities":`+modern+`}`)
	c.tell("initialized", `{}`)

	// DidOpenTextDocument, PublishDiagnostics
	text := heron(t, "heron-b-readings.lore")
	c.open(uri, text)
	if got := c.complaints(uri, 1); len(got) != 0 {
		t.Error(shown(got))
	}

	// DidChangeTextDocument: a line typed at the end, with a slip
	last := strings.Count(text, "\n")
	typed := "reading diode pad P11 0.012v by bench-2\n"
	c.tell("textDocument/didChange", toJSON(map[string]any{"textDocument": map[string]any{"uri": uri, "version": 2}, "contentChanges": []any{
		map[string]any{"range": span{spot{last, 0}, spot{last, 0}}, "text": typed}}}))
	text += typed
	if d := cmp.Diff([]string{"S206"}, codes(c.complaints(uri, 2))); d != "" {
		t.Error(d)
	}

	// Completion Request, in the middle of the line that cannot be read
	got := fromJSON[suggestions](t, c.ask("textDocument/completion", at(t, uri, text, "reading diode pad P1")))
	if len(got.Items) != 44 || got.Items[0].Label != "P1" || got.Items[2].Label != "P11" {
		t.Errorf("%d pads start with P1, the first of them %+v", len(got.Items), got.Items[:min(3, len(got.Items))])
	}

	// Code Action Request
	actions := fromJSON[[]struct {
		Title string
		Edit  struct{ DocumentChanges []struct{ Edits []wireEdit } }
	}](t, c.ask("textDocument/codeAction", toJSON(map[string]any{"textDocument": map[string]any{"uri": uri},
		"range": span{spot{last, 0}, spot{last, 30}}, "context": map[string]any{"diagnostics": []any{}, "only": []string{"quickfix"}}})))
	if len(actions) != 1 || actions[0].Title != "write 12mV for 0.012v" {
		t.Fatalf("%+v", actions)
	}
	text = applied(text, actions[0].Edit.DocumentChanges[0].Edits)
	c.tell("textDocument/didChange", toJSON(map[string]any{"textDocument": map[string]any{"uri": uri, "version": 3}, "contentChanges": []any{map[string]any{"text": text}}}))
	if got := c.complaints(uri, 3); len(got) != 0 {
		t.Error(shown(got))
	}

	// Hover Request: the sheets of the folder, the stack and the base
	said := hovered(c, at(t, uri, text, "reading diode pad P11"))
	for _, want := range []string{"pad P11\non VMAIN\n", "joined to upper:P11\n", "expected diode 0.431V ±8% by bench-1", "read diode 12mV by bench-2"} {
		if !strings.Contains(said, want) {
			t.Errorf("%q is not in:\n%s", want, said)
		}
	}
	if strings.Contains(said, "could not be asked") {
		t.Error(said)
	}

	// Goto Definition, Find References, over files that are not open
	if got := placesText(t, c.ask("textDocument/definition", at(t, uri, text, "expect diode CARD_CL"))); got != "heron-b 421:4-421:12" {
		t.Error(got)
	}

	// Rename Request
	m := c.call("textDocument/rename", strings.TrimSuffix(at(t, uri, text, "expect diode CARD_CL"), "}")+`,"newName":"SD_CLK"}`)
	if m.Error != nil || strings.Count(string(m.Result), `"SD_CLK"`) < 3 || strings.Count(string(m.Result), `"uri"`) != 2 {
		t.Errorf("%s %+v", m.Result, m.Error)
	}

	// Document Formatting Request: what was typed at the end goes to its place
	if edits := fromJSON[[]wireEdit](t, c.ask("textDocument/formatting", `{"textDocument":{"uri":"`+uri+`"},"options":{"tabSize":2,"insertSpaces":true}}`)); len(edits) != 2 {
		t.Errorf("%+v", edits)
	}

	// Document Symbols Request, Folding Range Request
	if all := fromJSON[symbols](t, c.ask("textDocument/documentSymbol", `{"textDocument":{"uri":"`+uri+`"}}`)); len(all) < 100 {
		t.Error(len(all))
	}
	if got := string(c.ask("textDocument/foldingRange", `{"textDocument":{"uri":"`+uri+`"}}`)); !strings.Contains(got, "region") {
		t.Error(got)
	}

	// The base is free in between: another process writes to it.
	if out, err := exec.Command(binary, "--base", base, "--wait", "0s", "remove", "Heron").CombinedOutput(); err != nil {
		t.Errorf("%v\n%s", err, out)
	}

	// An unknown request, Shutdown Request, Exit Notification
	if m := c.call("workspace/nothing", `{}`); m.Error == nil || m.Error.Code != methodNotFound {
		t.Errorf("%+v", m)
	}
	c.ask("shutdown", "null")
	c.tell("exit", "null")
	if code := exitCode(t, cmd); code != 0 {
		t.Errorf("exit code %d", code)
	}
}

func codes(all []complaint) (codes []string) {
	for _, d := range all {
		codes = append(codes, d.Code)
	}
	return codes
}

// TestExitCodes ends the command in each way (section Exit Notification): 0
// after shutdown, 1 otherwise.
func TestExitCodes(t *testing.T) {
	binary := build(t)
	for name, test := range map[string]struct {
		end  func(c *client)
		code int
	}{
		"shutdown and exit": {func(c *client) { c.ask("shutdown", "null"); c.tell("exit", "null") }, 0},
		"shutdown and end":  {func(c *client) { c.ask("shutdown", "null"); c.out.Close() }, 0},
		"exit":              {func(c *client) { c.tell("exit", "null") }, 1},
		"end":               {func(c *client) { c.out.Close() }, 1},
		"no frames":         {func(c *client) { c.raw("{}\n{}\n"); c.out.Close() }, 4},
	} {
		t.Run(name, func(t *testing.T) {
			c, cmd := run(t, binary, t.TempDir(), "language-server")
			c.ask("initialize", `{"capabilities":{}}`)
			test.end(c)
			if code := exitCode(t, cmd); code != test.code {
				t.Errorf("exit code %d, not %d", code, test.code)
			}
		})
	}
}
