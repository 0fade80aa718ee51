package store

import (
	"bytes"
	"context"
	"errors"

	"netlore/store/exchange"
)

// holdsAll reports whether all of a batch that is at hand is in the base: its
// manifest, its entries, and what it withdraws.
func holdsAll(r reader, b *exchange.Batch) (bool, error) {
	value, err := r.get(manifestKey(b.Hash()))
	if errors.Is(err, errNoKey) {
		return false, nil
	}
	if err != nil {
		return false, err
	}
	if !bytes.HasSuffix(value, b.Signature) {
		if lapsed, err := lapsed(r, b.Hash()); err != nil || lapsed {
			return false, err // signed anew
		}
	}
	s := subjectOfShared(b.Of)
	for _, e := range b.Entries {
		absent, err := isAbsent(r, sharedKey(s, e.ID))
		if err == nil && absent {
			s, err := shunned(r, e.ID)
			if err != nil || s == nil || !s.Purged {
				return false, err
			}
		}
		if err != nil {
			return false, err
		}
	}
	for _, id := range b.Retracts {
		if absent, err := isAbsent(r, withdrawnKey(s, id, b.Signer.Shop)); err != nil || absent {
			return false, err
		}
	}
	return true, nil
}

// Shared gives the text of those of the entries on a subject that the base holds, by
// whomever they are. The subject is what a batch says it is about.
func (b *Base) Shared(_ context.Context, of string, ids []exchange.ID) (map[exchange.ID]string, error) {
	texts := map[exchange.ID]string{}
	s := subjectOfShared(of)
	return texts, b.kv.view(func(r reader) error {
		for _, id := range ids {
			text, held, err := sharedText(r, s, id)
			if err != nil {
				return err
			}
			if held {
				texts[id] = text
			}
		}
		return nil
	})
}

// sharedText is the text of a shared statement, if the base holds it.
func sharedText(r reader, s Subject, id exchange.ID) (text string, held bool, err error) {
	key := sharedKey(s, id)
	value, err := r.get(key)
	if errors.Is(err, errNoKey) {
		return "", false, nil
	}
	if err != nil {
		return "", false, err
	}
	e, err := decodeShared(key, value)
	return e.text, err == nil, err
}
