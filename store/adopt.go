package store

import (
	"cmp"
	"context"
	"maps"
	"slices"
	"time"

	"netlore/store/exchange"
	"netlore/store/sheet"
)

// Adoption is what of other shops counts on one subject, and what does not.
type Adoption struct {
	Subject   Subject
	Added     int       // statements that count now and did not
	Withdrawn int       // that counted and do not any more
	Held      int       // that count
	Agreed    int       // of these, expected values that three or more shops agree on
	Moved     int       // places at which another value is expected than was
	Yielded   int       // expected values that give way to what is known here
	Waiting   int       // of shops that are not trusted so far
	Shunned   int       // that do not count here, whoever says so
	Disputed  []Dispute // that contradict what is held, or each other
}

// Dispute is a statement of another shop that contradicts another one.
type Dispute struct {
	Text    string
	Shop    exchange.Key
	Against string // what it contradicts, in words
}

// adoptAll makes what other shops say on subjects count as far as they are
// trusted. What counts depends on what is held and shared only, not on the order in
// which it came in: it is worked out anew.
func (b *Base) adoptAll(ctx context.Context, of []Subject, author string) ([]Adoption, error) {
	var all []Adoption
	for _, s := range of {
		c, a, err := b.adopt(ctx, s, nil, nil)
		if err != nil {
			return all, err
		}
		all = append(all, a)
		if c == nil {
			continue
		}
		c.event.Kind = Merged
		c.event.Author, c.event.Time = author, b.now().UTC().Truncate(time.Second)
		for i := range c.entries {
			e := &c.entries[i]
			e.Subject, e.Time = s, c.event.Time
			if e.Author == "" {
				e.Author = author
			}
		}
		// Each author's entries are numbered in one go.
		slices.SortStableFunc(c.entries, func(x, y Entry) int { return cmp.Compare(x.Author, y.Author) })
		if err := b.commit(ctx, []*change{c}); err != nil {
			return all, err
		}
	}
	return all, nil
}

// adopter works out what counts on one subject.
type adopter struct {
	m        *merge
	shops    map[exchange.Key]Shop
	wanted   []sharedEntry // of shops that are trusted in it, in order of ids
	expected []sharedEntry // expected values, which shops vote on
	current  map[exchange.ID]ID
	a        Adoption
}

// adopt works out what counts on a subject; more are entries that are not in the
// base yet, and shops are those of which something else is to be taken for known than the
// base has. The change is nil if nothing changes.
func (b *Base) adopt(ctx context.Context, s Subject, more []sharedEntry, shops map[exchange.Key]Shop) (*change, Adoption, error) {
	c := &change{subject: s}
	older, err := b.load(c)
	if err != nil {
		return nil, Adoption{}, err
	}
	a := &adopter{m: newMerge(c, Addition{Subject: s}, older), shops: map[exchange.Key]Shop{}, current: map[exchange.ID]ID{}, a: Adoption{Subject: s}}
	maps.Copy(a.shops, shops)
	if err := b.kv.view(func(r reader) error { return a.collect(ctx, r, more) }); err != nil {
		return nil, a.a, err
	}
	before := a.before()
	content, err := a.settle(ctx)
	if err != nil {
		return nil, a.a, err
	}
	a.a.Moved = moved(before, content)
	return a.change(content), a.a, nil
}

// collect finds what is shared, and what of it counts now.
func (a *adopter) collect(ctx context.Context, r reader, more []sharedEntry) error {
	gone, err := withdrawals(r, a.a.Subject)
	if err != nil {
		return err
	}
	shunned, err := shunnedIDs(r)
	if err != nil {
		return err
	}
	take := func(e sharedEntry) error {
		if err := ctx.Err(); err != nil || e.made {
			return err
		}
		withdrawn, err := takenBack(r, e.shop, gone[e.id])
		if err != nil || withdrawn {
			return err
		}
		if _, is := shunned[e.id]; is {
			a.a.Shunned++
			return nil
		}
		return a.weigh(r, e)
	}
	if err := sharedOn(r, a.a.Subject, take); err != nil {
		return err
	}
	for _, e := range more {
		if err := take(e); err != nil {
			return err
		}
	}
	if more != nil {
		slices.SortFunc(a.wanted, func(x, y sharedEntry) int { return slices.Compare(x.id[:], y.id[:]) })
	}
	a.counting()
	return nil
}

// counting finds what of other shops counts now.
func (a *adopter) counting() {
	for _, h := range a.m.older {
		for _, e := range h.entries {
			if e.from != (ID{}) {
				a.current[exchange.ID(e.from)] = e.id
			}
		}
	}
}

// shop is what is known of a shop.
func (a *adopter) shop(r reader, key exchange.Key) (Shop, error) {
	s, known := a.shops[key]
	if known {
		return s, nil
	}
	s, err := shop(r, key)
	a.shops[key] = s
	return s, err
}

// before is what is expected now; nil if nothing of it can change.
func (a *adopter) before() *sheet.Content {
	if len(a.expected) == 0 && len(a.current) == 0 {
		return nil
	}
	l := newListing("\x00before")
	for _, h := range a.m.older {
		for _, e := range h.entries {
			if exchange.KindOf(e.text) == exchange.Expected {
				l.add(e.text, "")
			}
		}
	}
	content, _ := sheet.Read(l.file()) // it has been read before
	return content
}

// weigh wants an entry if its shop is trusted in its kind.
func (a *adopter) weigh(r reader, e sharedEntry) error {
	by, err := a.shop(r, e.shop)
	if err != nil {
		return err
	}
	switch kind := exchange.KindOf(e.text); {
	case !by.heeded(kind):
		a.a.Waiting++
	case kind == exchange.Expected:
		a.expected = append(a.expected, e)
		return a.predecessors(r, by)
	default:
		a.wanted = append(a.wanted, e)
	}
	return nil
}

// predecessors reads what is known of the keys whose place a key took.
func (a *adopter) predecessors(r reader, s Shop) (err error) {
	for range mostKeys {
		if err != nil || !s.Was.Known() {
			return err
		}
		s, err = a.shop(r, s.Was)
	}
	return err
}

// change is what has to be written so that what is wanted counts, and nothing
// else.
func (a *adopter) change(content *sheet.Content) *change {
	c := a.m.change
	a.a.Held = len(a.wanted)
	stay := map[exchange.ID]bool{}
	for _, e := range a.wanted {
		stay[e.id] = true
		if _, counts := a.current[e.id]; counts {
			continue
		}
		by := a.shops[e.shop]
		author := agreedBy
		if e.shop.Known() {
			author = exchange.Signer{Shop: e.shop, Name: by.Name}.Label()
		}
		c.entries = append(c.entries, Entry{Text: e.text, From: ID(e.id), Author: author})
		a.a.Added++
	}
	var gone []ID
	for from, id := range a.current {
		if !stay[from] {
			gone = append(gone, id)
		}
	}
	slices.SortFunc(gone, func(x, y ID) int { return slices.Compare(x[:], y[:]) })
	for some := range slices.Chunk(gone, maxIDs) {
		c.entries = append(c.entries, Entry{Retracts: some})
	}
	a.a.Withdrawn = len(gone)
	c.event.New, c.event.Withdrawn = a.a.Added, len(gone)
	if len(c.entries) == 0 {
		return nil
	}
	if content != nil {
		a.m.see(content)
	}
	return c
}
