package mirror

import (
	"encoding/json"
	"errors"
	"maps"
	"os"
	"time"
)

// State is what a run has left behind, so that the next one can tell at a look that
// nothing has changed since. It stays on the machine: what is shared, and how, is
// not for the folder to say.
type State struct {
	Folder    string // where it is
	Licence   string // under which this shop shares; empty: it shares nothing
	Kinds     string
	Summaries bool
	Origin    string

	Done   bool // the run came to its end
	InStep bool // and nothing was left to be told
	At     time.Time
	Base   uint64 // stamps of the base and of the identity
	Who    uint64
	Files  map[string]File
}

// LoadState reads what the last run has left behind; nothing if there was none, or
// what it left cannot be read.
func LoadState(file string) State {
	var s State
	text, err := os.ReadFile(file)
	if err != nil || json.Unmarshal(text, &s) != nil {
		return State{}
	}
	return s
}

// Save leaves the state behind.
func (s *State) Save(file string) error {
	text, err := json.Marshal(s)
	if err != nil {
		return err
	}
	beside := file + ".new"
	out, err := os.OpenFile(beside, os.O_WRONLY|os.O_CREATE|os.O_TRUNC, 0o600)
	if err != nil {
		return err
	}
	_, err = out.Write(text)
	if err = errors.Join(err, out.Sync(), out.Close()); err != nil {
		return err
	}
	return os.Rename(beside, file)
}

// atOnce is how close a change may follow another without a file's time telling
// them apart.
const atOnce = 2 * time.Second

// Unchanged reports whether a folder is as the last run left it, by a look at sizes
// and times. A file that was changed at about the time of the look is not trusted: it
// can have been changed once more since.
func (s *State) Unchanged(l *List) bool {
	if len(l.Odd) > 0 || !maps.Equal(s.Files, l.Files) {
		return false
	}
	latest := s.At.Add(-atOnce).UnixNano()
	for _, file := range l.Files {
		if file.ModTime > latest {
			return false
		}
	}
	return true
}
