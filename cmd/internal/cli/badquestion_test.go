//go:build unix

package cli

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// Questions that somebody, or a program, will ask one day. Each is asked of the
// demonstration by a process of its own: says is how its complaints begin, or
// without any how the last line of the answer ends, and code the exit code.
var badQuestions = []struct {
	name, question string
	code           int
	says           string
}{
	{"ten kilobytes of phrases", "parts on lower:VMAIN" + strings.Repeat(" and on lower:GND", 590), exitOK, "94 of 94 parts"},
	{"ten kilobytes of alternatives", "count parts " + strings.Repeat("on lower:GND or ", 600) + "on lower:VMAIN", exitOK, "281 parts"},
	{"a thousand names", "pins of " + list("C", 999), exitUsage, "1:9: error Q30: no part of lower or upper is called C1\n"},
	{"a thousand names that are known", "notes on " + strings.Repeat("lower:J7, ", 990) + "lower:J7", exitOK, "1 of 1 note"},
	{"ten thousand names", "pins of " + list("C", 10_000), exitUsage, "1:16385: error Q01: the question is too long: at most 16 KiB can be read"},
	{"ten thousand names of one letter", "notes on A" + strings.Repeat(",A", 9_999), exitUsage, "1:16385: error Q01"},
	{"more words than can be read", "notes on A" + strings.Repeat(",A", 5_000), exitUsage, "1:2008: error Q02: the question has too many words: at most 2000 can be read"},
	{"a name without end", "parts on lower:" + strings.Repeat("V", 16_000), exitUsage, "1:10: error Q30: no net or branch of lower is called " + strings.Repeat("V", 40) + "…"},
	{"brackets without end", "parts on " + strings.Repeat("(", 8_000), exitUsage, "1:74: error Q03: too many brackets inside each other: at most 64 can be open"},
	{"brackets as deep as can be", "count parts on " + strings.Repeat("(nets of (parts on ", 32) + "lower:VMAIN" + strings.Repeat("))", 32), exitOK, "351 parts"},
	{"brackets that close nothing", "parts on VMAIN" + strings.Repeat(")", 1900), exitUsage, "1:15: error Q10: \")\" cannot stand here after the name VMAIN"},
	{"a thousand stars", "parts on lower:" + strings.Repeat("*a", 4_000) + "b", exitUsage, "1:10: error Q36: no net or branch of lower fits " + strings.Repeat("*a", 20) + "…"},
	{"a thousand stars that fit", "count parts on lower:" + strings.Repeat("*", 8_000), exitOK, "351 parts"},
	{"patterns without end in a value", "count parts with name = " + strings.Repeat("*C*?*4*? or ", 900) + "C*", exitOK, "405 parts"},
	{"a slip in every word", "parts " + strings.Repeat("undr sheild ", 140), exitUsage, "1:7: error Q10: \"undr\" cannot stand here after parts"},
	{"a slip in every field", "parts with " + strings.Repeat("valeu = 1uF or ", 390) + "valeu = 1uF", exitUsage, "1:12: error Q25: parts have no field valeu"},
	{"quotes without end", "parts on " + strings.Repeat(`"`, 16_001), exitUsage, "1:4006: error Q02"},
	{"a name of quotes", `parts on "` + strings.Repeat(`\"`, 4_000) + `"`, exitUsage, "1:10: error Q30"},
	{"every letter there is", "parts on " + letters(0x20, 0x1000), exitUsage, "1:11: error Q14: the character \"!\" cannot stand in a question outside quotes"},
	{"numbers beyond all measure", "capacitors with value = " + strings.Repeat("9", 9_000) + "F", exitUsage, "1:25: error Q42: 9999999999999999999999999999999999999999… has more than 18 digits that count"},
	{"ranges without end", "pads called P1..P999999999", exitUsage, "1:6: error Q15"},
	{"a range without end", "notes on P1..P999999999", exitUsage, "1:10: error Q34"},
	{"many long ranges", "notes on " + strings.Repeat("lower:P1..P4000,", 900) + "lower:P1", exitUsage, "1:10: error Q34: of lower:P1..P4000, nothing is called P133, P134"},
	{"saved questions that ask for each other", "parts on (nets of (one))", exitUsage, "saved question three:1:20: error Q81: one asks for itself: one → two → three → one"},
	{"saved questions that grow threefold", "wz on lower:VMAIN", exitUsage, "saved question w"},
	{"selections without end", "count parts" + strings.Repeat(" except parts", 900), exitOK, "no parts"},
	{"a sort by everything", "parts on lower:VMAIN sorted by value" + strings.Repeat(", value", 900), exitOK, "96 of 96 parts"},
	{"why of everything", "why C* in (parts on lower:VMAIN)", exitOK, "upper:C4312 is not in it"},
}

// list is names with a number, with commas between them.
func list(letter string, n int) string {
	all := make([]string, n)
	for i := range all {
		all[i] = fmt.Sprint(letter, i+1)
	}
	return strings.Join(all, ", ")
}

// letters are characters one after the other.
func letters(from, to rune) string {
	var s strings.Builder
	for r := from; r < to; r++ {
		s.WriteRune(r)
	}
	return s.String()
}

// savedInCircles are saved questions as no one would save them; a shared sheet
// may hold them.
func savedInCircles() string {
	var s strings.Builder
	s.WriteString("netlore 1\nquestion one \"two\"\nquestion two \"three on GND\"\nquestion three \"parts on (nets of (one))\"\nquestion wa \"parts on GND\"\n")
	for c := 'b'; c <= 'z'; c++ {
		fmt.Fprintf(&s, "question w%c \"w%c and also w%[2]c and also w%[2]c\"\n", c, c-1)
	}
	return s.String()
}

