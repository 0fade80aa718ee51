package store

import (
	"cmp"
	"context"
	"slices"
	"time"

	"netlore/query/diag"
	"netlore/store/exchange"
	"netlore/store/sheet"
)

// Adoption is what of other shops counts on one subject, and what does not.
type Adoption struct {
	Subject   Subject
	Added     int       // statements that count now and did not
	Withdrawn int       // that counted and do not any more
	Held      int       // that count
	Waiting   int       // of shops that are not trusted so far
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
		c, a, err := b.adopt(ctx, s, nil)
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
	m       *merge
	shops   map[exchange.Key]Shop
	wanted  []sharedEntry // of shops that are trusted in it, in order of ids
	current map[exchange.ID]ID
	a       Adoption
}

// adopt works out what counts on a subject; more are entries that are not in the
// base yet. The change is nil if nothing changes.
func (b *Base) adopt(ctx context.Context, s Subject, more []sharedEntry) (*change, Adoption, error) {
	c := &change{subject: s}
	older, err := b.load(c)
	if err != nil {
		return nil, Adoption{}, err
	}
	a := &adopter{m: newMerge(c, Addition{Subject: s}, older), shops: map[exchange.Key]Shop{}, current: map[exchange.ID]ID{}, a: Adoption{Subject: s}}
	if err := b.kv.view(func(r reader) error { return a.collect(ctx, r, more) }); err != nil {
		return nil, a.a, err
	}
	content, err := a.settle(ctx)
	if err != nil {
		return nil, a.a, err
	}
	return a.change(content), a.a, nil
}

// collect finds what is shared, and what of it counts now.
func (a *adopter) collect(ctx context.Context, r reader, more []sharedEntry) error {
	gone, err := withdrawals(r, a.a.Subject)
	if err != nil {
		return err
	}
	take := func(e sharedEntry) error {
		if err := ctx.Err(); err != nil || e.made {
			return err
		}
		withdrawn, err := a.withdrawn(r, e.shop, gone[e.id])
		if err != nil || withdrawn {
			return err
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
	for _, h := range a.m.older {
		for _, e := range h.entries {
			if e.from != (ID{}) {
				a.current[exchange.ID(e.from)] = e.id
			}
		}
	}
	return nil
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

// withdrawn reports whether a shop, or the keys that took its place, is among those
// that have withdrawn an entry.
func (a *adopter) withdrawn(r reader, key exchange.Key, by []exchange.Key) (bool, error) {
	for range mostKeys {
		if len(by) == 0 || slices.Contains(by, key) {
			return len(by) > 0, nil
		}
		s, err := a.shop(r, key)
		if err != nil || !s.Next.Known() {
			return false, err
		}
		key = s.Next
	}
	return false, nil
}

// weigh wants an entry if its shop is trusted in its kind.
func (a *adopter) weigh(r reader, e sharedEntry) error {
	by, err := a.shop(r, e.shop)
	if err != nil {
		return err
	}
	if by.Level(exchange.KindOf(e.text)) < Trusted {
		a.a.Waiting++
		return nil
	}
	a.wanted = append(a.wanted, e)
	return nil
}

// mostRounds bounds how often statements that contradict others are left out and
// the rest is read again. Each round finds up to a hundred of them.
const mostRounds = 50

// settle leaves out what contradicts what the base says itself, or what another
// shop says, and reads the rest. Neither of two shops that contradict each
// other is believed.
func (a *adopter) settle(ctx context.Context) (*sheet.Content, error) {
	own := a.m.leaveOutShared()
	held := a.m.heldFiles()
	for range mostRounds {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		if own+len(a.wanted) == 0 {
			return nil, nil
		}
		l := a.listing()
		content, list := sheet.Read(append(slices.Clone(held), l.file(), a.naming(own))...)
		if !list.HasErrors() {
			return a.m.tidy(content), nil
		}
		if !a.dispute(&l, list) {
			return nil, damage(a.a.Subject, list)
		}
	}
	for _, e := range a.wanted {
		a.a.Disputed = append(a.a.Disputed, Dispute{e.text, e.shop, "there are too many contradictions to look into"})
	}
	a.wanted = nil
	if own == 0 {
		return nil, nil
	}
	return a.m.read(held)
}

// listing is what is wanted as a sheet.
func (a *adopter) listing() listing {
	l := newListing("\x00shared")
	for _, e := range a.wanted {
		l.add(e.text, "")
	}
	return l
}

// naming is a sheet that names the subject and says no more, for what shops say of
// a board may be less than that.
func (a *adopter) naming(own int) *sheet.File {
	text := "netlore 1\n"
	if s := a.a.Subject; own == 0 && !s.Shared() {
		text += s.String() + "\n"
	}
	file, _ := sheet.Parse("\x00naming", []byte(text))
	return file
}

// dispute leaves out the statements that errors are about. It reports false if
// they are about none of them.
func (a *adopter) dispute(l *listing, list diag.List) bool {
	against := map[int]string{}
	note := func(file string, line int, message string) {
		if file != l.name {
			return
		}
		at, exact := slices.BinarySearch(l.starts, line)
		if !exact {
			at--
		}
		if at >= 0 && against[at] == "" {
			against[at] = message
		}
	}
	for _, d := range list {
		if d.Severity != diag.Error {
			continue
		}
		note(d.File, d.Line, d.Message)
		for _, r := range d.Related {
			note(r.File, r.Line, d.Message)
		}
	}
	var left []sharedEntry
	for i, e := range a.wanted {
		if message, bad := against[i]; bad {
			a.a.Disputed = append(a.a.Disputed, Dispute{e.text, e.shop, message})
		} else {
			left = append(left, e)
		}
	}
	a.wanted = left
	return len(against) > 0
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
		signer := exchange.Signer{Shop: e.shop, Name: by.Name}
		c.entries = append(c.entries, Entry{Text: e.text, From: ID(e.id), Author: signer.Label()})
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
