// Package store is the knowledge base. What it keeps are entries: immutable
// statements in canonical sheet text, each with its author and time. What a
// board is, is what its live entries say together; a columnar snapshot of that
// is kept beside them, so that asking about one board reads that board only. Every
// job is kept apart from the board or stack that it is on: it is written to all
// day, and they are not. What is private of a job is no entry, and in no sheet.
//
// Adding is atomic and synced: when Add returns without an error everything is
// on disk, when it does not, nothing is. Many processes may read or one write.
package store

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"time"

	"github.com/dgraph-io/badger/v4"
)

// Options says how a base is opened.
type Options struct {
	// ReadOnly opens for questions: any number of processes may do so.
	ReadOnly bool
	// Wait is how long to wait for another process that holds the base.
	Wait time.Duration
	// Waiting, when set, is called once if there is somebody to wait for.
	Waiting func(*LockedError)
	// Now is the clock; nil is time.Now.
	Now func() time.Time
}

// Base is an open knowledge base. It is safe for use by many goroutines.
type Base struct {
	kv       kv
	dir      string // empty for a base in memory
	readOnly bool
	now      func() time.Time
	changing sync.Mutex // held from looking at what is there to writing what follows from it
}

// OpenMemory makes an empty base that lives in memory only.
func OpenMemory(now func() time.Time) *Base {
	b := &Base{kv: newMemory(), now: clock(now)}
	_ = b.kv.update(putJobsApart) // memory does not fail
	return b
}

func clock(now func() time.Time) func() time.Time {
	if now == nil {
		return time.Now
	}
	return now
}

// Dir is where knowledge bases are by the XDG base directory convention,
// unless NETLORE_BASE says otherwise. It is empty if there is no home folder.
func Dir(getenv func(string) string) string {
	if dir := getenv("NETLORE_BASE"); dir != "" {
		return dir
	}
	// The convention says that a relative path is to be ignored.
	if data := getenv("XDG_DATA_HOME"); filepath.IsAbs(data) {
		return filepath.Join(data, "netlore")
	}
	if home := getenv("HOME"); home != "" {
		return filepath.Join(home, ".local", "share", "netlore")
	}
	return ""
}

// Open opens the base in a folder; unless read only, it makes one if there is
// none. Errors: ErrNoBase, *LockedError, *NotBaseError, *NewerError,
// *AccessError, *FullError, *DamagedError.
func Open(ctx context.Context, dir string, opt Options) (*Base, error) {
	if err := checkDir(dir, opt.ReadOnly); err != nil {
		return nil, err
	}
	db, err := openWaiting(ctx, dir, opt)
	if err != nil {
		return nil, err
	}
	b := &Base{kv: &disk{db}, dir: dir, readOnly: opt.ReadOnly, now: clock(opt.Now)}
	if err := b.kv.view(checkFormat); err != nil {
		return nil, errors.Join(err, b.Close())
	}
	if !opt.ReadOnly {
		err := b.sweep()
		if err == nil {
			err = b.sweepPhotos()
		}
		if err == nil {
			err = b.moveJobs(ctx)
		}
		if err != nil {
			return nil, errors.Join(err, b.Close())
		}
	}
	return b, nil
}

// Close lets go of the base.
func (b *Base) Close() error { return b.kv.close() }

// manifest is the file that every base has.
const manifest = "MANIFEST"

// checkDir refuses what cannot be a base before the storage library touches it.
func checkDir(dir string, readOnly bool) error {
	info, err := os.Stat(dir)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		if readOnly {
			return ErrNoBase
		}
		return makeDir(dir)
	case err != nil:
		return &AccessError{dir, err}
	case !info.IsDir():
		return &NotBaseError{dir, "it is a file; name the folder of the base"}
	}
	entries, err := os.ReadDir(dir)
	if err != nil {
		return &AccessError{dir, err}
	}
	if _, err := os.Stat(filepath.Join(dir, manifest)); err == nil {
		return checkBase(dir, readOnly)
	}
	if !onlyFirstFiles(entries) {
		return &NotBaseError{dir, "it holds other files; choose a new or empty folder"}
	}
	if readOnly {
		return ErrNoBase
	}
	return checkSpace(dir, openSpace)
}

