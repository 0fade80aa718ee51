package cli

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"sync"
)

// historyFile is where the shell keeps what was asked, beside the base by the
// XDG convention; "" if there is no home folder.
func historyFile(getenv func(string) string) string {
	// The convention says that a relative path is to be ignored.
	if state := getenv("XDG_STATE_HOME"); filepath.IsAbs(state) {
		return filepath.Join(state, "netlore", "history")
	}
	if home := getenv("HOME"); home != "" {
		return filepath.Join(home, ".local", "state", "netlore", "history")
	}
	return ""
}

// mostHistory is how many lines the history keeps.
const mostHistory = 1000

// history is what was asked before, one question a line. Nobody but the user
// may read the file. A history that cannot be read or written is no reason not
// to answer.
type history struct {
	file  string
	mu    sync.Mutex
	lines []string
}

func openHistory(file string) *history {
	h := &history{file: file}
	f, err := os.Open(file)
	if err != nil {
		return h
	}
	defer f.Close()
	for lines := questionLines(f); lines.Scan(); {
		h.lines = append(h.lines, lines.Text())
	}
	if len(h.lines) > 2*mostHistory {
		h.lines = h.lines[len(h.lines)-mostHistory:]
		_ = putFile(file, []byte(strings.Join(h.lines, "\n")+"\n"), 0o600)
	}
	return h
}

// Write adds a line, unless it is the last one again.
func (h *history) Write(line string) (int, error) {
	h.mu.Lock()
	defer h.mu.Unlock()
	line = strings.Join(strings.Fields(line), " ")
	if line == "" || len(h.lines) > 0 && h.lines[len(h.lines)-1] == line {
		return len(h.lines), nil
	}
	h.lines = append(h.lines, line)
	return len(h.lines), h.append(line)
}

func (h *history) append(line string) error {
	if err := os.MkdirAll(filepath.Dir(h.file), 0o700); err != nil {
		return err
	}
	f, err := os.OpenFile(h.file, os.O_APPEND|os.O_CREATE|os.O_WRONLY, 0o600)
	if err != nil {
		return err
	}
	_, err = f.WriteString(line + "\n")
	if closing := errors.Join(f.Sync(), f.Close()); err == nil {
		err = closing
	}
	return err
}

// GetLine is the i-th line, the oldest first.
func (h *history) GetLine(i int) (string, error) {
	h.mu.Lock()
	defer h.mu.Unlock()
	if i < 0 || i >= len(h.lines) {
		return "", errors.New("no such line")
	}
	return h.lines[i], nil
}

// Len is how many lines there are.
func (h *history) Len() int {
	h.mu.Lock()
	defer h.mu.Unlock()
	return len(h.lines)
}

// Dump is all lines.
func (h *history) Dump() any {
	h.mu.Lock()
	defer h.mu.Unlock()
	return append([]string(nil), h.lines...)
}
