//go:build unix

package cli

import (
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/creack/pty"
	"github.com/hinshun/vt10x"
)

// terminal is a person's terminal: what is typed goes to a process, and what
// that prints is seen on a screen.
type terminal struct {
	t      *testing.T
	file   *os.File
	cmd    *exec.Cmd
	screen vt10x.Terminal
	mu     sync.Mutex
	raw    strings.Builder // all that was printed, with its control sequences
	ended  chan error
}

const screenRows = 40

// sit starts the shell at a terminal, in a folder of its own that holds a base
// of the Heron.
func sit(t *testing.T, env ...string) *terminal {
	t.Helper()
	return sitAt(t, heronBase(t), env...)
}

func heronBase(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	sheets, err := filepath.Abs("../../../testdata/heron")
	if err != nil {
		t.Fatal(err)
	}
	if code, _, complaints := command(t, "", "--base", filepath.Join(dir, "base"), "add", sheets); code != exitOK {
		t.Fatal(complaints)
	}
	return dir
}

func sitAt(t *testing.T, dir string, env ...string) *terminal {
	t.Helper()
	cmd := exec.Command("netlore", "--base", "base", "shell")
	cmd.Dir = dir
	cmd.Env = append(os.Environ(), "HOME="+dir, "XDG_STATE_HOME=", "TERM=xterm-256color", "NO_COLOR=", "INPUTRC="+filepath.Join(dir, "none"))
	cmd.Env = append(cmd.Env, env...)
	s := startAt(t, cmd)
	s.reaches(1)
	return s
}

// startAt starts a process at a terminal.
func startAt(t *testing.T, cmd *exec.Cmd) *terminal {
	t.Helper()
	file, err := pty.StartWithSize(cmd, &pty.Winsize{Rows: screenRows, Cols: 110})
	if err != nil {
		t.Skip("there is no terminal to be had here; not tested:", err)
	}
	s := &terminal{t: t, file: file, cmd: cmd, screen: vt10x.New(vt10x.WithWriter(file), vt10x.WithSize(110, screenRows)), ended: make(chan error, 1)}
	go s.watch()
	t.Cleanup(func() { cmd.Process.Kill(); file.Close() })
	return s
}

// watch shows on the screen what the process prints, until it ends.
func (s *terminal) watch() {
	room := make([]byte, 4096)
	for {
		n, err := s.file.Read(room)
		s.mu.Lock()
		s.raw.Write(room[:n])
		s.mu.Unlock()
		s.screen.Write(room[:n])
		if err != nil {
			s.ended <- s.cmd.Wait()
			return
		}
	}
}

func (s *terminal) types(keys string) {
	s.t.Helper()
	if _, err := s.file.WriteString(keys); err != nil {
		s.t.Fatal(err)
	}
}

// lines is what is on the screen, without blanks at the ends.
func (s *terminal) lines() string {
	var lines []string
	for line := range strings.Lines(s.screen.String()) {
		lines = append(lines, strings.TrimRight(line, " \n"))
	}
	return strings.TrimRight(strings.Join(lines, "\n"), "\n")
}

// sees waits until the screen shows a text.
func (s *terminal) sees(text string) {
	s.t.Helper()
	s.seesOneOf(text)
}

func (s *terminal) seesOneOf(texts ...string) {
	s.t.Helper()
	for range 800 {
		lines := s.lines()
		if slices.ContainsFunc(texts, func(text string) bool { return strings.Contains(lines, text) }) {
			return
		}
		time.Sleep(25 * time.Millisecond)
	}
	s.t.Fatalf("%q does not come up; the screen shows\n%s", texts, s.lines())
}

// lastLine waits until the last line on the screen is a text.
func (s *terminal) lastLine(text string) {
	s.t.Helper()
	for range 800 {
		if all := strings.Split(s.lines(), "\n"); all[len(all)-1] == text {
			return
		}
		time.Sleep(25 * time.Millisecond)
	}
	s.t.Fatalf("%q is not the last line; the screen shows\n%s", text, s.lines())
}

// asks types a line, and waits for the next prompt and for the answer before it.
func (s *terminal) asks(line, answer string) {
	s.t.Helper()
	s.till(1, line+"\r")
	s.sees(answer)
}

// till types keys and waits until so many further prompts came up and the last
// of them can be typed at.
func (s *terminal) till(prompts int, keys string) {
	s.t.Helper()
	want := strings.Count(s.printed(), promptMark) + prompts
	s.types(keys)
	s.reaches(want)
}

// promptMark is printed before every prompt.
var promptMark = strings.TrimLeft(spareRows, "\n")

// reaches waits until so many prompts came up in all, and the last can be typed
// at.
func (s *terminal) reaches(prompts int) {
	s.t.Helper()
	for range 800 {
		raw := s.printed()
		drawn := raw[max(0, strings.LastIndex(raw, promptMark)):]
		if strings.Count(raw, promptMark) >= prompts && strings.Contains(drawn, "\x1b[?25h") {
			return
		}
		time.Sleep(25 * time.Millisecond)
	}
	s.t.Fatalf("no prompt comes up; the screen shows\n%s", s.lines())
}

// leaves ends the shell with ^D and wants the exit code 0.
func (s *terminal) leaves() {
	s.t.Helper()
	s.types("\x04")
	select {
	case err := <-s.ended:
		if err != nil {
			s.t.Errorf("the shell ended with %v", err)
		}
	case <-time.After(10 * time.Second):
		s.t.Errorf("the shell does not end; the screen shows\n%s", s.lines())
	}
}

