package cli

import (
	"context"
	"fmt"

	"netlore/store"
	"netlore/store/exchange"
)

// tellInStep tells that there was nothing to do.
func (m *mirroring) tellInStep() error {
	if m.app.json {
		writeJSON(m.app.Out, map[string]any{"folder": m.name, "in_step": true})
		return nil
	}
	return m.app.line("%s: in step with the base, nothing to do", m.name)
}

// tell tells what went each way, or would go.
func (m *mirroring) tell(ctx context.Context, base *store.Base) error {
	a, r := m.app, &m.result
	if a.json {
		writeJSON(a.Out, m.json())
		a.complain(r.odd)
		return nil
	}
	a.complain(r.odd)
	if err := m.tellIn(ctx, base); err != nil {
		return err
	}
	if err := m.tellOut(); err != nil {
		return err
	}
	if !m.shares() && !m.opt.takeOnly {
		a.say("netlore: this shop shares nothing in %s; with a licence it does: netlore mirror %s --licence CC0-1.0", m.name, shellWord(m.name))
	}
	return nil
}

// tellIn tells what came in.
func (m *mirroring) tellIn(ctx context.Context, base *store.Base) error {
	a, t := m.app, m.result.taken
	new := "new in the base"
	if m.opt.dryRun {
		new = "would be new in the base"
	}
	if err := a.line("%s: %s %s, %d known already", m.name, plural(t.New, "statement"), new, t.Known); err != nil {
		return err
	}
	if err := a.tellWhatCame(ctx, base, t, !m.opt.dryRun); err != nil || t.Receipt == 0 {
		return err
	}
	return a.line("taken as pack %d; netlore merge undo %d takes it back", t.Receipt, t.Receipt)
}

// tellOut tells what went out.
func (m *mirroring) tellOut() error {
	if !m.shares() {
		return nil
	}
	a, r := m.app, &m.result
	by := fmt.Sprintf("under %s, signed by %s with the key %s", m.opt.licence, m.identity.Signer, m.identity.Shop)
	if !m.opt.dryRun {
		return a.line("%s: %s new in the folder, %d withdrawn, %s written; %s", m.name, plural(r.added, "statement"), r.gone, plural(r.files, "file"), by)
	}
	if err := a.showLeaving(r.out); err != nil {
		return err
	}
	a.say("netlore: %s would be new in the folder, %d withdrawn; %s", plural(r.added, "statement"), r.gone, by)
	return nil
}

// showLeaving prints what would leave the shop, as sheets.
func (a *app) showLeaving(all []leaving) error {
	for i, l := range all {
		if i > 0 {
			if err := a.print("\n"); err != nil {
				return err
			}
		}
		if err := a.print(string(exchange.Sheet(l.of, l.blocks))); err != nil {
			return err
		}
		for _, text := range l.gone {
			if err := a.line("# withdrawn: %s", firstLine([]byte(text))); err != nil {
				return err
			}
		}
	}
	return nil
}

func leavingJSON(all []leaving) []any {
	out := []any{}
	for _, l := range all {
		out = append(out, map[string]any{"of": l.of, "new": given(l.blocks), "withdrawn": given(l.gone)})
	}
	return out
}

// json is a run in machine form.
func (m *mirroring) json() map[string]any {
	r := &m.result
	return map[string]any{"folder": m.name, "in_step": false, "dry_run": m.opt.dryRun, "in": takenJSON(m.name, r.taken), "new": r.added, "withdrawn": r.gone, "files": r.files,
		"licence": m.opt.licence, "kinds": m.opt.kinds, "leaving": leavingJSON(r.out)}
}
