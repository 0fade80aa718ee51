package link

import (
	"context"
	"errors"
	"io"
	"time"

	"netlore/query/diag"
	"netlore/store"
	"netlore/store/exchange"
)

// taking is one window of messages on its way into the base.
type taking struct {
	s     *session
	base  *store.Base
	fresh []fresh
	at    int
	marks []store.LinkMark
	known exchange.ID // which shops
}

// fresh is a message that was never taken, or cannot be one.
type fresh struct {
	seq     uint64
	message *message
	why     error // it is none
}

// take takes a window of messages, and keeps in mind how far the log was read. What
// is known is not looked into again.
func (s *session) take(ctx context.Context, window []received) error {
	return s.change(ctx, func(base *store.Base) error {
		t := taking{s: s, base: base}
		if err := t.sort(ctx, window); err != nil {
			return err
		}
		if len(t.fresh) > 0 {
			if err := t.take(ctx); err != nil {
				return err
			}
		}
		last := window[len(window)-1]
		s.state.Last, s.state.LastID = last.seq, sum(last.text)
		s.gotOn, s.log.last = true, max(s.log.last, last.seq)
		return base.KeepLink(s.state, t.marks...)
	})
}

// sort tells what is new from what is known.
func (t *taking) sort(ctx context.Context, window []received) (err error) {
	if t.known, err = shopsKnown(ctx, t.base); err != nil {
		return err
	}
	for _, r := range window {
		m, why := parse(r.text)
		if why != nil {
			t.fresh = append(t.fresh, fresh{r.seq, nil, why})
			continue
		}
		mark, found, err := t.base.Marked(t.s.opt.Log, m.batch, m.id)
		if err != nil {
			return err
		}
		if !found {
			t.fresh = append(t.fresh, fresh{r.seq, m, nil})
			continue
		}
		mark.Round, mark.Seq = t.s.state.Round, r.seq
		t.marks = append(t.marks, mark)
	}
	return nil
}

func (t *taking) take(ctx context.Context) error {
	st := &t.s.state
	taken, err := t.base.Take(ctx, t.next, store.Taking{From: FromLog + t.s.opt.Log, Author: t.s.bench.Author, Into: st.Receipt, Sparing: true, Again: true,
		Refused: func(_ *exchange.Batch, why error) { t.refused(why) }})
	if taken != nil {
		st.Receipt = max(st.Receipt, taken.Receipt)
		t.s.bench.Tell(Took{t.base, taken})
	}
	return err
}

// next is the next thing to be taken.
func (t *taking) next() (exchange.Item, error) {
	if t.at == len(t.fresh) {
		return exchange.Item{}, io.EOF
	}
	f := t.fresh[t.at]
	t.at++
	if f.why != nil {
		t.unread()
		return exchange.Item{Refused: complaint(codeRubbish, t.where(), "something on the log is no message of netlore: "+f.why.Error())}, nil
	}
	item, err := f.message.item(t.s.bench.Now())
	if err != nil {
		return exchange.Item{Refused: t.unfit(err)}, nil
	}
	t.marks = append(t.marks, store.LinkMark{Batch: f.message.batch, Message: f.message.id, Round: t.s.state.Round, Seq: f.seq, Whole: item.Batch == nil || item.Batch.Whole()})
	return item, nil
}

func (t *taking) where() string { return "log " + t.s.opt.Log }

// unfit is why a message is not taken. One that is of a day to come is left for later: it
// may be our own clock that is wrong. One that says what this program does not know is for
// a newer one.
func (t *taking) unfit(err error) error {
	var d diag.Diagnostic
	if !errors.As(err, &d) {
		return complaint("X204", t.where(), err.Error())
	}
	switch d.File = t.where(); d.Code {
	case "X203", "X214":
		t.unread()
	case "X211":
		st, until := t.leave(), t.s.bench.Now().Add(24*time.Hour)
		if st.LeftUntil.IsZero() || until.Before(st.LeftUntil) {
			st.LeftUntil = until
		}
	}
	return d
}

// refused is told that the batch that was given last is not taken. One that there was
// no room for is left until its shop is known.
func (t *taking) refused(why error) {
	t.marks = t.marks[:len(t.marks)-1]
	var d diag.Diagnostic
	errors.As(why, &d)
	switch d.Code {
	case "X206": // about something that this program does not know
		t.unread()
	case "X212":
		st := t.leave()
		st.LeftFor = both(st.LeftFor, t.known)
	}
}

// unread notes that this program cannot read the message that was given last.
func (t *taking) unread() {
	st := &t.s.state
	if seq := t.fresh[t.at-1].seq; st.Unread == 0 || seq < st.Unread {
		st.Unread, st.UnreadBy = seq, t.s.bench.Program
	}
}

// both is what messages wait for that were left while some shops were known, and others
// while others were: it is unlike either, so they are looked at again in any case.
func both(before, now exchange.ID) exchange.ID {
	if before == (exchange.ID{}) || before == now {
		return now
	}
	return sum(append(before[:], now[:]...))
}

// leave leaves the message that was given last for later.
func (t *taking) leave() *store.LinkState {
	st := &t.s.state
	if seq := t.fresh[t.at-1].seq; st.Left == 0 || seq < st.Left {
		st.Left = seq
	}
	return st
}
