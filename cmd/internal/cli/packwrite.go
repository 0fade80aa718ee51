package cli

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"

	"netlore/store"
	"netlore/store/exchange"
)

// show prints what would leave.
func (p *packer) show(ctx context.Context, subjects []store.Subject) error {
	shares, err := p.all(ctx, subjects)
	if err != nil {
		return err
	}
	entries, gone, leaves := 0, 0, []leaving{}
	for _, sh := range shares {
		gone += len(sh.gone)
		if entries += len(sh.blocks); len(sh.blocks)+len(sh.retracts) > 0 {
			leaves = append(leaves, leaving{of: sh.subject.String(), blocks: sh.blocks, gone: sh.gone})
		}
	}
	if p.app.json {
		writeJSON(p.app.Out, map[string]any{"dry_run": true, "leaving": leavingJSON(leaves), "statements": entries, "licence": p.opt.licence, "kinds": p.opt.kinds})
		return nil
	}
	if err := p.app.showLeaving(leaves); err != nil {
		return err
	}
	p.app.say("netlore: %s would leave the shop%s, under %s, signed by %s with the key %s", plural(entries, "statement"), withdrawn(gone), p.opt.licence, p.identity.Signer, p.identity.Shop)
	return nil
}

// write signs what is new, keeps the signatures, and writes the pack: the file is
// there whole or not at all.
func (p *packer) write(ctx context.Context, subjects []store.Subject) error {
	shares, err := p.all(ctx, subjects)
	if err != nil {
		return err
	}
	if err := p.sign(ctx, shares); err != nil {
		return err
	}
	entries, gone := 0, 0
	for _, sh := range shares {
		gone += len(sh.gone)
	}
	write := func(w io.Writer) (err error) {
		entries, err = p.pack(ctx, w, shares)
		return err
	}
	if p.opt.to == stdin { // the pack itself
		if err := write(p.app.Out); err != nil {
			return err
		}
		p.app.notice("netlore: " + p.done(entries, gone))
		return nil
	}
	if err := streamFile(p.opt.to, write); err != nil {
		return err
	}
	if p.app.json {
		writeJSON(p.app.Out, map[string]any{"pack": filepath.ToSlash(p.opt.to), "statements": entries, "withdrawn": gone, "licence": p.opt.licence, "shop": p.identity.Name, "bench": p.identity.Bench, "key": p.identity.Shop.String()})
		return nil
	}
	return p.app.line("%s: %s", filepath.ToSlash(p.opt.to), p.done(entries, gone))
}

// pack writes the pack itself, and tells how many statements are in it.
func (p *packer) pack(ctx context.Context, w io.Writer, shares []share) (entries int, err error) {
	out := bufio.NewWriterSize(w, 256<<10)
	pack := exchange.NewWriter(out)
	for _, word := range p.identity.Words {
		if err := pack.Word(word); err != nil {
			return 0, err
		}
	}
	for _, sh := range shares {
		n, err := p.batches(ctx, pack, sh)
		if err != nil {
			return 0, err
		}
		entries += n
	}
	return entries, errors.Join(pack.Close(), out.Flush())
}

func (p *packer) done(entries, gone int) string {
	return fmt.Sprintf("%s%s, signed by %s with the key %s", plural(entries, "statement"), withdrawn(gone), p.identity.Signer, p.identity.Shop)
}

// withdrawn tells how many statements are withdrawn, if any is.
func withdrawn(n int) string {
	if n == 0 {
		return ""
	}
	return fmt.Sprintf(", %d withdrawn", n)
}

// sign signs what no manifest of ours lists yet, and what is withdrawn, and keeps
// that.
func (p *packer) sign(ctx context.Context, shares []share) error {
	if err := p.base.Hear(p.identity.Words); err != nil {
		return err
	}
	var all []*exchange.Batch
	for _, sh := range shares {
		about := exchange.About{Of: sh.subject.String(), Licence: p.opt.licence, Origin: p.opt.origin}
		retracts := sh.retracts
		for again := 0; len(sh.unsigned)+len(retracts) > 0; again++ {
			about.Again = again
			batches, err := p.identity.Batches(about, sh.unsigned[again], retracts, p.app.now())
			if err != nil {
				return err
			}
			all = append(all, batches...)
			retracts = nil
			delete(sh.unsigned, again)
		}
	}
	return p.base.KeepMade(ctx, all, p.app.author(), p.opt.to)
}

// batches writes the batches with what is to be shared of a subject, each with
// the signature that it has had from the start, and those that withdraw something.
func (p *packer) batches(ctx context.Context, pack *exchange.Writer, sh share) (entries int, err error) {
	wanted := map[string]bool{"": true}
	for _, text := range sh.blocks {
		wanted[text] = true
	}
	keep := func(e store.SignedEntry) bool {
		switch {
		case e.Withdrawn || e.Lapsed:
			return false
		case slices.Contains(p.identity.Keys(), e.Shop):
			return wanted[e.Text]
		}
		return p.opt.others && slices.Contains(p.kinds, exchange.KindOf(e.Text))
	}
	err = p.base.Signed(ctx, sh.subject, keep, func(b *exchange.Batch) error {
		if b.Licence != p.opt.licence && slices.Contains(p.identity.Keys(), b.Signer.Shop) {
			return nil // signed for somebody else, under terms of its own
		}
		entries += len(b.Entries)
		return pack.Batch(b)
	})
	return entries, err
}

// streamFile writes a file beside its place, syncs it, and moves it there.
func streamFile(path string, write func(io.Writer) error) error {
	beside, err := os.CreateTemp(filepath.Dir(path), ".netlore-*")
	if err != nil {
		return fail(exitInput, fmt.Errorf("%s could not be written: %w", path, reason(err)))
	}
	defer os.Remove(beside.Name())
	defer beside.Close()
	if err := write(beside); err != nil {
		return err
	}
	for _, step := range []func() error{func() error { return beside.Chmod(0o644) }, beside.Sync, beside.Close,
		func() error { return os.Rename(beside.Name(), path) }, func() error { return syncFolder(filepath.Dir(path)) }} {
		if err := step(); err != nil {
			return fail(exitInput, fmt.Errorf("%s could not be written: %w", path, reason(err)))
		}
	}
	return nil
}
