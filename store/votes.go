package store

import (
	"crypto/sha256"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"netlore/store/board"
	"netlore/store/exchange"
	"netlore/store/sheet"
)

// ownBoards is from how many known-good boards of the shop on its own readings go
// before what others expect.
const ownBoards = 3

// votes turns what other shops expect into what counts of it. At a place where
// the base says itself what is expected, or has read three good boards, nothing of
// others counts. Where three shops agree, trusted or merely listed, their median
// counts in place of what each says. Else what a trusted shop says counts.
func (a *adopter) votes(own *board.Knowledge) {
	var order []spot
	at := map[spot][]ballot{}
	for _, e := range a.expected {
		x, ok := expectedIn(e.text)
		if !ok {
			continue
		}
		p := spotOf(x.Mode, x.On)
		if at[p] == nil {
			order = append(order, p)
		}
		at[p] = append(at[p], ballot{e, exchange.Vote{Shop: a.first(e.shop), Expected: x}})
	}
	known := placesKnown(own)
	for _, p := range order {
		if known[p] {
			a.a.Yielded += len(at[p])
			continue
		}
		a.count(at[p])
	}
	slices.SortFunc(a.wanted, func(x, y sharedEntry) int { return slices.Compare(x.id[:], y.id[:]) })
}

// spot is where something is read, in one mode. Whether a name is said to be that of
// a net does not make another place of it.
type spot struct {
	mode board.Mode
	on   board.Target
}

func spotOf(mode board.Mode, on board.Target) spot {
	on.Kind = board.AnyTarget
	return spot{mode, on}
}

// ballot is a vote and the entry that it stands in.
type ballot struct {
	sharedEntry
	exchange.Vote
}

// count counts the votes for one place.
func (a *adopter) count(all []ballot) {
	votes := make([]exchange.Vote, len(all))
	for i := range all {
		votes[i] = all[i].Vote
	}
	agreed, off, ok := exchange.Agree(votes)
	if !ok {
		for _, b := range all {
			if s := a.shops[b.shop]; s.Level(exchange.Expected) >= Trusted {
				a.wanted = append(a.wanted, b.sharedEntry)
			} else {
				a.a.Waiting++
			}
		}
		return
	}
	agreed.By = agreedBy
	text := strings.TrimPrefix(string(sheet.Write(&sheet.Content{Knowledge: &board.Knowledge{Expected: []board.Expected{agreed}}})), "netlore 1\n\n")
	id := sha256.Sum256([]byte("agreed\n" + a.a.Subject.String() + "\n" + text))
	a.wanted = append(a.wanted, sharedEntry{id: id, text: text})
	a.a.Agreed++
	for _, v := range off {
		i := slices.IndexFunc(all, func(b ballot) bool { return b.Vote.Shop == v.Shop && b.Vote.Expected == v.Expected })
		a.a.Disputed = append(a.a.Disputed, Dispute{all[i].text, all[i].shop, fmt.Sprintf("it is far from what others agree on, %s", valueOf(&agreed))})
	}
}

// agreedBy is the author of what shops agree on.
const agreedBy = "shops that agree"

func valueOf(x *board.Expected) string {
	if x.Open {
		return "open"
	}
	return x.Value.String()
}

// expectedIn is the expected value that a canonical block states.
func expectedIn(text string) (board.Expected, bool) {
	file, _ := sheet.Parse("", []byte("netlore 1\n"+text))
	content, list := sheet.Read(file)
	if list.HasErrors() || content.Knowledge == nil || len(content.Knowledge.Expected) != 1 {
		return board.Expected{}, false
	}
	return content.Knowledge.Expected[0], true
}

// placesKnown are the places of which the base says itself what is expected, or
// has read enough good boards.
func placesKnown(k *board.Knowledge) map[spot]bool {
	known := map[spot]bool{}
	if k == nil {
		return known
	}
	for _, x := range k.Expected {
		known[spotOf(x.Mode, x.On)] = true
	}
	boards := map[spot]map[string]bool{}
	for _, r := range k.Readings {
		if !countsAsGood(&r) {
			continue
		}
		p := spotOf(r.Mode, r.On)
		if boards[p] == nil {
			boards[p] = map[string]bool{}
		}
		boards[p][r.Specimen] = true
		known[p] = known[p] || len(boards[p]) >= ownBoards
	}
	return known
}

// countsAsGood reports whether a reading is one of a good board that is told from others.
func countsAsGood(r *board.Reading) bool {
	return r.Good && r.To == (board.Target{}) && r.Specimen != ""
}

// first is the first key of a shop that has changed its key: a shop has one vote,
// however often it did so.
func (a *adopter) first(key exchange.Key) exchange.Key {
	for range mostKeys {
		s := a.shops[key]
		if !s.Was.Known() {
			break
		}
		key = s.Was
	}
	return key
}

// farMoved is by which share of it an expected value must change to be told.
const farMoved = 0.05

// moved counts the places at which another value is expected than was, by more than
// five percent or by open for a value. Places of which several values are
// stated, or none was, are not among them.
func moved(before, after *sheet.Content) (n int) {
	was, is := onlyExpected(before), onlyExpected(after)
	for p, x := range was {
		y, ok := is[p]
		if !ok {
			continue
		}
		if x.Open != y.Open || !x.Open && math.Abs(y.Value.Float()-x.Value.Float()) > farMoved*math.Abs(x.Value.Float()) {
			n++
		}
	}
	return n
}

// onlyExpected are the expected values that are the only ones at their place.
func onlyExpected(c *sheet.Content) map[spot]board.Expected {
	only, more := map[spot]board.Expected{}, map[spot]bool{}
	if c == nil || c.Knowledge == nil {
		return only
	}
	for _, x := range c.Knowledge.Expected {
		p := spotOf(x.Mode, x.On)
		if _, there := only[p]; there {
			more[p] = true
		}
		only[p] = x
	}
	maps.DeleteFunc(only, func(p spot, _ board.Expected) bool { return more[p] })
	return only
}
