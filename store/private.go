package store

import (
	"context"
	"errors"
)

// Private is what is kept of a job for the shop alone. It is no statement: no
// sheet can hold it, so that it is in no export, pack or answer. Nothing but
// Base.Private reads it, and what takes its place or removes the job deletes
// it.
type Private struct {
	Customer string `json:",omitempty"`
	Serial   string `json:",omitempty"`
	Remark   string `json:",omitempty"`
}

// Private reads the private details of a job; all are empty if none are kept.
func (b *Base) Private(_ context.Context, id string) (Private, error) {
	var p Private
	err := b.kv.view(func(r reader) error {
		value, err := r.get(privateKey(id))
		if errors.Is(err, errNoKey) {
			return nil
		}
		if err != nil {
			return err
		}
		return decodeRecord(value, &p)
	})
	return p, err
}

// SetPrivate keeps private details of a job in place of those there were.
// ErrUnknownJob if it is not held. They are on disk when it returns without an
// error.
func (b *Base) SetPrivate(_ context.Context, id string, p Private) error {
	b.changing.Lock()
	defer b.changing.Unlock()
	if b.readOnly {
		return errReadOnly
	}
	if b.dir != "" {
		if err := checkSpace(b.dir, openSpace+rewriteSpace(b.dir)); err != nil {
			return err
		}
	}
	return b.kv.update(func(w writer) error {
		if _, err := current(w, JobSubject(id)); errors.Is(err, ErrUnknownSubject) {
			return ErrUnknownJob
		} else if err != nil {
			return err
		}
		return putPrivate(w, id, p)
	})
}

func putPrivate(w writer, id string, p Private) error {
	if p == (Private{}) {
		return w.delete(privateKey(id))
	}
	return putRecord(w, privateKey(id), p)
}
