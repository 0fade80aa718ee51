package cli

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"testing"
)

// peakFile names, in the environment, the file to which a command of a test writes how
// much memory it had.
const peakFile = "NETLORE_TEST_PEAK"

// tellPeak writes the most memory that this process had, in KiB (VmHWM of proc(5)), if
// it was asked to and the system tells.
func tellPeak() {
	to := os.Getenv(peakFile)
	if to == "" {
		return
	}
	status, _ := os.ReadFile("/proc/self/status")
	for line := range bytes.Lines(status) {
		if words := bytes.Fields(line); len(words) == 3 && string(words[0]) == "VmHWM:" {
			os.WriteFile(to, words[1], 0o600)
		}
	}
}

// peakOf has a command of this test, which is not started yet, tell the most memory that
// it has, in MB. It is 0 where the system does not tell. What nobody needs any more is
// collected early, so that this is what the command needs and not how busy the machine is.
func peakOf(t *testing.T, cmd *exec.Cmd) func() float64 {
	t.Helper()
	to := filepath.Join(t.TempDir(), "peak")
	cmd.Env = append(cmd.Environ(), peakFile+"="+to, "GOMEMLIMIT=28MiB")
	return func() float64 {
		t.Helper()
		said, err := os.ReadFile(to)
		if _, none := os.Stat("/proc/self/status"); none != nil {
			t.Log("this system does not tell what memory a process had")
			return 0
		}
		kib, bad := strconv.Atoi(string(said))
		if err != nil || bad != nil {
			t.Errorf("the command has not told what memory it had: %v, %v", err, bad)
		}
		return float64(kib) * 1024 / 1e6
	}
}
