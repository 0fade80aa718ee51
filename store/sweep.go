package store

import (
	"encoding/binary"
	"fmt"
	"slices"
)

// dropStep is how many keys are deleted, or statements shunned, at once: one change of the
// store holds some ten thousand.
var dropStep = 2000

// sweep drops what additions that never ended have left behind.
func (b *Base) sweep() error {
	var keys [][]byte
	err := b.kv.view(func(r reader) error {
		return r.scan([]byte{keyUnderway}, func(key, value []byte) error {
			if len(key) != 9 || len(value) != 4 {
				return errDamaged("a note of an unfinished addition cannot be read")
			}
			batch := batchID(binary.BigEndian.Uint64(key[1:]))
			id := subjectID(binary.BigEndian.Uint32(value))
			for _, kind := range []byte{keyEntry, keyView} {
				if err := r.scan(batchPrefix(kind, id, batch), func(key, _ []byte) error {
					keys = append(keys, append([]byte(nil), key...))
					return nil
				}); err != nil {
					return err
				}
			}
			keys = append(keys, append([]byte(nil), key...))
			return nil
		})
	})
	if err != nil {
		return fmt.Errorf("looking for unfinished additions: %w", err)
	}
	return b.drop(keys)
}

// drop deletes keys in steps; the notes of what is under way come last of
// their additions, so that a second interruption loses nothing.
func (b *Base) drop(keys [][]byte) error {
	for some := range slices.Chunk(keys, dropStep) {
		if err := b.kv.update(func(w writer) error {
			for _, key := range some {
				if err := w.delete(key); err != nil {
					return err
				}
			}
			return nil
		}); err != nil {
			return err
		}
	}
	return nil
}
