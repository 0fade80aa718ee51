package store

import (
	"context"
	"errors"
	"fmt"

	"github.com/dgraph-io/badger/v4"
	"github.com/dgraph-io/badger/v4/options"
)

// magic marks the folder as a knowledge base of this layout. The storage
// library refuses a folder that was made with another one.
const magic = 0x6e6c // "nl"

// disk is the store on disk.
type disk struct{ db *badger.DB }

// profile are the options for a small store behind a command: quick to open,
// small in memory, and synced at every write. The storage library's defaults
// are made for servers: they reserve gigabytes of address space and log to the
// error stream.
func profile(dir string, readOnly bool) badger.Options {
	return badger.DefaultOptions(dir).
		WithLogger(nil).
		WithReadOnly(readOnly).
		WithMemTableSize(8 << 20).
		WithNumMemtables(2).
		WithNumCompactors(2).
		WithValueLogFileSize(16 << 20).
		WithCompression(options.Snappy).
		WithBlockCacheSize(8 << 20).
		WithCompactL0OnClose(true).
		WithSyncWrites(true).
		WithMetricsEnabled(false).
		WithExternalMagic(magic)
}

func (d *disk) view(read func(reader) error) error {
	return d.db.View(func(txn *badger.Txn) error { return read(diskState{txn}) })
}

func (d *disk) update(change func(writer) error) error {
	err := d.db.Update(func(txn *badger.Txn) error {
		state := diskState{txn}
		if err := bumpGeneration(state); err != nil {
			return err
		}
		return change(state)
	})
	if errors.Is(err, badger.ErrTxnTooBig) {
		return fmt.Errorf("one change is too large for the store: %w", err)
	}
	return writeError(err)
}

func (d *disk) bulk(ctx context.Context, puts func(put func(key, value []byte) error) error) error {
	batch := d.db.NewWriteBatch()
	defer batch.Cancel()
	err := puts(func(key, value []byte) error {
		if err := ctx.Err(); err != nil {
			return err
		}
		return batch.Set(key, value)
	})
	if err != nil {
		return writeError(err)
	}
	return writeError(batch.Flush())
}

// close closes the store. Its last table is merged with those that it overlaps, which
// leaves out what was deleted or replaced, but only as of what the last finished
// reading could see. So it is read once more first, without looking at anything, and so
// often that the library has noted the first time: it notes them one after the other,
// and a hundred can wait.
func (d *disk) close() error {
	const readings = 64 // each is noted when it begins and when it ends
	for n := 0; n < readings && !d.db.Opts().ReadOnly; n++ {
		if err := d.db.View(func(*badger.Txn) error { return nil }); err != nil {
			break // it is closed, and says so below
		}
	}
	return writeError(d.db.Close())
}

func (d *disk) flatten() error { return writeError(d.db.Flatten(1)) }

type diskState struct{ txn *badger.Txn }

func (s diskState) get(key []byte) ([]byte, error) {
	item, err := s.txn.Get(key)
	if errors.Is(err, badger.ErrKeyNotFound) {
		return nil, errNoKey
	}
	if err != nil {
		return nil, err
	}
	return item.ValueCopy(nil)
}

func (s diskState) scan(prefix []byte, fn func(key, value []byte) error) error {
	opt := badger.DefaultIteratorOptions
	opt.Prefix = prefix
	opt.PrefetchValues = false // small values lie beside their keys, and fetching ahead starts a goroutine for each
	it := s.txn.NewIterator(opt)
	defer it.Close()
	for it.Rewind(); it.Valid(); it.Next() {
		item := it.Item()
		if err := item.Value(func(value []byte) error { return fn(item.Key(), value) }); err != nil {
			return err
		}
	}
	return nil
}

func (s diskState) put(key, value []byte) error { return s.txn.Set(key, value) }

func (s diskState) delete(key []byte) error { return s.txn.Delete(append([]byte(nil), key...)) }
