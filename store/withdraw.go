package store

import (
	"context"
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strings"

	"netlore/store/board"
)

// ErrNotStated says that the base holds no such statement.
var ErrNotStated = errors.New("not stated in the knowledge base")

// Withdraw withdraws one statement on what is known of a board or stack, such as
// a reading, that it holds in this canonical text. What the board is made of is
// corrected, not withdrawn. History stays. ErrNotStated if it is not held.
func (b *Base) Withdraw(ctx context.Context, s Subject, text, author string) (Result, error) {
	if kind, _, _ := strings.Cut(text, " "); !slices.Contains(knowledge, kind) {
		return Result{}, fmt.Errorf("%q is %w", strings.TrimSpace(text), ErrNotStated)
	}
	return b.unsay(ctx, s, text, author)
}

// Unplace withdraws a statement that says nothing but on which side and where a part or pad of a
// board is, such as "part C12 top at 12.3,8.15": what it is besides is not touched by that.
// ErrNotStated if it is not held, or says more.
func (b *Base) Unplace(ctx context.Context, ref board.Ref, text, author string) (Result, error) {
	if !onlyPlace.MatchString(text) {
		return Result{}, fmt.Errorf("%q is %w as nothing but a place", strings.TrimSpace(text), ErrNotStated)
	}
	return b.unsay(ctx, BoardSubject(ref), text, author)
}

var onlyPlace = regexp.MustCompile(`^(part|pad) ([^" \n]+|"(\\.|[^"\\\n])*") (top|bottom) at -?[0-9.]+,-?[0-9.]+\n$`)

// unsay withdraws the statements of exactly this text.
func (b *Base) unsay(ctx context.Context, s Subject, text, author string) (Result, error) {
	return b.retract(ctx, s, author, func(m *merge) ([]ID, error) {
		var ids []ID
		for _, h := range m.older {
			for _, e := range h.entries {
				if e.text == text {
					ids = append(ids, e.id)
				}
			}
		}
		if len(ids) == 0 {
			return nil, fmt.Errorf("%q is %w", strings.TrimSpace(text), ErrNotStated)
		}
		return ids, nil
	})
}

// retract withdraws the entries that find names, of which the subject keeps the
// history.
func (b *Base) retract(ctx context.Context, s Subject, author string, find func(*merge) ([]ID, error)) (Result, error) {
	if author == "" {
		return Result{}, errNoAuthor
	}
	b.changing.Lock()
	defer b.changing.Unlock()
	c := &change{subject: s}
	older, err := b.load(c)
	if err != nil {
		return Result{}, err
	}
	m := newMerge(c, Addition{Subject: s}, older)
	ids, err := find(m)
	if err != nil {
		return Result{}, err
	}
	c.event.Kind, c.event.Withdrawn = Withdrawn, len(m.supersede(ids))
	c.entries = []Entry{{Retracts: ids}}
	c.sign(author, b.now())
	content, err := m.read(m.heldFiles())
	if err != nil {
		return Result{}, damage(s, err)
	}
	if !s.Shared() || len(content.Knowledge.Questions)+len(content.Knowledge.Meters)+len(content.Knowledge.Chances) > 0 {
		m.see(content)
	}
	if err := b.commit(ctx, []*change{c}); err != nil {
		return Result{}, err
	}
	return c.result(), b.revote(ctx, c)
}

// WithdrawFound withdraws statements that were found: what is known of boards or stacks,
// and is said here and holds. Whoever has them of a pack loses them with the next one.
func (b *Base) WithdrawFound(ctx context.Context, all []Found, author string) error {
	for i := range all {
		if err := all[i].MayWithdraw(); err != nil {
			return err
		}
	}
	return b.withdrawFound(ctx, all, author)
}

// line is the first line of a statement.
func (f *Found) line() string {
	line, _, _ := strings.Cut(f.Text, "\n")
	return line
}

// MayWithdraw says why a statement that is said here and holds cannot be withdrawn.
func (f *Found) MayWithdraw() error {
	kind, _, _ := strings.Cut(f.line(), " ")
	switch {
	case f.Subject.Job:
		return fmt.Errorf("%s: it holds; take the step back, or remove the job", f.line())
	case !slices.Contains(knowledge, kind):
		return fmt.Errorf("%s: it says what %s is made of; correct it, or remove that", f.line(), f.Subject)
	}
	return nil
}

// withdrawFound withdraws what is said here and holds.
func (b *Base) withdrawFound(ctx context.Context, all []Found, author string) error {
	held := map[Subject][]ID{}
	var of []Subject
	for _, f := range all {
		if f.Shop.Known() || !f.Holds {
			continue
		}
		if held[f.Subject] == nil {
			of = append(of, f.Subject)
		}
		held[f.Subject] = append(held[f.Subject], f.ID)
	}
	for _, s := range of {
		for ids := range slices.Chunk(held[s], maxIDs) {
			if _, err := b.retract(ctx, s, author, func(*merge) ([]ID, error) { return ids, nil }); err != nil {
				return err
			}
		}
	}
	return nil
}
