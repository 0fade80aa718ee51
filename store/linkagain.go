package store

import (
	"bytes"
	"context"
	"errors"

	"netlore/store/exchange"
)

// LookAgain goes back on a log to before what was on it and was taken out of the base
// since: a pack was taken back, or what was purged is let in again. It is read there as
// if it were new.
func (b *Base) LookAgain(ctx context.Context, s LinkState) (LinkState, error) {
	marks, err := b.LinkMarks(ctx, s.Log)
	if err != nil {
		return s, err
	}
	back, keys := s, [][]byte(nil)
	for _, m := range marks {
		if !m.Out {
			continue
		}
		keys = append(keys, markKey(s.Log, &m))
		if m.Round == s.Round && m.Seq <= back.Last {
			back.Last, back.LastID = m.Seq-1, exchange.ID{}
		}
	}
	if len(keys) == 0 {
		return s, nil
	}
	if err := b.KeepLink(back); err != nil { // before its marks go, so that it is gone back to for sure
		return s, err
	}
	return back, b.drop(keys)
}

// takenOut are the marks on all logs of some batches, of which something is taken out
// of the base, as they are then.
func takenOut(ctx context.Context, r reader, batches map[exchange.ID]bool) (rows []pair, err error) {
	err = r.scan([]byte{keyLink}, func(key, value []byte) error {
		log := bytes.IndexByte(key, 0) + 1
		if len(key)-log != 64 || !batches[exchange.ID(key[log:])] {
			return ctx.Err()
		}
		m, err := decodeMark(key[log:], value)
		m.Out = true
		rows = append(rows, pair{bytes.Clone(key), m.encode()})
		return err
	})
	return rows, err
}

// missed notes of an entry that it was on logs and is not held any more.
func missed(ctx context.Context, w writer, id exchange.ID) error {
	batches, line := map[exchange.ID]bool{}, []byte("\nentry "+id.String()+"\n")
	if err := w.scan([]byte{keyManifest}, func(key, value []byte) error {
		if bytes.Contains(value, line) {
			batches[exchange.ID(key[1:])] = true
		}
		return ctx.Err()
	}); err != nil {
		return err
	}
	marks, err := takenOut(ctx, w, batches)
	for _, m := range marks {
		err = errors.Join(err, w.put(m.key, m.value))
	}
	return err
}