func (s *terminal) printed() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.raw.String()
}

// A person asks, speaks of it, saves, asks what was saved, and leaves.
func TestShellConversation(t *testing.T) {
	s := sit(t)
	s.asks("it under shield", "there is no last answer yet")
	s.asks("count hidden parts on VMAIN by cover", "8 groups")
	s.asks("capacitors on lower:VMAIN with value at least 22uF", "of")
	s.asks("it under reader", "lower:C4407")
	s.asks("save bigreader", "bigreader saved")
	s.asks("clear", "is no noun")
	s.asks("covers over (bigreader)", "1 of 1 cover ")
	s.asks("help under", "under  hidden by a cover")
	s.asks("prats on VMAIN", "did you mean: parts on VMAIN")
	s.asks("on Heron-B", "Heron-B>")
	s.asks("count parts", "351")
	s.asks("saved", "capacitors on lower:VMAIN with value at least 22uF under reader")
	s.asks("forget bigreader", "bigreader forgotten")
	s.leaves()
}

func TestShellCompletesInPlace(t *testing.T) {
	s := sit(t)
	s.types("hidden par\t")
	s.sees("netlore> hidden parts")
	s.types(" on VMA\t")
	s.sees("netlore> hidden parts on VMAIN")
	s.sees("VMAIN.rf")
	s.leavesLine()
	s.types("parts on VMAIN und\t")
	s.sees("parts on VMAIN under")
	s.types(" rea\t")
	s.sees("parts on VMAIN under reader")
	s.asks("", "lower:C4407")
	s.types("covers over (hid\t")
	s.sees("covers over (hidden")
	s.leavesLine()
	s.types("hel\t")
	s.sees("netlore> help")
	s.leavesLine()
	s.leaves()
}

// leavesLine drops the line with ^C.
func (s *terminal) leavesLine() {
	s.t.Helper()
	s.till(1, "\x03")
}

func TestShellKeepsHistory(t *testing.T) {
	dir := heronBase(t)
	s := sitAt(t, dir)
	s.asks("count pads", "pads")
	s.asks("count covers", "11")
	s.types("\x1b[A\x1b[A")
	s.lastLine("netlore> count pads")
	s.leavesLine()
	s.leaves()
	info, err := os.Stat(filepath.Join(dir, ".local/state/netlore/history"))
	if err != nil || info.Mode().Perm() != 0o600 {
		t.Fatalf("%v, %v", info, err)
	}
	s = sitAt(t, dir)
	s.types("\x1b[A")
	s.lastLine("netlore> count covers")
	s.leavesLine()
	s.leaves()
}

func TestShellGoesOnInTheNextLine(t *testing.T) {
	s := sit(t)
	s.asks("covers over (\rparts on lower:VMAIN\r)", "4 of 4 covers")
	s.leaves()
}

// An interrupt ends the answer and not the shell, and the base is clean.
func TestShellInterrupted(t *testing.T) {
	dir := heronBase(t)
	for name, question := range map[string]string{
		"far":  "parts" + strings.Repeat(" and also parts within 60mm of (parts within 60mm of (parts within 60mm of (parts)))", 30),
		"slow": "far" + strings.Repeat(" and also far", 60),
	} {
		text := "netlore 1\nquestion " + name + " \"" + question + "\"\n"
		if code, _, complaints := command(t, text, "--base", filepath.Join(dir, "base"), "add", "-"); code != exitOK {
			t.Fatal(complaints)
		}
	}
	s := sitAt(t, dir)
	s.types("slow\r")
	time.Sleep(400 * time.Millisecond)
	s.leavesLine()
	s.seesOneOf("partial: cancelled", "netlore: stopped")
	s.asks("count covers", "11")
	s.leavesLine()
	s.asks("count covers", "11")
	s.leaves()
}

// When it is told to end, the terminal is as it was before.
func TestShellTerminated(t *testing.T) {
	s := sit(t)
	s.types("parts on")
	s.sees("parts on")
	s.cmd.Process.Signal(syscall.SIGTERM)
	select {
	case err := <-s.ended:
		if state, ok := s.cmd.ProcessState.Sys().(syscall.WaitStatus); !ok || state.Signal() != syscall.SIGTERM {
			t.Errorf("it ended with %v", err)
		}
	case <-time.After(10 * time.Second):
		t.Error("it does not end")
	}
}

var colourSequence = regexp.MustCompile(`\x1b\[[0-9;]*?(3[0-7]|4[0-7]|9[0-7]|38;5;\d+|48;5;\d+)m`)

func TestShellColours(t *testing.T) {
	s := sit(t)
	s.types("hidden parts on VMAIN")
	s.sees("hidden parts on VMAIN")
	time.Sleep(200 * time.Millisecond)
	if !strings.Contains(s.printed(), "\x1b[36mVMAIN\x1b[0m") {
		t.Errorf("the name has no colour:\n%q", s.printed())
	}
	s = sit(t, "NO_COLOR=1")
	s.types("hidden parts on VMA\t")
	s.sees("VMAIN")
	s.leavesLine()
	s.asks("prats", "is no noun")
	if found := colourSequence.FindString(s.printed()); found != "" {
		t.Errorf("a colour although NO_COLOR is set: %q", found)
	}
	s.leaves()
}

// Lines that are typed while an answer is worked out are not lost.
func TestShellTypedAhead(t *testing.T) {
	s := sit(t)
	s.till(3, "count pads\rcount covers\rcount nets\r")
	s.sees("279 pads")
	s.sees("11 covers")
	s.sees("352 nets")
	s.leaves()
}
