package cli

import (
	"encoding/json"
	"flag"
	"os"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

var update = flag.Bool("update", false, "rewrite the expected output in the archives")

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"netlore": func() {
		code := Main()
		tellPeak()
		os.Exit(code)
	}})
}

// TestCommands plays the whole-command archives: files, commands and what they
// print, in one text each.
func TestCommands(t *testing.T) {
	leaveToPlainRun(t)
	testscript.Run(t, testscript.Params{
		Dir:                 "../../../testdata/cli",
		UpdateScripts:       *update,
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		Cmds: map[string]func(*testscript.TestScript, bool, []string){"json": isJSON, "bench": benchCommand,
			"trust": trustShop, "change": changePack, "cut": cutPack, "mailbox": mailboxCommand, "shoot": shootBoard},
		Setup: func(env *testscript.Env) error {
			for name, value := range map[string]string{
				"HOME": env.WorkDir, "XDG_DATA_HOME": env.WorkDir + "/data", "NO_COLOR": "1",
				"NETLORE_AUTHOR": "bench-1", "NETLORE_NOW": "2026-03-16T09:00:00Z", "COLUMNS": "120", "TZ": "UTC",
			} {
				env.Setenv(name, value)
			}
			return os.CopyFS(env.WorkDir+"/heron", os.DirFS("../../../testdata/heron"))
		},
	})
}

// leaveToPlainRun leaves a test that starts hundreds of processes one after the
// other to the run without the race detector, under which each takes half a second
// to start. Without -short it runs under it, too.
func leaveToPlainRun(t *testing.T) {
	t.Helper()
	if raced && testing.Short() {
		t.Skip("many processes, each slow to start under the race detector: the plain run has them")
	}
}

// isJSON is the script command `json stdout` or `json stderr`: what was printed
// is one JSON object a line, and at least one.
func isJSON(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 1 {
		ts.Fatalf("usage: json stdout|stderr")
	}
	lines := 0
	for line := range strings.Lines(ts.ReadFile(args[0])) {
		var object map[string]any
		if err := json.Unmarshal([]byte(line), &object); err != nil {
			ts.Fatalf("no JSON object: %s", line)
		}
		lines++
	}
	if lines == 0 {
		ts.Fatalf("nothing was printed")
	}
}
