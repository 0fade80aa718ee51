package store

import (
	"context"
	"encoding/binary"
	"errors"
	"time"
)

// ErrUnknownReceipt says that no pack was taken under a number.
var ErrUnknownReceipt = errors.New("no pack was taken under that number")

// Receipt is one pack that was taken, or made for others.
type Receipt struct {
	Number  uint64
	Time    time.Time
	Author  string
	From    string // what was taken
	Made    bool   // for others, by this base
	New     int    // entries that were not known before
	Known   int
	Refused int
	Undone  time.Time `json:",omitzero"`
}

// Receipts lists the packs that were taken and made, oldest first.
func (b *Base) Receipts(context.Context) (all []Receipt, err error) {
	err = b.kv.view(func(r reader) error {
		return r.scan([]byte{keyReceipt}, func(_, value []byte) error {
			var rec Receipt
			err := decodeRecord(value, &rec)
			all = append(all, rec)
			return err
		})
	})
	return all, err
}

// nextReceipt begins a receipt, so that what is written under its number can be
// found again even if the rest is cut short.
func (b *Base) nextReceipt(rec Receipt) (Receipt, error) {
	err := b.kv.update(func(w writer) error {
		last := uint64(0)
		if err := w.scan([]byte{keyReceipt}, func(key, _ []byte) error {
			last = binary.BigEndian.Uint64(key[1:])
			return nil
		}); err != nil {
			return err
		}
		rec.Number, rec.Time = last+1, b.now().UTC().Truncate(time.Second)
		return putRecord(w, receiptKey(rec.Number), rec)
	})
	return rec, err
}

// receiptFor is the receipt under which a pack is taken: the one to go on with if it is of
// today, else a new one.
func (b *Base) receiptFor(opt Taking) (Receipt, error) {
	rec, err := b.receipt(opt.Into)
	sameDay := rec.Time.Format(time.DateOnly) == b.now().UTC().Format(time.DateOnly)
	switch {
	case errors.Is(err, ErrUnknownReceipt):
	case err != nil, sameDay && rec.From == opt.From && rec.Author == opt.Author && rec.mayUndo() == nil:
		return rec, err
	}
	return b.nextReceipt(Receipt{Author: opt.Author, From: opt.From})
}

func (b *Base) receipt(n uint64) (rec Receipt, err error) {
	return rec, b.kv.view(func(r reader) error {
		value, err := r.get(receiptKey(n))
		if errors.Is(err, errNoKey) {
			return ErrUnknownReceipt
		}
		if err != nil {
			return err
		}
		return decodeRecord(value, &rec)
	})
}

func (r *Receipt) mayUndo() error {
	switch {
	case r.Made:
		return errors.New("that pack was made here, and what has left the shop cannot be called back")
	case !r.Undone.IsZero():
		return errors.New("that pack was undone already, on " + r.Undone.Format(time.DateOnly))
	}
	return nil
}