// TestBadQuestions asks them all. None is at work after half a minute, and none
// takes much more memory than a plain question.
func TestBadQuestions(t *testing.T) {
	base := filepath.Join(heronBase(t), "base")
	if code, _, complaints := command(t, savedInCircles(), "--base", base, "add", "-"); code != exitOK {
		t.Fatal(complaints)
	}
	for _, c := range badQuestions {
		t.Run(c.name, func(t *testing.T) {
			state, mb, out, complaints := asked(t, base, c.question)
			if code := state.ExitCode(); code != c.code {
				t.Errorf("exit code %d, want %d", code, c.code)
			}
			if all := strings.TrimSpace(out + complaints); c.code == exitOK && !strings.HasSuffix(all, c.says) {
				t.Errorf("it says  %.300s … %s\nwant     %s", all, all[max(0, len(all)-200):], c.says)
			}
			if c.code != exitOK && !strings.HasPrefix(complaints, c.says) {
				t.Errorf("it says  %.300s\nwant     %s", complaints, c.says)
			}
			if mb > 60 && !raced {
				t.Errorf("it took %.0f MB of memory, want 60 at most", mb)
			}
			t.Logf("%v, %.0f MB, %d bytes said", state.UserTime()+state.SystemTime(), mb, len(out)+len(complaints))
		})
	}
}

// asked asks a question, which may be too long for the words of a command, in a
// process of its own. The complaints are told without the name of the file.
func asked(t *testing.T, base, question string) (state *os.ProcessState, mb float64, out, complaints string) {
	t.Helper()
	file := filepath.Join(t.TempDir(), "question")
	if err := os.WriteFile(file, []byte(question+"\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	var o, e bytes.Buffer
	cmd := exec.Command("netlore", "--base", base, "ask", "-f", file)
	cmd.Stdout, cmd.Stderr = &o, &e
	late := time.AfterFunc(30*time.Second, func() { cmd.Process.Kill() })
	peak := peakOf(t, cmd)
	cmd.Run()
	if !late.Stop() {
		t.Error("it has no end")
	}
	return cmd.ProcessState, peak(), o.String(), strings.ReplaceAll(e.String(), file+":", "")
}

// TestInterruptedQuestion sends SIGINT, as Ctrl-C does, to questions in the middle
// of their work. They end soon and say that they are not whole, and the base is
// as it was: it can be asked and added to at once.
func TestInterruptedQuestion(t *testing.T) {
	benchWithBase(t)
	if code, _, complaints := command(t, crowded(12_000), "--base", "base", "add", "-"); code != exitOK {
		t.Fatal(complaints)
	}
	before := contents(t)
	questions := []string{
		"count pins within 60mm of (parts)",
		"count pins within 60mm of (parts) by net",
		"parts within 60mm of (parts)",
		"parts within 60mm of (parts) sorted by distance",
		"parts within 60mm of (parts) in every board",
		"why C5 in (parts within 1mm of (parts within 60mm of (parts)))",
		"plan of (pins within 60mm of (parts))",
		"route from (parts within 60mm of (parts)) to C1",
	}
	if testing.Short() {
		questions = questions[:3]
	}
	for _, question := range questions {
		state, out, took := interruptedQuestion(t, question)
		if state.ExitCode() != exitInterrupted || !strings.Contains(out, "partial: cancelled") {
			t.Errorf("%s: %s: %.300s", question, state, out)
		}
		if took > 5*time.Second {
			t.Errorf("%s: it ends %v after SIGINT", question, took)
		}
		t.Logf("%s: ended after %v", question, took)
		sound(t, before)
	}
	if code, out, complaints := command(t, "", "--base", "base", "ask", "--on", "Crowd", "parts first 1"); code != exitOK || !strings.Contains(out+complaints, "1 of 12000 parts") {
		t.Errorf("asked after that: exit code %d: %s%s", code, out, complaints)
	}
	if code, _, complaints := command(t, finch, "--base", "base", "add", "-"); code != exitOK {
		t.Errorf("added after that: exit code %d: %s", code, complaints)
	}
}

// interruptedQuestion asks a question and interrupts it when it has worked for a
// while. It returns how long the end took.
func interruptedQuestion(t *testing.T, question string) (state *os.ProcessState, out string, took time.Duration) {
	t.Helper()
	var all bytes.Buffer
	cmd := exec.Command("netlore", "--base", "base", "ask", "--on", "Crowd", "--time", "10m", question)
	cmd.Stdout, cmd.Stderr = &all, &all
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	late := time.AfterFunc(time.Minute, func() { cmd.Process.Kill() })
	time.Sleep(700 * time.Millisecond)
	start := time.Now()
	cmd.Process.Signal(os.Interrupt)
	cmd.Wait()
	late.Stop()
	return cmd.ProcessState, all.String(), time.Since(start)
}

// crowded is a sheet of a board with so many parts, close together.
func crowded(parts int) string {
	var s strings.Builder
	s.WriteString("netlore 1\nboard Crowd rev 1\n  size 300x300mm\n")
	for i := range parts {
		fmt.Fprintf(&s, "part C%d 10uF 0402 top at %d.%d,%d\n", i+1, i%110*2, i%10, i/110*2)
	}
	s.WriteString("net VMAIN power 3.8V\n")
	for i := range parts {
		fmt.Fprintf(&s, "  C%d 1\n", i+1)
	}
	return s.String()
}
