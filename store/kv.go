package store

import (
	"context"
	"errors"
)

// kv is the little that the knowledge base needs of a key-value store. badger
// and the in-memory twin both satisfy it; nothing above knows which it is.
type kv interface {
	// view reads one consistent state.
	view(func(reader) error) error
	// update makes all changes of the function or none. They are on disk when
	// it returns without an error.
	update(func(writer) error) error
	// bulk puts any number of values, in several steps if need be: a crash may
	// leave some of them. They are on disk when it returns without an error.
	bulk(ctx context.Context, puts func(put func(key, value []byte) error) error) error
	close() error
	// flatten leaves of all that was deleted before the store was opened nothing in
	// its files.
	flatten() error
}

// reader reads one state of the store.
type reader interface {
	// get returns a copy of the value of a key, or errNoKey.
	get(key []byte) ([]byte, error)
	// scan calls fn with every key that begins with prefix, in order. Both
	// slices are valid during the call only.
	scan(prefix []byte, fn func(key, value []byte) error) error
}

// writer changes one state of the store.
type writer interface {
	reader
	put(key, value []byte) error
	delete(key []byte) error
}

// errNoKey says that a key is not there.
var errNoKey = errors.New("no such key")
