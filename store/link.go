package store

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/binary"
	"errors"
	"slices"
	"time"

	"netlore/store/exchange"
)

// LinkState is how far a base has read a shared log. The log is a mailbox: what
// is in it is in the base, too, so it may be lost.
type LinkState struct {
	Log     string
	Server  string      // where it was reached last
	Made    time.Time   // when the log was made, as its server says
	Round   uint64      // counts how often it turned out to be another log
	Last    uint64      // place of the last message that was read
	LastID  exchange.ID // of that message
	Heard   time.Time   // when it was last read to its end, by our own clock
	Receipt uint64      // under which what came today was taken
	Sent    int         // messages that this bench has put there

	// Left is the place of the first message that was left for later, 0 if there
	// is none: until other shops are known than LeftFor stands for, or until a time,
	// whichever comes first of all that were left.
	Left      uint64      `json:",omitzero"`
	LeftFor   exchange.ID `json:",omitzero"`
	LeftUntil time.Time   `json:",omitzero"`

	// Unread is the place of the first message that could not be read, 0 if there is
	// none, and UnreadBy the program that could not: another one may.
	Unread   uint64 `json:",omitzero"`
	UnreadBy string `json:",omitzero"`
}

// LinkMark says that a message was on a log.
type LinkMark struct {
	Batch   exchange.ID // that it carries; of a word about keys, the message itself
	Message exchange.ID
	Round   uint64 // LinkState.Round at that time
	Seq     uint64 // its place in the log
	Whole   bool   // it carries all entries of the batch
	Out     bool   // something of it was taken out of the base since, see LookAgain
}

// linkPrefix is what all keys about a log begin with.
func linkPrefix(log string) []byte { return append(append([]byte{keyLink}, log...), 0) }

func markKey(log string, m *LinkMark) []byte {
	return append(append(linkPrefix(log), m.Batch[:]...), m.Message[:]...)
}

// Links lists the logs that the base has read, in order of their names.
func (b *Base) Links(context.Context) (all []LinkState, err error) {
	err = b.kv.view(func(r reader) error {
		return r.scan([]byte{keyLink}, func(key, value []byte) error {
			if bytes.IndexByte(key, 0) < len(key)-1 {
				return nil // a mark
			}
			var s LinkState
			err := decodeRecord(value, &s)
			all = append(all, s)
			return err
		})
	})
	return all, err
}

// Link is how far the base has read a log; of one that it does not know, nothing but
// its name.
func (b *Base) Link(log string) (s LinkState, err error) {
	s.Log = log
	err = b.kv.view(func(r reader) error {
		value, err := r.get(linkPrefix(log))
		if errors.Is(err, errNoKey) {
			return nil
		}
		if err != nil {
			return err
		}
		return decodeRecord(value, &s)
	})
	return s, err
}

// LinkMarks lists what the base knows to have been on a log, in order of the
// batches, then of the messages.
func (b *Base) LinkMarks(ctx context.Context, log string) (all []LinkMark, err error) {
	prefix := linkPrefix(log)
	err = b.kv.view(func(r reader) error {
		return r.scan(prefix, func(key, value []byte) error {
			if rest := key[len(prefix):]; len(rest) == 64 {
				m, err := decodeMark(rest, value)
				if err != nil {
					return err
				}
				all = append(all, m)
			}
			return ctx.Err()
		})
	})
	return all, err
}

const (
	markLength = 8 + 8 + 1

	// what the last byte of a mark says
	markWhole = 1
	markOut   = 2
)

func (m *LinkMark) encode() []byte {
	value := binary.BigEndian.AppendUint64(binary.BigEndian.AppendUint64(nil, m.Round), m.Seq)
	return append(value, byte(markWhole*oneIf(m.Whole)|markOut*oneIf(m.Out)))
}

func decodeMark(ids, value []byte) (m LinkMark, err error) {
	if len(value) != markLength {
		return m, errDamaged("a mark of a log has %d bytes, want %d", len(value), markLength)
	}
	copy(m.Batch[:], ids)
	copy(m.Message[:], ids[32:])
	m.Round, m.Seq = binary.BigEndian.Uint64(value), binary.BigEndian.Uint64(value[8:])
	m.Whole, m.Out = value[16]&markWhole > 0, value[16]&markOut > 0
	return m, nil
}

// Marked is what the base knows of a message on a log; false if it was never
// there.
func (b *Base) Marked(log string, batch, message exchange.ID) (m LinkMark, found bool, err error) {
	ids := append(append([]byte{}, batch[:]...), message[:]...)
	err = b.kv.view(func(r reader) error {
		value, err := r.get(append(linkPrefix(log), ids...))
		if errors.Is(err, errNoKey) {
			return nil
		}
		if err == nil {
			m, err = decodeMark(ids, value)
			found = err == nil
		}
		return err
	})
	return m, found, err
}

// KeepLink keeps how far a log was read, and marks of what is on it.
func (b *Base) KeepLink(s LinkState, marks ...LinkMark) error {
	b.changing.Lock()
	defer b.changing.Unlock()
	if b.readOnly {
		return errReadOnly
	}
	return b.kv.update(func(w writer) error {
		for _, m := range marks {
			if err := w.put(markKey(s.Log, &m), m.encode()); err != nil {
				return err
			}
		}
		return putRecord(w, linkPrefix(s.Log), s)
	})
}

// SharedSubjects lists the subjects on which the base has signed entries, its own or
// those of others, whether they count or not.
func (b *Base) SharedSubjects(ctx context.Context) (all []Subject, err error) {
	seen := map[Subject]bool{}
	err = b.kv.view(func(r reader) error {
		for sort, tail := range map[byte]int{keyShared: 32, keyWithdrawn: 64} {
			last := ""
			if err := r.scan([]byte{sort}, func(key, _ []byte) error {
				of := key[:max(0, len(key)-tail)]
				if string(of) == last || len(of) < 3 {
					return ctx.Err()
				}
				last = string(of)
				s, err := subjectOfSharedKey(slices.Clone(of))
				seen[s] = seen[s] || err == nil
				return err
			}); err != nil {
				return err
			}
		}
		return nil
	})
	for s := range seen {
		all = append(all, s)
	}
	slices.SortFunc(all, compareSubjects)
	return all, err
}

// LinkSum is a hash of what the base holds of what was on a log, and of how many
// entries: those of shops that are known here, less what they have withdrawn. Two
// benches that know the same shops and have the same sum hold the same.
func (b *Base) LinkSum(ctx context.Context, log string) (sum exchange.ID, entries int, err error) {
	marks, err := b.LinkMarks(ctx, log)
	if err != nil {
		return sum, 0, err
	}
	on := map[exchange.ID]bool{}
	for _, m := range marks {
		on[m.Batch] = true
	}
	shops, err := b.Shops(ctx)
	if err != nil {
		return sum, 0, err
	}
	known := map[exchange.Key]bool{}
	for _, s := range shops {
		known[s.Key] = !s.Stranger()
	}
	subjects, err := b.SharedSubjects(ctx)
	if err != nil {
		return sum, 0, err
	}
	hash := sha256.New()
	for _, s := range subjects {
		if err := b.kv.view(func(r reader) error {
			gone, err := withdrawals(r, s)
			if err != nil {
				return err
			}
			return sharedOn(r, s, func(e sharedEntry) error {
				if on[e.manifest] && known[e.shop] && !slices.Contains(gone[e.id], e.shop) {
					hash.Write(e.id[:])
					entries++
				}
				return ctx.Err()
			})
		}); err != nil {
			return sum, 0, err
		}
	}
	return exchange.ID(hash.Sum(nil)), entries, nil
}
