package store

import (
	"errors"
	"fmt"
	"syscall"
	"time"
)

// ErrNoBase says that there is no knowledge base in the folder yet.
var ErrNoBase = errors.New("there is no knowledge base yet")

// ErrUnknownSubject says that the base holds no such board or stack.
var ErrUnknownSubject = errors.New("not in the knowledge base")

// LockedError says that another process holds the knowledge base.
type LockedError struct {
	Dir   string
	PID   int       // 0 when it is not known: processes that only read leave no name, and not every system tells
	Since time.Time // zero when not known
}

func (e *LockedError) Error() string {
	switch {
	case e.PID == 0:
		return fmt.Sprintf("the knowledge base in %s is in use by another process", e.Dir)
	case e.Since.IsZero():
		return fmt.Sprintf("the knowledge base in %s is in use by process %d", e.Dir, e.PID)
	}
	return fmt.Sprintf("the knowledge base in %s is in use by process %d since %s", e.Dir, e.PID, e.Since.Format("15:04:05"))
}

// NotBaseError says that a folder is there but is no knowledge base.
type NotBaseError struct {
	Dir    string
	Reason string
}

func (e *NotBaseError) Error() string {
	return fmt.Sprintf("%s is not a knowledge base: %s", e.Dir, e.Reason)
}

// NewerError says that a newer netlore has written the base.
type NewerError struct{ Format uint64 }

func (e *NewerError) Error() string {
	return fmt.Sprintf("the knowledge base has layout %d, this netlore knows layouts up to %d only", e.Format, formatNumber)
}

// AccessError says that the operating system refused a folder.
type AccessError struct {
	Dir string
	Err error
}

func (e *AccessError) Error() string {
	return fmt.Sprintf("the knowledge base in %s cannot be used: %v", e.Dir, reason(e.Err))
}

func (e *AccessError) Unwrap() error { return e.Err }

// FullError says that there is no room on the disk. What the base held before
// is untouched.
type FullError struct {
	Dir        string
	Need, Free uint64 // bytes; 0 when the write itself failed
}

func (e *FullError) Error() string {
	if e.Need == 0 {
		return "the disk of the knowledge base is full; nothing was changed"
	}
	return fmt.Sprintf("the disk of %s has %s free, and %s are wanted to write safely; nothing was changed",
		e.Dir, megabytes(e.Free), megabytes(e.Need))
}

// DamagedError says that what is on disk is not what was written.
type DamagedError struct{ What string }

func (e *DamagedError) Error() string { return "the knowledge base is damaged: " + e.What }

func errDamaged(format string, args ...any) error {
	return &DamagedError{fmt.Sprintf(format, args...)}
}

// IsBaseError reports whether an error is about the knowledge base itself, not
// about what was asked of it.
func IsBaseError(err error) bool {
	var notBase *NotBaseError
	var newer *NewerError
	var access *AccessError
	var full *FullError
	var damaged *DamagedError
	return errors.Is(err, ErrNoBase) || errors.As(err, &notBase) || errors.As(err, &newer) ||
		errors.As(err, &access) || errors.As(err, &full) || errors.As(err, &damaged)
}

// writeError gives a failed write its reason.
func writeError(err error) error {
	if errors.Is(err, syscall.ENOSPC) || errors.Is(err, syscall.EDQUOT) {
		return &FullError{}
	}
	return err
}

// reason is the innermost cause, in the words of the operating system.
func reason(err error) error {
	for {
		inner := errors.Unwrap(err)
		if inner == nil {
			return err
		}
		err = inner
	}
}

func megabytes(n uint64) string { return fmt.Sprintf("%d MB", (n+999_999)/1_000_000) }
