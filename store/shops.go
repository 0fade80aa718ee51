package store

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"netlore/store/board"
	"netlore/store/exchange"
)

// Level is how far a shop is trusted.
type Level uint8

const (
	Unknown Level = iota // kept and shown, never counted
	Listed               // known: what it expects is one vote among three or more
	Trusted              // what it says counts, unless it contradicts what is held
	Own                  // this shop itself, on another bench
)

var levelNames = []string{"unknown", "listed", "trusted", "own"}

// String is the word for the level.
func (l Level) String() string { return levelNames[l] }

// LevelOf is the level of a word.
func LevelOf(word string) (Level, bool) {
	i := slices.Index(levelNames, word)
	return Level(max(i, 0)), i >= 0
}

// Shop is another shop, or this one, as far as the base knows it.
type Shop struct {
	Key     exchange.Key
	Name    string       // what it calls itself
	Levels  [7]Level     // by exchange.Kind
	Since   time.Time    // when it was first heard of
	Next    exchange.Key `json:",omitzero"` // the key that took the place of this one
	Was     exchange.Key `json:",omitzero"` // the key whose place this one took
	Entries int          // that are kept
	Listed  int          `json:",omitzero"` // by the manifests that are kept
}

// kept is how much is kept of the shop: its manifests take room, too.
func (s *Shop) kept() int { return max(s.Entries, s.Listed) }

// Level is how far the shop is trusted in one kind of knowledge.
func (s *Shop) Level(k exchange.Kind) Level { return s.Levels[k] }

// heeded reports whether what a shop says in a kind of knowledge can count.
func (s *Shop) heeded(k exchange.Kind) bool {
	return s.Levels[k] >= Trusted || k == exchange.Expected && s.Levels[k] >= Listed
}

// believe trusts a shop in all kinds of knowledge.
func (s *Shop) believe(l Level) {
	for k := range s.Levels {
		s.Levels[k] = l
	}
}

// Trust tells in words how far it is trusted: "trusted", or "trusted: notes".
func (s *Shop) Trust() string {
	byLevel := map[Level][]string{}
	for _, k := range exchange.Kinds() {
		byLevel[s.Levels[k]] = append(byLevel[s.Levels[k]], k.String())
	}
	if len(byLevel) == 1 {
		return s.Levels[0].String()
	}
	var parts []string
	for l := Own; l > Unknown; l-- {
		if kinds := byLevel[l]; kinds != nil {
			parts = append(parts, l.String()+": "+strings.Join(kinds, ", "))
		}
	}
	return strings.Join(parts, "; ")
}

// Revocation is a key that a shop has revoked, and when that was heard here.
type Revocation struct {
	Shop, Key exchange.Key
	Because   string
	Heard     time.Time
}

// ErrUnknownShop says that nothing was heard of a shop yet.
var ErrUnknownShop = errors.New("nothing was heard of that shop yet")

// Shops lists the shops that were heard of, in order of their names, then keys.
func (b *Base) Shops(context.Context) (all []Shop, err error) {
	err = b.kv.view(func(r reader) error {
		return r.scan([]byte{keyShop}, func(_, value []byte) error {
			var s Shop
			err := decodeRecord(value, &s)
			all = append(all, s)
			return err
		})
	})
	slices.SortStableFunc(all, func(x, y Shop) int { return board.CompareNatural(x.Name, y.Name) })
	return all, err
}

// Revocations lists the keys that were revoked.
func (b *Base) Revocations(context.Context) (all []Revocation, err error) {
	err = b.kv.view(func(r reader) error {
		return r.scan([]byte{keyRevoked}, func(_, value []byte) error {
			var rev Revocation
			err := decodeRecord(value, &rev)
			all = append(all, rev)
			return err
		})
	})
	return all, err
}

// shop reads what is known of a shop; of one that was never heard of, nothing but
// its key.
func shop(r reader, key exchange.Key) (Shop, error) {
	s := Shop{Key: key}
	value, err := r.get(shopKey(key))
	if errors.Is(err, errNoKey) {
		return s, nil
	}
	if err != nil {
		return s, err
	}
	return s, decodeRecord(value, &s)
}

