//go:build unix

package cli

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"netlore/cmd/internal/scpi/scpitest"
)

// reads starts netlore read at a terminal, on the Heron's job.
func reads(t *testing.T, dir string, args ...string) *terminal {
	t.Helper()
	cmd := exec.Command("netlore", append([]string{"--base", "base", "read", "--job", "1042"}, args...)...)
	cmd.Dir, cmd.Env = dir, append(os.Environ(), "HOME="+dir, "NO_COLOR=1")
	return startAt(t, cmd)
}

// ends wants the process to end with an exit code.
func (s *terminal) ends(code int) {
	s.t.Helper()
	select {
	case <-s.ended:
		if got := s.cmd.ProcessState.ExitCode(); got != code {
			s.t.Errorf("exit code %d, want %d; the screen shows\n%s", got, code, s.lines())
		}
	case <-time.After(20 * time.Second):
		s.t.Fatalf("it does not end; the screen shows\n%s", s.lines())
	}
}

// A person goes along a list: the place stands alone, with what is known of it,
// what is expected and how far it is; the verdict comes at once.
func TestReadAtATerminal(t *testing.T) {
	s := reads(t, heronBase(t), "pads on lower:VMAIN first 3")
	s.sees("\n\n    lower:P11\n\n    net lower:VMAIN  top side  x 17.66 mm  y 34.88 mm  group IP1\n    expected 0.431V ±8% by bench-1\n\n    0 of 3\n\n    diode V>")
	s.types(".\r")
	s.sees("\n    1042.7  lower:P11  0.431V: matching, just the expected 0.431V ±8% by bench-1\n\n\n    lower:P12\n")
	s.sees("\n    nothing is expected here\n\n    1 of 3\n\n    diode V>")
	s.types("412\r")
	s.sees("this cannot be: 412V")
	s.sees("type 412mV")
	s.types("s\r")
	s.sees("\n    lower:P13\n")
	s.sees("\n    1 of 3, 1 skipped\n")
	s.types("u\r")
	s.sees("\n    1042.7 taken back\n\n\n    lower:P11\n")
	s.types("4mV\r")
	s.sees("\n    1042.7  lower:P11  4mV: shorted, 0.427V below the expected 0.431V ±8% by bench-1\n")
	s.sees("\n    1 of 3, 1 shorted, 1 skipped\n")
	s.types("OL\r")
	s.sees("lower:P12  open")
	s.types("0.4\r")
	s.sees("3 readings saved in job 1042, 1 shorted")
	s.ends(exitUsage) // one line was wrong
}

// While a person thinks, another process writes into the same job. Nothing is
// overwritten, and what is not the last step any more is not taken back.
func TestReadBesideAnother(t *testing.T) {
	dir := heronBase(t)
	other := func(step string) {
		t.Helper()
		if code, _, complaints := command(t, "", "--base", filepath.Join(dir, "base"), "job", "log", "1042", step); code != exitOK {
			t.Fatal(complaints)
		}
	}
	s := reads(t, dir, "pads on lower:VMAIN first 3")
	s.sees("diode V>")
	other("joined")
	s.types(".\r")
	s.sees("1042.8  lower:P11")
	other("separated")
	s.types("u\r")
	s.sees("step 8 is not the last of the job any more, so it was not taken back")
	s.types("OL\r")
	s.sees("1042.10  lower:P12  open")
	s.types("\x04")
	s.sees("1 of the list left: from lower:P13 on")
	s.ends(exitUsage)
	_, text, _ := command(t, "", "--base", filepath.Join(dir, "base"), "export", "job", "1042")
	for _, step := range []string{"7 joined", "8 reading diode pad lower:P11 0.431V", "9 separated", "10 reading diode pad lower:P12 open"} {
		if !strings.Contains(text, "\n  "+step) {
			t.Errorf("%s is not there:\n%s", step, text)
		}
	}
}

// A meter is unplugged between two pads and put back; then it is gone for good.
// What was taken is in the base.
func TestReadFromAMeterUnplugged(t *testing.T) {
	m, err := scpitest.StartMeter()
	if err != nil {
		t.Fatal(err)
	}
	defer m.Close()
	lifted, touched := series([]string{"+9.9E37*3"}), series([]string{"+4.12E-01*30"})
	m.Reads("DIOD", append(lifted, touched...)...)
	dir := heronBase(t)
	s := reads(t, dir, "--live", m.Address(), "pads on upper:VMAIN first 3")
	s.sees("1042.7  upper:P11  0.412V: matching")
	s.sees("\n    1 of 3\n")
	m.Unplug()
	m.Reads("DIOD", append(lifted, series([]string{"+4.13E-01*60"})...)...)
	if err := m.Plug(); err != nil {
		t.Fatal(err)
	}
	s.sees("\nthe meter at " + m.Address() + " closed the connection; connected again\n")
	s.sees("1042.8  upper:P12  0.413V: matching")
	m.Unplug()
	s.sees("2 readings saved in job 1042")
	s.ends(exitInstrument)
	_, text, _ := command(t, "", "--base", filepath.Join(dir, "base"), "export", "job", "1042")
	if !strings.Contains(text, "\n  8 reading diode pad upper:P12 0.413V red-on-ground") {
		t.Errorf("what was taken is not there:\n%s", text)
	}
}
