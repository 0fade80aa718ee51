package run

import (
	"fmt"
	"strings"

	"netlore/query/isolate"
	"netlore/store/board"
)

// odds is how likely what is before anything is seen: as usual, unless the shop
// states otherwise.
type odds struct {
	stated  []board.Chance
	history isolate.History
	priors  isolate.Priors
	rates   isolate.Rates
	remarks []string
}

// oddsOf takes what the shop states. What cannot be is left out.
func oddsOf(stated []board.Chance, h isolate.History) *odds {
	o := &odds{history: h, priors: isolate.PriorsFor(h), rates: isolate.CommonPractice()}
	for _, c := range stated {
		if why := c.Impossible(); why != "" {
			o.remarks = append(o.remarks, "the chance of "+c.Of+" is not used: "+why)
			continue
		}
		o.stated = append(o.stated, c)
	}
	own := o.of(board.Histories[h])
	o.share(own.Kinds())
	take(&o.priors.Second, own.Second)
	o.takeRates()
	return o
}

func (o *odds) of(name string) board.Chance { return board.FindChance(o.stated, name) }

// share gives the kinds of fault the shares that are stated; the others have what
// that leaves, in proportion to what is usual.
func (o *odds) share(stated [5]board.Quantity) {
	left, usual := 1.0, 0.0
	for kind, share := range stated {
		if share.Known() {
			left -= share.Float()
		} else {
			usual += o.priors.Shares[kind]
		}
	}
	for kind, share := range stated {
		switch {
		case share.Known():
			o.priors.Shares[kind] = share.Float()
		case usual > 0:
			o.priors.Shares[kind] *= max(left, 0) / usual
		}
	}
}

func take(to *float64, stated board.Quantity) {
	if stated.Known() {
		*to = stated.Float()
	}
}

// takeRates takes what is stated of ways to look for a short.
func (o *odds) takeRates() {
	r := &o.rates
	for name, e := range map[string]*isolate.Error{"draw": &r.Draw, "tape": &r.Tape, "reading": &r.Reading} {
		c := o.of(name)
		take(&e.Miss, c.Miss)
		take(&e.Alarm, c.Alarm)
	}
	take(&r.Camera.Alarm, o.of("camera").Alarm)
	take(&r.Freeze.Alarm, o.of("freeze").Alarm)
	marks := o.of("corrosion")
	if marks.Miss.Known() {
		r.Corrosion.Zone = 1 - marks.Miss.Float()
	}
	take(&r.Corrosion.Nothing, marks.Alarm)
}

// mode is how parts of a class fail: as is stated of it or of the nearest kind that
// it is one of, else as usual.
func (o *odds) mode(c board.Class) (isolate.Mode, board.Chance) {
	m := isolate.ModeOf(c)
	of, ok := board.ClassUnknown, false
	for _, s := range o.stated {
		if k, isClass := board.ClassByWord(s.Of); isClass && c.Is(k) && (!ok || k.Is(of)) {
			of, ok = k, true
		}
	}
	if !ok {
		return m, board.Chance{}
	}
	own := o.of(of.String())
	if own.Often.Known() {
		m.Base *= own.Often.Float()
	}
	take(&m.Short, own.Short)
	return m, own
}

// origin says where what is stated comes from; all else has another origin.
func origin(c *board.Chance, otherwise string) string {
	if c.Of == "" || !c.StatesShares() {
		return otherwise
	}
	text := []string{"stated"}
	if c.Text != "" {
		text[0] += ": " + c.Text
	}
	if c.By != "" {
		text = append(text, "by "+c.By)
	}
	if !c.When.IsZero() {
		text = append(text, c.When.Format("2006-01-02"))
	}
	return strings.Join(text, ", ")
}

// asStated is how a chance is stated in a sheet, but for what it is of.
func asStated(words ...any) string {
	var all []string
	for i := 0; i < len(words); i += 2 {
		all = append(all, fmt.Sprintf("%s %v", words[i], asShare(words[i+1].(float64))))
	}
	return strings.Join(all, " ")
}

// asShare is a share in per cent, to three digits.
func asShare(p float64) string { return fmt.Sprintf("%.3g%%", 100*p) }