// Trust says how far a shop is trusted in some kinds of knowledge, and makes what
// it has said count, or no more. The name is kept if none is known yet.
func (b *Base) Trust(ctx context.Context, key exchange.Key, name string, level Level, kinds []exchange.Kind, author string) ([]Adoption, error) {
	b.changing.Lock()
	defer b.changing.Unlock()
	if b.readOnly {
		return nil, errReadOnly
	}
	if err := b.setTrust(key, name, level, kinds); err != nil {
		return nil, err
	}
	of, err := b.sharedBy(ctx, key)
	if err != nil {
		return nil, err
	}
	return b.adoptAll(ctx, of, author)
}

func (b *Base) setTrust(key exchange.Key, name string, level Level, kinds []exchange.Kind) error {
	return b.kv.update(func(w writer) error {
		s, err := shop(w, key)
		if err != nil {
			return err
		}
		if s.Since.IsZero() {
			s.Since = b.now().UTC().Truncate(time.Second)
		}
		if s.Name == "" {
			s.Name = name
		}
		for _, k := range kinds {
			s.Levels[k] = level
		}
		return putRecord(w, shopKey(key), s)
	})
}

// hear takes what a shop says about its keys. It reports what that came to, in
// words; nothing is said of what was known.
func (b *Base) hear(word *exchange.Word) (said string, err error) {
	err = b.kv.update(func(w writer) error {
		if word.Change() {
			said, err = b.succeed(w, word)
		} else {
			said, err = b.revoke(w, word)
		}
		return err
	})
	return said, err
}

// succeed gives a new key the trust of the old one. A key that was revoked
// names no other, and the first one named stays.
func (b *Base) succeed(w writer, word *exchange.Word) (string, error) {
	old, err := shop(w, word.Key)
	if err != nil || old.Since.IsZero() || old.Next == word.To {
		return "", err
	}
	gone, err := revoked(w, word.Key, word.Key)
	switch {
	case err != nil:
		return "", err
	case gone != nil:
		return fmt.Sprintf("%s was revoked, so its word that %s takes its place does not count", word.Key, word.To), nil
	case old.Next.Known():
		return fmt.Sprintf("%s says now that %s takes its place, and before that it was %s: ask the shop which", word.Key, word.To, old.Next), nil
	}
	next, err := shop(w, word.To)
	if err != nil {
		return "", err
	}
	old.Next, next.Was = word.To, word.Key
	for k := range next.Levels {
		next.Levels[k] = max(next.Levels[k], old.Levels[k])
	}
	if next.Since.IsZero() {
		next.Since = b.now().UTC().Truncate(time.Second)
	}
	if next.Name == "" {
		next.Name = word.Shop
	}
	return fmt.Sprintf("%s has a new key, %s, in place of %s", next.Name, word.To, word.Key),
		errors.Join(putRecord(w, shopKey(old.Key), old), putRecord(w, shopKey(next.Key), next))
}

// revoke notes that a key holds no more, from now on by the clock of this
// machine: whoever stole it can claim any time.
func (b *Base) revoke(w writer, word *exchange.Word) (string, error) {
	known, err := revoked(w, word.By, word.Key)
	if err != nil || known != nil {
		return "", err
	}
	rev := Revocation{Shop: word.By, Key: word.Key, Because: word.Because, Heard: b.now().UTC().Truncate(time.Second)}
	return fmt.Sprintf("%s has revoked the key %s", word.Shop, word.Key), putRecord(w, revokedKey(word.By, word.Key), rev)
}

// mostKeys is how many keys of a shop, each in the place of the one before, are
// followed: a circle of them ends nowhere.
const mostKeys = 100

// revoked finds out whether a shop, or the keys that took its place, has revoked
// a key.
func revoked(r reader, by, key exchange.Key) (*Revocation, error) {
	for range mostKeys {
		value, err := r.get(revokedKey(by, key))
		if err == nil {
			var rev Revocation
			return &rev, decodeRecord(value, &rev)
		}
		if !errors.Is(err, errNoKey) {
			return nil, err
		}
		s, err := shop(r, by)
		if err != nil || !s.Next.Known() {
			return nil, err
		}
		by = s.Next
	}
	return nil, nil
}
