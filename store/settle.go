package store

import (
	"context"
	"slices"

	"netlore/query/diag"
	"netlore/store/sheet"
)

// mostRounds bounds how often statements that contradict others are left out and
// the rest is read again. Each round finds up to a hundred of them.
const mostRounds = 50

// settle leaves out what contradicts what the base says itself, or what another
// shop says, and reads the rest. Neither of two shops that contradict each
// other is believed.
func (a *adopter) settle(ctx context.Context) (*sheet.Content, error) {
	own := a.m.leaveOutShared()
	held := a.m.heldFiles()
	if s := a.a.Subject; own == 0 && !s.Shared() {
		held = append(held, naming(s)) // what shops say of a board may be less than that
	}
	if len(a.expected) > 0 {
		content, _ := sheet.Read(held...) // what is wrong with it is told below
		a.votes(content.Knowledge)
	}
	for range mostRounds {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		if own+len(a.wanted) == 0 {
			return nil, nil
		}
		l := a.listing()
		content, list := sheet.Read(append(slices.Clone(held), l.file())...)
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

// dispute leaves out the statements that errors are about. It reports false if
// they are about none of them.
func (a *adopter) dispute(l *listing, list diag.List) bool {
	against := map[int]string{}
	note := func(file string, line int, message string) {
		if file != l.name {
			return
		}
		if at := l.at(line); at >= 0 && against[at] == "" {
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
