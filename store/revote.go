package store

import (
	"context"
	"errors"
	"slices"
	"strings"

	"netlore/store/board"
	"netlore/store/exchange"
	"netlore/store/sheet"
)

// revote works out anew what counts of what other shops expect, where changes that were
// made here may say otherwise: own word and three good boards of one's own go first,
// whichever came first. The changes are made, so it is done to the end.
func (b *Base) revote(ctx context.Context, changes ...*change) error {
	for _, c := range changes {
		if !c.movesVotes() {
			continue
		}
		voted, err := b.voted(c.subject)
		if err == nil && voted {
			_, err = b.adoptAll(context.WithoutCancel(ctx), []Subject{c.subject}, c.event.Author)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// movesVotes reports whether a change may touch what is said here of what is expected, or
// was read of good boards.
func (c *change) movesVotes() bool {
	return !c.subject.Job && !c.subject.Shared() && slices.ContainsFunc(c.entries, func(e Entry) bool {
		return len(e.Retracts)+len(e.Supersedes) > 0 || exchange.KindOf(e.Text) == exchange.Expected || readsGood(e.Text)
	})
}

// readsGood reports whether a canonical block is a reading of a good board that is told from
// others.
func readsGood(text string) bool {
	if !strings.HasPrefix(text, "reading ") || !strings.Contains(text, " good") {
		return false
	}
	file, _ := sheet.Parse("", []byte("netlore 1\n"+text))
	content, _ := sheet.Read(file)
	return content.Knowledge != nil && slices.ContainsFunc(content.Knowledge.Readings, func(r board.Reading) bool { return countsAsGood(&r) })
}

// voted reports whether another shop that is heeded in that has said what it expects on a
// subject.
func (b *Base) voted(s Subject) (bool, error) {
	some := errors.New("there is one")
	shops := map[exchange.Key]Shop{}
	err := b.kv.view(func(r reader) error {
		return sharedOn(r, s, func(e sharedEntry) (err error) {
			if e.made || exchange.KindOf(e.text) != exchange.Expected {
				return nil
			}
			by, known := shops[e.shop]
			if !known {
				if by, err = shop(r, e.shop); err != nil {
					return err
				}
				shops[e.shop] = by
			}
			if by.heeded(exchange.Expected) {
				return some
			}
			return nil
		})
	})
	if errors.Is(err, some) {
		return true, nil
	}
	return false, err
}
