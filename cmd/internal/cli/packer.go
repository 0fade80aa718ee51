package cli

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"

	"netlore/store"
	"netlore/store/exchange"
)

// packer makes one pack.
type packer struct {
	app      *app
	base     *store.Base
	identity *exchange.Identity
	opt      packOptions
	kinds    []exchange.Kind
	chosen   *wanted              // by a question; nil for all
	over     map[exchange.Key]int // statements of other benches that are taken over, by the keys of these
	others   map[string]int       // statements left out, by the licence that they came under
}

// share is what is to be shared of one subject.
type share struct {
	subject  store.Subject
	blocks   []string         // all of the kinds wanted
	unsigned map[int][]string // of these, those that no manifest of ours lists, by how often they were withdrawn before
	retracts []exchange.ID
	gone     []string // the texts of these
}

// of works out what is to be shared of a subject. What was signed before under the
// same licence and is not said any more is withdrawn.
func (p *packer) of(ctx context.Context, s store.Subject) (share, error) {
	sh := share{subject: s, unsigned: map[int][]string{}}
	made, err := p.base.Made(ctx, s, store.Ours{Keys: p.identity.Keys(), Revoked: p.identity.Revoked()})
	if err != nil {
		return sh, err
	}
	made = slices.DeleteFunc(made, func(m store.MadeEntry) bool { return m.Licence != p.opt.licence })
	plain, summed, err := p.blocks(ctx, s, made)
	if err != nil {
		return sh, err
	}
	sh.blocks = plain
	if p.opt.summed {
		sh.blocks = summed
	}
	blocks, from := p.takeOver(sh.blocks, made)
	sh.blocks = exchange.Of(blocks, p.kinds)
	if p.chosen != nil {
		sh.blocks = slices.DeleteFunc(sh.blocks, func(block string) bool { return !p.chosen.has(s, block) })
	}
	for _, text := range sh.blocks {
		if by, over := from[text]; over {
			p.over[by]++
		}
	}
	said := map[string]bool{}
	for _, text := range append(plain, summed...) {
		said[text] = true
	}
	sh.sort(made, said, p.identity.Key)
	return sh, nil
}

// all are the shares of some subjects.
func (p *packer) all(ctx context.Context, subjects []store.Subject) ([]share, error) {
	shares := make([]share, len(subjects))
	for i, s := range subjects {
		err := ctx.Err()
		if err == nil {
			shares[i], err = p.of(ctx, s)
		}
		if err != nil {
			return nil, err
		}
	}
	return shares, nil
}

// takeOver adds to what this bench says what another bench of the shop has said whose
// key was revoked, as far as it counts here: nobody else can sign it any more. From are
// the keys that have signed it.
func (p *packer) takeOver(blocks []string, made []store.MadeEntry) (all []string, from map[string]exchange.Key) {
	from = map[string]exchange.Key{}
	said, own := map[string]bool{}, len(blocks)
	for _, text := range blocks {
		said[text] = true
	}
	for _, m := range made {
		if !m.Elsewhere || !m.Counts || m.Withdrawn || said[m.Text] || !m.Lapsed && m.By != p.identity.Key {
			continue
		}
		if m.Lapsed {
			from[m.Text] = m.By
		}
		said[m.Text] = true
		blocks = append(blocks, m.Text)
	}
	if len(blocks) == own {
		return blocks, from
	}
	slices.SortStableFunc(blocks, func(x, y string) int { return cmp.Compare(exchange.KindOf(x), exchange.KindOf(y)) })
	return blocks, from
}

// sort tells what is to be signed and what to be withdrawn, after what was signed
// before. What was signed or withdrawn with a key that was revoked is signed or withdrawn
// again. What another bench says, that bench withdraws, unless this one, which has the
// key, took it over.
func (sh *share) sort(made []store.MadeEntry, said map[string]bool, key exchange.Key) {
	signed, withdrawn := map[string]bool{}, map[string]int{}
	for _, m := range made {
		over := m.Elsewhere && (m.By == key || m.Lapsed)
		retracts := false
		switch {
		case m.Withdrawn:
			withdrawn[m.Text]++
			retracts = m.Lapsed
		case over:
			retracts = m.Shunned && !said[m.Text]
			signed[m.Text] = signed[m.Text] || !m.Lapsed
		case said[m.Text]:
			signed[m.Text] = signed[m.Text] || !m.Lapsed
		default:
			retracts = !m.Elsewhere
		}
		if retracts {
			sh.retracts, sh.gone = append(sh.retracts, m.ID), append(sh.gone, m.Text)
		}
	}
	for _, text := range sh.blocks {
		if !signed[text] {
			again := withdrawn[text]
			sh.unsigned[again] = append(sh.unsigned[again], text)
		}
	}
}

// blocks is what may leave the shop of what is said on a subject, with readings
// and with summaries in their place. The latter are worked out only if they are
// wanted, or were shared before: what is still said is not to be withdrawn.
func (p *packer) blocks(ctx context.Context, s store.Subject, made []store.MadeEntry) (plain, summed []string, err error) {
	content, others, err := p.base.Said(ctx, s, p.opt.licence)
	p.leftOut(others)
	if errors.Is(err, store.ErrUnknownSubject) {
		return nil, nil, nil
	}
	if err != nil {
		return nil, nil, err
	}
	plain = p.identity.Blocks(content)
	if p.opt.summed || slices.ContainsFunc(made, func(m store.MadeEntry) bool { return strings.HasSuffix(m.Text, " \""+asRead+"\"\n") }) {
		if content, err = p.summed(ctx, s, content); err == nil {
			summed = p.identity.Blocks(content)
		}
	}
	return plain, summed, err
}

// leftOut counts what may not be shared under the licence of the pack.
func (p *packer) leftOut(others map[string]int) {
	for licence, n := range others {
		p.others[licence] += n
	}
}

// tellLeftOut tells what stays because it came under another licence.
func (p *packer) tellLeftOut() {
	for _, licence := range slices.Sorted(maps.Keys(p.others)) {
		p.app.notice(fmt.Sprintf("netlore: %s left out, which came under %s; pack them with --licence %s", plural(p.others[licence], "statement"), licence, shellWord(licence)))
	}
}

// tellTakenOver tells what this bench says from now on in the place of others.
func (p *packer) tellTakenOver() {
	for _, key := range slices.SortedFunc(maps.Keys(p.over), func(a, b exchange.Key) int { return strings.Compare(a.String(), b.String()) }) {
		p.app.notice(fmt.Sprintf("netlore: %s of the bench with the key %s, which was revoked, now in the name of this one; netlore shun keeps back what is not to be said", plural(p.over[key], "statement"), key))
	}
}
