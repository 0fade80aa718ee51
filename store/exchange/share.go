package exchange

import (
	"crypto/hmac"
	"crypto/sha256"
	"fmt"
	"slices"
	"time"

	"netlore/store/board"
	"netlore/store/sheet"
)

// Blocks makes of what is known of a subject what may leave the shop, as canonical
// blocks in canonical order. What leaves is copied field by field: whatever a
// reading is given in times to come stays here until it is named below. Jobs stay
// here; of readings, so do who took them, on which job, the remark, and the day: the
// month is told. The name of a specimen gives way to one that this bench alone
// can make. A statement that no batch can hold is several, each with a part of its
// members: what is stated of one thing adds up.
func (i *Identity) Blocks(c *sheet.Content) []string {
	shared := &sheet.Content{Board: c.Board, Stack: c.Stack}
	if k := c.Knowledge; k != nil {
		shared.Knowledge = i.shareable(k)
	}
	blocks, _ := blocksOf(string(sheet.Write(shared))) // what we write is a sheet
	return parted(blocks)
}

func (i *Identity) shareable(k *board.Knowledge) *board.Knowledge {
	by := i.Label()
	s := &board.Knowledge{}
	for _, r := range k.Readings {
		s.Readings = append(s.Readings, board.Reading{Mode: r.Mode, On: r.On, To: r.To, Outcome: r.Outcome, Value: r.Value,
			RedGround: r.RedGround, BlackGround: r.BlackGround, Meter: r.Meter, State: r.State, Good: r.Good,
			Specimen: i.specimen(r.Specimen, r.Job), By: by, When: month(r.When)})
	}
	for _, e := range k.Expected {
		s.Expected = append(s.Expected, board.Expected{Mode: e.Mode, On: e.On, Value: e.Value, Within: e.Within, Open: e.Open,
			By: by, When: day(e.When), Text: e.Text})
	}
	for _, n := range k.Notes {
		s.Notes = append(s.Notes, board.Note{On: n.On, Text: n.Text, Tags: n.Tags, By: by, When: day(n.When)})
	}
	for _, l := range k.Links {
		s.Links = append(s.Links, board.Link{A: l.A, B: l.B, By: by, When: month(l.When)})
	}
	for _, q := range k.Questions {
		s.Questions = append(s.Questions, board.SavedQuestion{Name: q.Name, Parameters: q.Parameters, Text: q.Text})
	}
	for _, m := range k.Meters {
		s.Meters = append(s.Meters, board.Meter{Name: m.Name, Test: m.Test, Open: m.Open, Shows: m.Shows, Leads: m.Leads,
			RedGround: m.RedGround, BlackGround: m.BlackGround})
	}
	for _, c := range k.Chances {
		s.Chances = append(s.Chances, board.Chance{Of: c.Of, Text: c.Text, Often: c.Often, Short: c.Short,
			Part: c.Part, Bridge: c.Bridge, Zone: c.Zone, Several: c.Several, Else: c.Else, Second: c.Second,
			Miss: c.Miss, Alarm: c.Alarm, By: by, When: day(c.When)})
	}
	return s
}

// specimen is what a specimen is called outside: the same for the same one, and
// nobody can tell which it is. A device without a name is told by its job.
func (i *Identity) specimen(name, job string) string {
	if name == "" && job == "" {
		return ""
	}
	if name == "" {
		name = "job " + job
	}
	mac := hmac.New(sha256.New, i.specimens)
	mac.Write([]byte(name))
	return fmt.Sprintf("s-%.5x", mac.Sum(nil))
}

func month(t time.Time) time.Time {
	if t.IsZero() {
		return t
	}
	return time.Date(t.Year(), t.Month(), 1, 0, 0, 0, 0, time.UTC)
}

func day(t time.Time) time.Time {
	if t.IsZero() {
		return t
	}
	return time.Date(t.Year(), t.Month(), t.Day(), 0, 0, 0, 0, time.UTC)
}

// Of is the blocks that are of one of the kinds.
func Of(blocks []string, kinds []Kind) []string {
	return slices.DeleteFunc(slices.Clone(blocks), func(b string) bool { return !slices.Contains(kinds, KindOf(b)) })
}
