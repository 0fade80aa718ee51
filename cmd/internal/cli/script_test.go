package cli

import (
	"flag"
	"os"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

var update = flag.Bool("update", false, "rewrite the expected output in the archives")

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"netlore": func() { os.Exit(Main()) }})
}

// TestCommands plays the whole-command archives: files, commands and what they
// print, in one text each.
func TestCommands(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:                 "../../../testdata/cli",
		UpdateScripts:       *update,
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		Setup: func(env *testscript.Env) error {
			for name, value := range map[string]string{
				"HOME": env.WorkDir, "XDG_DATA_HOME": env.WorkDir + "/data", "NO_COLOR": "1",
				"NETLORE_AUTHOR": "bench-1", "NETLORE_NOW": "2026-03-16T09:00:00Z", "COLUMNS": "120",
			} {
				env.Setenv(name, value)
			}
			return os.CopyFS(env.WorkDir+"/heron", os.DirFS("../../../testdata/heron"))
		},
	})
}
