package store

import (
	"slices"

	"netlore/store/exchange"
)

// countedRow is a key, and how much of what is kept of a shop it counts for.
type countedRow struct {
	key             []byte
	shop            exchange.Key
	entries, listed int
}

// dropCounted deletes rows, a part at a time, which count no more for what is kept of their
// shops.
func (b *Base) dropCounted(rows []countedRow) error {
	for some := range slices.Chunk(rows, dropStep) {
		if err := b.kv.update(func(w writer) error {
			less := map[exchange.Key]countedRow{}
			for _, row := range some {
				if err := w.delete(row.key); err != nil {
					return err
				}
				l := less[row.shop]
				less[row.shop] = countedRow{entries: l.entries + row.entries, listed: l.listed + row.listed}
			}
			return uncount(w, less)
		}); err != nil {
			return err
		}
	}
	return nil
}

// uncount counts what is deleted no more for what is kept of its shops.
func uncount(w writer, less map[exchange.Key]countedRow) error {
	for key, l := range less {
		if l.entries+l.listed == 0 {
			continue
		}
		s, err := shop(w, key)
		if err != nil {
			return err
		}
		s.Entries, s.Listed = max(0, s.Entries-l.entries), max(0, s.Listed-l.listed)
		if err := putRecord(w, shopKey(key), s); err != nil {
			return err
		}
	}
	return nil
}
