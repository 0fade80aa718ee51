package cli

import (
	"context"
	"slices"

	"netlore/query/diag"
	"netlore/store"
	"netlore/store/exchange"
	"netlore/store/exchange/mirror"
)

// mirrored is what a run came to, or would come to.
type mirrored struct {
	taken *store.Taken
	odd   diag.List
	out   []leaving // new in the folder, of each subject; kept in a dry run only
	added int
	gone  int // statements that are withdrawn
	files int // written or removed
}

// leaving is what goes into the folder on one subject.
type leaving struct {
	of           string
	blocks, gone []string
}

// inStep reports whether nothing has changed since the last run, by a look at both
// sides.
func (m *mirroring) inStep(list *mirror.List) bool {
	l, o := &m.last, &m.opt
	same := l.InStep && !o.takeOnly && l.Licence == o.licence && l.Origin == o.origin && l.Kinds == o.kinds && l.Summaries == o.summed
	if !same || !l.Unchanged(list) {
		return false
	}
	base, who := m.stamps()
	return l.Base == base && l.Who == who
}

// stamps are those of the base and of the identity; 0 of what is not there.
func (m *mirroring) stamps() (base, who uint64) {
	if dir, err := m.app.where(); err == nil {
		base, _ = store.Stamp(dir)
	}
	if dir := exchange.Dir(m.app.Getenv); dir != "" {
		who, _ = store.Stamp(dir)
	}
	return base, who
}

// run brings both sides in step: what is in the folder is taken first, so that what
// another bench of the shop has signed is not signed twice.
func (m *mirroring) run(ctx context.Context, base *store.Base, list *mirror.List) error {
	if err := m.begin(); err != nil {
		return err
	}
	if err := m.own(ctx, base); err != nil {
		return err
	}
	if err := m.take(ctx, base, list); err != nil {
		return err
	}
	m.writer = m.folder.Write(ctx, m.reader, mirror.Writing{Identity: m.identity, Look: m.opt.dryRun})
	if m.shares() {
		if err := m.share(ctx, base); err != nil {
			return err
		}
	}
	if !m.opt.takeOnly {
		if err := m.writer.Mend(); err != nil {
			return err
		}
	}
	m.result.files = m.writer.Files
	m.result.added += len(m.writer.Added)
	m.result.gone += len(m.writer.Removed)
	m.result.odd = append(m.reader.Complaints(), m.reader.Gone(m.last.Files)...)
	return m.tell(ctx, base)
}

// begin keeps in mind that a run has begun, and with what.
func (m *mirroring) begin() error {
	if m.opt.dryRun {
		return nil
	}
	s := m.last
	s.Licence, s.Origin, s.Kinds, s.Summaries = m.opt.licence, m.opt.origin, m.opt.kinds, m.opt.summed
	s.Done, s.InStep, s.At = false, false, m.app.Now()
	return s.Save(m.file)
}

// own trusts the shop's own word from another bench, or from before its base was lost, as
// it is trusted once this one has shared something, unless that was said otherwise.
func (m *mirroring) own(ctx context.Context, base *store.Base) error {
	self := m.card
	if len(self.Keys()) == 0 || m.opt.dryRun {
		return nil
	}
	shops, err := base.Shops(ctx)
	if err != nil || slices.ContainsFunc(shops, func(s store.Shop) bool { return s.Key == self.Shop && s.Trust() != store.Unknown.String() }) {
		return err
	}
	_, err = base.Trust(ctx, self.Shop, self.Name, store.Own, exchange.Kinds(), m.app.author())
	return err
}

// take takes what is in the folder.
func (m *mirroring) take(ctx context.Context, base *store.Base, list *mirror.List) (err error) {
	p := newProgress(m.app, "reading "+m.name)
	defer p.done()
	m.reader = m.folder.Read(ctx, list, mirror.Reading{Now: m.app.now(), Ours: m.ours(), Held: func(of string, ids []exchange.ID) (map[exchange.ID]string, error) {
		return base.Shared(ctx, of, ids)
	}})
	m.result.taken, err = base.Take(ctx, m.next(p), store.Taking{From: m.name, Author: m.app.author(), Look: m.opt.dryRun, Own: m.card.Shop, Sparing: true,
		Again: !m.last.Done && !m.last.At.IsZero()})
	return err
}

// next gives what the shop itself says of its keys, then what is in the folder.
func (m *mirroring) next(p *progress) func() (exchange.Item, error) {
	words := m.card.Words
	return func() (exchange.Item, error) {
		if len(words) == 0 {
			p.show("reading %s: %s to go", m.name, plural(m.reader.Left(), "folder"))
			return m.reader.Next()
		}
		word := words[0]
		words = words[1:]
		return exchange.Item{Word: word}, nil
	}
}

// ours are the keys of this shop.
func (m *mirroring) ours() []exchange.Key { return m.card.Keys() }

