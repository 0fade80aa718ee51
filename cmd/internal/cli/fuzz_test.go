package cli

import (
	"strings"
	"testing"
	"unicode"
)

// documented are the exit codes that exist.
var documented = map[int]bool{exitOK: true, exitFound: true, exitUsage: true, exitLimit: true, exitInput: true, exitBase: true, exitInUse: true, exitInstrument: true}

// seeds are the contents of the bad files and some good ones.
func seeds(f *testing.F) {
	f.Add(finch)
	f.Add(d356Head + d356Record + "999\n")
	f.Add(placements + "C1,10uF,0402,1,2,top\n")
	f.Add("P  VER   IPC-D-356A\nP  UNITS CUST 1\n327VCC             -1          A01X+002000Y+002000X0500Y0600R000 S0\n999\n")
	for _, c := range badFiles {
		if len(c.content) < 4096 {
			f.Add(c.content)
		}
	}
}

// FuzzCheck checks any bytes as a sheet, and formats them: no panic, a
// documented exit code, nothing on the error stream that moves the cursor, and
// what fmt prints it prints the same again.
func FuzzCheck(f *testing.F) {
	seeds(f)
	f.Fuzz(func(t *testing.T, text string) {
		code, _, complaints := command(t, text, "check", "-")
		if code != exitOK && code != exitFound {
			t.Errorf("check: exit code %d: %s", code, complaints)
		}
		if strings.IndexFunc(complaints, func(r rune) bool { return r != '\n' && unicode.IsControl(r) }) >= 0 {
			t.Errorf("a control character reaches the terminal: %q", complaints)
		}
		code, once, complaints := command(t, text, "fmt", "-")
		if code == exitInput {
			return
		}
		if code != exitOK {
			t.Errorf("fmt: exit code %d: %s", code, complaints)
		}
		if _, twice, _ := command(t, once, "fmt", "-"); twice != once {
			t.Errorf("fmt prints %q and then %q", once, twice)
		}
	})
}

// FuzzAdd adds any bytes to a base: they go in, or a complaint tells why not;
// and the base stays whole.
func FuzzAdd(f *testing.F) {
	seeds(f)
	f.Fuzz(func(t *testing.T, text string) {
		t.Chdir(t.TempDir())
		code, _, complaints := command(t, text, "--base", "base", "add", "-", "--board", "Finch")
		if !documented[code] || code != exitOK && complaints == "" || code == exitUsage || code == exitBase {
			t.Errorf("exit code %d: %s", code, complaints)
		}
		if code != exitOK && code != exitFound { // a board without parts is added all the same
			return
		}
		if code, out, complaints := command(t, "", "--base", "base", "verify"); code != exitOK {
			t.Errorf("verify: exit code %d: %s%s", code, out, complaints)
		}
	})
}

// FuzzArguments runs any words as a command line, without a base: no panic and
// a documented exit code.
func FuzzArguments(f *testing.F) {
	for _, line := range []string{"ask parts on VMAIN", "ask --rows -1 parts", "add --unit mil -", "show a rev b", "--json explain q12", "quote -x", "help exit-codes", "completion bash", "__complete ask par"} {
		f.Add(line)
	}
	f.Fuzz(func(t *testing.T, line string) {
		line = strings.NewReplacer("/", "_", "..", "__").Replace(line) // nothing outside this test's folder
		t.Chdir(t.TempDir())
		args := append([]string{"--base", "base"}, strings.Fields(line)...)
		if code, _, complaints := command(t, "", args...); !documented[code] || code != exitOK && code != exitFound && complaints == "" {
			t.Errorf("%q: exit code %d: %s", args, code, complaints)
		}
	})
}
