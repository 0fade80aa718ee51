package sheet

import (
	"slices"
	"time"

	"netlore/query/diag"
	"netlore/store/board"
)

var chanceForm = form{word: "chance", title: "a chance", lead: 1, named: true,
	doc:     "how likely a fault or a wrong observation is in this shop, before anything is seen; it is about no board",
	example: `chance capacitor "returns of 2025" often 250% short 40%`,
	attributes: append([]attribute{
		{shape: chanceShape, words: chanceNames(), label: "a class of parts, a history or a way to look for a short", must: true, names: true},
		called("text", textAttribute(func(s *subject) *string { return &s.chance.Text }, "where it comes from, in quotation marks", false)),
		shareAttribute("often", "how often parts of the class fail, against what is usual", func(c *board.Chance) *board.Quantity { return &c.Often }),
		shareAttribute("short", "how many of its failures are shorts", func(c *board.Chance) *board.Quantity { return &c.Short }),
		shareAttribute("part", "how often it is one part", func(c *board.Chance) *board.Quantity { return &c.Part }),
		shareAttribute("bridge", "how often it is solder from pad to pad", func(c *board.Chance) *board.Quantity { return &c.Bridge }),
		shareAttribute("zone", "how often it is copper", func(c *board.Chance) *board.Quantity { return &c.Zone }),
		shareAttribute("several", "how often it is two parts side by side", func(c *board.Chance) *board.Quantity { return &c.Several }),
		shareAttribute("else", "how often it is what no sheet tells of", func(c *board.Chance) *board.Quantity { return &c.Else }),
		shareAttribute("second", "how often something else is bad besides a part", func(c *board.Chance) *board.Quantity { return &c.Second }),
		shareAttribute("miss", "how often nothing is seen of what is there", func(c *board.Chance) *board.Quantity { return &c.Miss }),
		shareAttribute("alarm", "how often something is seen of what is not there", func(c *board.Chance) *board.Quantity { return &c.Alarm })},
		about(func(s *subject) *string { return &s.chance.By }, func(s *subject) *time.Time { return &s.chance.When })...),
	check: checkChance}

// chanceNames are what chances can be stated of.
func chanceNames() (all []string) {
	for _, c := range board.Classes() {
		all = append(all, c.String())
	}
	all = append(all, board.Histories...)
	for _, w := range board.WaysToLook {
		all = append(all, w.Name)
	}
	return all
}

// chanceWords are the attributes that a chance of something can have.
func chanceWords(of string) []string {
	for _, w := range board.WaysToLook {
		switch {
		case w.Name == of && w.Alarm:
			return []string{"alarm"}
		case w.Name == of:
			return []string{"miss", "alarm"}
		}
	}
	if slices.Contains(board.Histories, of) {
		return []string{"part", "bridge", "zone", "several", "else", "second"}
	}
	return []string{"often", "short"}
}

// checkChance complains of what the chance of something does not have.
func checkChance(c *cursor) *problem {
	attrs := c.f.lineAttrs(c.l)
	if c.flawed || len(attrs) == 0 {
		return nil
	}
	of := c.attrText(attrs[0])
	can := chanceWords(of)
	for _, at := range attrs[1:] {
		a := &c.form.attributes[at.slot]
		if a.shape != shareShape || slices.Contains(can, a.word) {
			continue
		}
		help := diag.OneOf(can...)
		if slices.Equal(can, []string{"alarm"}) && a.word == "miss" {
			help = "alarm alone: what it misses is worked out from the power in the short"
		}
		return c.fault(c.f.tokens[at.token-1], "S217", diag.Quote(a.word)+" does not go with "+of, "it can have "+help)
	}
	return nil
}

var (
	chanceShape = &shape{read: readChanceOf, print: printText, same: sameName,
		want: "a class of parts such as capacitor, a history (usual, liquid or drop) or a way to look (draw, tape, reading, corrosion, camera or freeze)"}
	shareShape = &shape{read: readShare, print: printQuantity, want: "a share such as 5%", same: sameQuantity}
)

func readChanceOf(c *cursor, a *attribute, v *value) *problem {
	p := readWord(c, a, v)
	if p == nil {
		v.text = a.words[v.word-1]
	}
	return p
}

func shareAttribute(word, label string, of func(c *board.Chance) *board.Quantity) attribute {
	a := quantityAttribute(word, label, board.Ratio, func(s *subject) *board.Quantity { return of(s.chance) })
	a.shape, a.noun = shareShape, word
	return a
}

// readShare reads a share of a hundred. Nothing is quite impossible or sure, but
// parts may fail more often than usual.
func readShare(c *cursor, a *attribute, v *value) *problem {
	p := readQuantity(c, a, v)
	if p != nil {
		if part, ok := thousandths(c.f.text[p.Range.Start:p.Range.End]); ok && 0 < part && part < 1000 {
			p.Help = []string{"did you mean " + string(appendThousandths(nil, 100*part)) + "%?"}
			p.Edits = editOf(*p)
		}
		return p
	}
	t := c.toks[c.i-1]
	most := 1.0
	if a.word == "often" {
		most = 1000
	}
	switch share := v.q.Float(); {
	case share <= 0:
		return c.fault(t, "S208", c.f.tokenText(t)+" is not above zero: nothing is quite impossible", "a small share such as 0.1% does")
	case share >= most:
		return c.fault(t, "S208", c.f.tokenText(t)+" is too much; expected less than "+ifElse(most > 1, "100000%", "100%"))
	}
	return nil
}

func ifElse(yes bool, a, b string) string {
	if yes {
		return a
	}
	return b
}

func (r *reader) readChance(group []*block) {
	c := board.Chance{Of: r.bu.Intern(group[0].name)}
	r.s.chance = &c
	r.take()
	r.content.Knowledge.Chances = append(r.content.Knowledge.Chances, c)
}