// share signs what this shop shares and has not signed yet, and writes it.
func (m *mirroring) share(ctx context.Context, base *store.Base) error {
	p := packer{app: m.app, base: base, identity: m.identity, kinds: m.kinds, others: map[string]int{}, over: map[exchange.Key]int{},
		opt: packOptions{licence: m.opt.licence, origin: m.opt.origin, summed: m.opt.summed, to: m.name}}
	defer p.tellLeftOut()
	defer p.tellTakenOver()
	subjects, err := m.subjects(ctx, base)
	if err != nil {
		return err
	}
	shares, err := p.all(ctx, subjects)
	if err != nil {
		return err
	}
	for _, sh := range shares {
		m.note(sh)
	}
	if m.opt.dryRun {
		return nil
	}
	if err := p.sign(ctx, shares); err != nil {
		return err
	}
	return m.write(ctx, base, shares)
}

// subjects are what the base holds or held, and what sheets of this shop are about.
func (m *mirroring) subjects(ctx context.Context, base *store.Base) ([]store.Subject, error) {
	all, err := m.app.packed(ctx, base, nil)
	for _, of := range m.reader.Subjects() {
		if s, ok := store.SubjectOf(of); ok && !slices.Contains(all, s) {
			all = append(all, s)
		}
	}
	return all, err
}

// note notes what would go into the folder.
func (m *mirroring) note(sh share) {
	if !m.opt.dryRun {
		return
	}
	l := leaving{of: sh.subject.String(), gone: sh.gone}
	for _, text := range sh.blocks {
		if !slices.ContainsFunc(m.ours(), func(k exchange.Key) bool { return m.writer.Has(k, l.of, text) }) {
			l.blocks = append(l.blocks, text)
		}
	}
	m.result.added += len(l.blocks)
	m.result.gone += len(l.gone)
	if len(l.blocks)+len(l.gone) > 0 {
		m.result.out = append(m.result.out, l)
	}
}

// write writes the sheets of this shop.
func (m *mirroring) write(ctx context.Context, base *store.Base, shares []share) error {
	p := newProgress(m.app, "writing "+m.name)
	defer p.done()
	if err := m.writer.Shop(); err != nil {
		return err
	}
	revoked, err := base.Revocations(ctx)
	if err != nil {
		return err
	}
	for _, rev := range revoked {
		if slices.Contains(m.ours(), rev.Shop) {
			m.writer.Revoked = append(m.writer.Revoked, rev.Key)
		}
	}
	for n, sh := range shares {
		p.show("writing %s: %s, %d of %d boards", m.name, plural(m.writer.Files, "file"), n, len(shares))
		batches, err := m.batches(ctx, base, sh)
		if err != nil {
			return err
		}
		if err := m.writer.Subject(sh.subject.String(), batches); err != nil {
			return err
		}
	}
	return nil
}

// batches are what the sheets of this shop are to say on a subject, with the
// signatures: what is to be shared, and what another bench of the shop has shared. What
// was signed under another licence stays where it is in the folder, unless its key was
// revoked, and is not brought there.
func (m *mirroring) batches(ctx context.Context, base *store.Base, sh share) (all []*exchange.Batch, err error) {
	wanted, of := map[string]bool{}, sh.subject.String()
	for _, text := range sh.blocks {
		wanted[text] = true
	}
	keep := func(e store.SignedEntry) bool {
		if e.Withdrawn || e.Lapsed || !slices.Contains(m.ours(), e.Shop) {
			return false
		}
		return e.Text == "" || wanted[e.Text] || m.writer.Has(e.Shop, of, e.Text)
	}
	err = base.Signed(ctx, sh.subject, keep, func(b *exchange.Batch) error {
		if b.Licence == m.opt.licence || m.writer.Belongs(of, b) {
			all = append(all, b)
		}
		return nil
	})
	return all, err
}

// keep keeps in mind how both sides are left, so that the next run can tell at a look
// whether something has changed.
func (m *mirroring) keep(ctx context.Context) error {
	if m.opt.dryRun {
		return m.exit()
	}
	at := m.app.Now() // of the look, which comes after
	list, alone, err := m.writer.After()
	if err != nil {
		return err
	}
	s := m.last
	s.Licence, s.Origin, s.Kinds, s.Summaries = m.opt.licence, m.opt.origin, m.opt.kinds, m.opt.summed
	s.Done, s.At, s.Files = true, at, list.Files
	s.InStep = alone && !m.opt.takeOnly && m.exit() == nil
	s.Base, s.Who = m.stamps()
	if err := s.Save(m.file); err != nil {
		return err
	}
	return m.exit()
}

// exit is the exit code: whether something was found that is to be looked at.
func (m *mirroring) exit() error {
	odd := func(d diag.Diagnostic) bool { return d.Severity != diag.Note }
	if len(m.result.taken.Refused) > 0 || slices.ContainsFunc(m.result.odd, odd) {
		return fail(exitFound, nil)
	}
	return nil
}
