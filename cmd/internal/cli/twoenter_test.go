package cli

import (
	"bytes"
	"fmt"
	"os/exec"
	"strings"
	"sync"
	"testing"
)

// TestTwoEnterAtOnce enters readings into one job with read, and steps with job log,
// in two processes at once. None is lost and none takes the place of another.
func TestTwoEnterAtOnce(t *testing.T) {
	benchWithBase(t)
	if code, _, complaints := command(t, "", "--base", "base", "job", "open", "7", "dead", "--of", "Wren"); code != exitOK {
		t.Fatal(complaints)
	}
	const each = 20
	enter := func(format string, args ...string) {
		var lines strings.Builder
		for i := range each {
			fmt.Fprintf(&lines, format+"\n", i+1)
		}
		var out bytes.Buffer
		cmd := exec.Command("netlore", append([]string{"--base", "base", "--wait", "20s"}, args...)...)
		cmd.Stdin, cmd.Stdout, cmd.Stderr = strings.NewReader(lines.String()), &out, &out
		if err := cmd.Run(); err != nil {
			t.Errorf("%v: %v: %s", args, err, out.String())
		}
	}
	var all sync.WaitGroup
	all.Go(func() { enter("VCC 0.4%02d5V", "read", "--job", "7") })
	all.Go(func() { enter("reading ohms VCC %dohm", "job", "log", "7", "-") })
	all.Wait()
	_, out, _ := command(t, "", "--base", "base", "ask", "--as", "csv", "observations of job 7 show mode, value")
	for i := range each {
		for _, want := range []string{fmt.Sprintf(",diode,0.4%02d5V", i+1), fmt.Sprintf(",ohms,%dohm", i+1)} {
			if n := strings.Count(strings.ReplaceAll(out, "\r", "")+"\n", want+"\n"); n != 1 {
				t.Errorf("%s stands %d times among the steps", want, n)
			}
		}
	}
	if n := strings.Count(out, "\n"); n != 2*each+1 {
		t.Errorf("%d lines, want %d: %s", n, 2*each+1, out)
	}
}
