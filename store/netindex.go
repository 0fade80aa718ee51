package store

import (
	"bytes"
	"encoding/binary"
	"errors"
	"maps"
	"slices"
	"strings"
	"unicode"

	"netlore/store/board"
)

// The index of nets tells which boards have a net of some name, so that a
// question of every board reads those only, and of these an excerpt only.
//
// For every name of a net or branch of the current view of a board there is a
// row; that always holds. There may be rows too many: of an addition that was
// cut short, of names that are gone. A row that is not of the current view says
// no more than that the board itself must be read, which is never wrong.

// netRow is a row of the index: under a name, what hangs on the net.
type netRow struct {
	key     []byte
	excerpt []byte // snapshot; empty if only the board itself tells
}

// netRows yields the rows of a board. Ground hangs on everything, and a branch
// or a second name is rarely asked for: they have no excerpts.
func netRows(b *board.Board, subject subjectID, yield func(netRow) error) error {
	x, others := newExcerpter(b), otherNames(b)
	for i := range b.Nets {
		n := &b.Nets[i]
		row := netRow{key: netKey(n.Name, subject)}
		if n.Kind != board.Ground && !others[n.Name] {
			if e := x.of(board.NetID(i)); e != nil {
				row.excerpt = EncodeBoard(e)
			}
		}
		if err := yield(row); err != nil {
			return err
		}
		delete(others, n.Name)
	}
	for _, name := range slices.Sorted(maps.Keys(others)) {
		if err := yield(netRow{key: netKey(name, subject)}); err != nil {
			return err
		}
	}
	return nil
}

// otherNames are second names of nets, and names of branches.
func otherNames(b *board.Board) map[string]bool {
	others := map[string]bool{}
	for i := range b.Nets {
		for _, name := range b.Nets[i].Aliases {
			others[name] = true
		}
	}
	for i := range b.Branches {
		others[b.Branches[i].Name] = true
	}
	return others
}

// netKey is n FOLDED \x00 NAME \x00 SUBJECT.
func netKey(name string, subject subjectID) []byte {
	key := netPrefix(name)
	key = append(append(key, 0), name...)
	return binary.BigEndian.AppendUint32(append(key, 0), uint32(subject))
}

// netPrefix is what the keys of all names begin with that begin so, whatever
// the case of their letters.
func netPrefix(name string) []byte {
	return append([]byte{keyNet}, strings.Map(folded, name)...)
}

// folded is the same for two letters that differ by case in any way.
func folded(r rune) rune {
	r = unicode.ToLower(r)
	least := r
	for other := unicode.SimpleFold(r); other != r; other = unicode.SimpleFold(other) {
		least = min(least, other)
	}
	return least
}

// splitNetKey takes the name and the subject out of a key.
func splitNetKey(key []byte) (string, subjectID, error) {
	_, rest, ok := bytes.Cut(key, []byte{0})
	if n := len(rest) - 5; ok && n >= 0 && rest[n] == 0 {
		return string(rest[:n]), subjectID(binary.BigEndian.Uint32(rest[n+1:])), nil
	}
	return "", 0, errDamaged("a row of the index of nets has no name")
}

// putNets writes the rows of the board of a change.
func (c *change) putNets(put func(key, value []byte) error, batch batchID) error {
	if c.view.content == nil {
		return nil
	}
	return netRows(c.view.content, c.record.ID, func(row netRow) error {
		return put(row.key, append(binary.BigEndian.AppendUint64(nil, uint64(batch)), row.excerpt...))
	})
}

// staleNets are the keys of rows that the changes make useless.
func (b *Base) staleNets(changes []*change) (keys [][]byte, err error) {
	err = b.kv.view(func(r reader) error {
		for _, c := range changes {
			some, err := c.staleNets(r)
			if err != nil {
				return err
			}
			keys = append(keys, some...)
		}
		return nil
	})
	return keys, err
}

func (c *change) staleNets(r reader) ([][]byte, error) {
	if c.record.View == 0 || c.subject.kind() != kindBoard {
		return nil, nil
	}
	snapshot, err := r.get(viewKey(c.record.ID, c.record.View, partBoard))
	if err != nil {
		return nil, missingView(err, c.subject)
	}
	old, err := DecodeBoard(snapshot)
	if err != nil {
		if errors.Is(err, errOtherVersion) {
			return nil, nil
		}
		return nil, err
	}
	stale := netNames(old)
	if c.view != nil {
		for name := range netNames(c.view.content) {
			delete(stale, name)
		}
	}
	var keys [][]byte
	for _, name := range slices.Sorted(maps.Keys(stale)) {
		keys = append(keys, netKey(name, c.record.ID))
	}
	return keys, nil
}

// netNames are the names that have rows.
func netNames(b *board.Board) map[string]bool {
	names := otherNames(b)
	for i := range b.Nets {
		names[b.Nets[i].Name] = true
	}
	return names
}
