package store

import (
	"fmt"
	"slices"

	"netlore/store/exchange"
)

// word takes what a shop says about its keys, after all that came before it.
func (t *taker) word(w *exchange.Word) error {
	if t.opt.Look {
		return nil
	}
	if err := t.flush(); err != nil {
		return err
	}
	if many, err := t.tooManyWords(w); err != nil || many {
		return err
	}
	said, err := t.b.hear(w)
	if said != "" {
		t.shops = map[exchange.Key]*Shop{}
	}
	if said != "" && len(t.taken.Said) < mostSaid && !slices.Contains(t.taken.Said, said) {
		t.taken.Said = append(t.taken.Said, said)
	}
	return err
}

// tooManyWords refuses what a shop that nobody here knows says of its keys, once very much
// of that is kept in mind. What is known already, or does not count, is no more of it.
func (t *taker) tooManyWords(w *exchange.Word) (bool, error) {
	more := false
	if err := t.b.kv.view(func(r reader) error {
		s, err := shop(r, w.By)
		switch {
		case err != nil || !s.Stranger():
			return err
		case w.Change():
			more = !s.Since.IsZero() && !s.Next.Known()
		default:
			more, err = isAbsent(r, revokedKey(w.By, w.Key))
		}
		if err != nil || !more || t.revoked {
			return err
		}
		t.revoked = true
		return r.scan([]byte{keyRevoked}, func(_, _ []byte) error { t.words++; return nil })
	}); err != nil || !more {
		return false, err
	}
	if t.words++; t.words <= mostWords {
		return false, nil
	}
	t.refuse(exchange.Refuse("X212", t.opt.From, fmt.Sprintf("of shops that nobody here knows, no more than %d keys that they have revoked or changed to are kept in mind", mostWords)))
	return true, nil
}