// checkBase checks what the storage library would not survive.
func checkBase(dir string, readOnly bool) error {
	if err := putInOrder(dir); err != nil || readOnly {
		return err
	}
	return checkSpace(dir, openSpace+rewriteSpace(dir))
}

func makeDir(dir string) error {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return &AccessError{dir, err}
	}
	return checkSpace(dir, openSpace)
}

// openWaiting opens, and while another process holds the base tries again with
// growing pauses until the wait is over.
func openWaiting(ctx context.Context, dir string, opt Options) (*badger.DB, error) {
	deadline := time.Now().Add(opt.Wait)
	for pause := 5 * time.Millisecond; ; pause = min(2*pause, 200*time.Millisecond) {
		db, err := openOnce(dir, opt.ReadOnly)
		var locked *LockedError
		if !errors.As(err, &locked) {
			return db, err
		}
		if time.Now().Add(pause).After(deadline) {
			return nil, locked
		}
		if opt.Waiting != nil {
			opt.Waiting(locked)
			opt.Waiting = nil
		}
		select {
		case <-ctx.Done():
			return nil, ctx.Err()
		case <-time.After(pause):
		}
	}
}

// openOnce opens, and gives the storage library's errors their meaning. After
// a crash a base must once be opened for writing, so that what was logged and
// not yet put away is put away.
func openOnce(dir string, readOnly bool) (*badger.DB, error) {
	db, err := badger.Open(profile(dir, readOnly))
	if err != nil && readOnly && needsRepair(err) {
		if err := checkSpace(dir, openSpace+rewriteSpace(dir)); err != nil {
			return nil, err
		}
		if db, err = badger.Open(profile(dir, false)); err == nil {
			if err = db.Close(); err == nil {
				db, err = badger.Open(profile(dir, true))
			}
		}
	}
	if err != nil {
		return nil, openError(dir, err, readOnly)
	}
	return db, nil
}

// needsRepair recognises by text, for the storage library does not wrap.
func needsRepair(err error) bool {
	text := err.Error()
	return strings.Contains(text, "truncate") || strings.Contains(text, "Windows")
}

func openError(dir string, err error, readOnly bool) error {
	text := err.Error()
	forbidden := "it may not be written by you"
	if readOnly {
		forbidden = "it may not be read by you"
	}
	switch {
	case strings.Contains(text, "directory lock") || strings.Contains(text, "lock file"):
		if errors.Is(err, fs.ErrPermission) || strings.Contains(text, "permission denied") || strings.Contains(text, "read-only file system") {
			return &AccessError{dir, errors.New(forbidden)}
		}
		return lockedBy(dir)
	case strings.Contains(text, "external magic"), strings.Contains(text, "manifest has"):
		return &NotBaseError{dir, "another program keeps its data there, or a netlore of another layout"}
	case strings.Contains(text, "permission denied"), strings.Contains(text, "read-only file system"):
		return &AccessError{dir, errors.New(forbidden)}
	case strings.Contains(text, "no space left"):
		return &FullError{}
	}
	return &DamagedError{"it cannot be opened: " + text}
}

// lockedBy finds out who holds the base. A process that writes leaves its number
// in a file of the storage library, and when; of others the system may tell.
func lockedBy(dir string) *LockedError {
	e := &LockedError{Dir: dir, PID: lockHolder(dir)}
	name := filepath.Join(dir, lockFile)
	text, err := os.ReadFile(name)
	if err != nil {
		return e
	}
	pid, err := strconv.Atoi(strings.TrimSpace(string(text)))
	if err != nil || !processRuns(pid) || e.PID != 0 && e.PID != pid {
		return e
	}
	e.PID = pid
	if info, err := os.Stat(name); err == nil {
		e.Since = info.ModTime()
	}
	return e
}
