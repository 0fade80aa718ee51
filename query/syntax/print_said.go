package syntax

func (p *printer) reading(r *Reading) {
	p.word("reading")
	for i, t := range r.Tests {
		if i > 0 {
			p.word("or")
		}
		switch {
		case t.Compare != nil:
			p.compare(t.Compare)
		case t.Inside:
			p.word("within expected")
		case t.Around != nil:
			p.word("within")
			p.value(t.Around)
			p.word("of expected")
		default:
			p.word(string(t.Side), "expected")
			if t.By != nil {
				p.word("by", t.By.Text.Text)
			}
		}
	}
}

func (p *printer) conditions(c *Conditions) {
	for i, run := range c.Runs {
		if i > 0 {
			p.word("or")
		}
		p.inDoubt(len(c.Runs) > 1 && len(run.List) > 1, func() { p.conjunction(run) })
	}
}

func (p *printer) conjunction(c *Conjunction) {
	for i, test := range c.List {
		if i > 0 {
			p.word("and")
		}
		p.condition(test)
	}
}

func (p *printer) condition(c *Condition) {
	if c.Not {
		p.word("not")
	}
	switch {
	case c.Group.isThings():
		p.inBrackets(true, func() { p.things(c.Group.Runs[0].List[0]) })
		return
	case c.Group != nil:
		p.inBrackets(true, func() { p.conditions(c.Group) })
		return
	case c.Unknown != nil:
		p.word("unknown", c.Unknown.Text)
		return
	}
	if c.Related != nil {
		p.inDoubt(true, func() { p.things(c) })
		return
	}
	p.word(c.Field.Text)
	for i, test := range c.Tests {
		if i > 0 {
			p.word("or")
		}
		p.compare(test)
	}
}

func (p *printer) compare(c *Compare) {
	if c.Low != nil {
		p.word("between")
		p.value(c.Low)
		p.word("and")
		p.value(c.High)
		return
	}
	p.word(string(c.Op))
	list(p, c.Values, p.value)
}

func (p *printer) value(v *Value) {
	if v.Text != nil {
		p.word(v.Text.Text)
	}
	p.word(string(v.Tolerance))
}

func (p *printer) things(c *Condition) {
	p.word(c.Things.Text)
	p.relation(c.Related)
}

// isThings reports whether conditions are nothing but one that names things,
// which gets its brackets anyway.
func (cs *Conditions) isThings() bool {
	if cs == nil || len(cs.Runs) != 1 || len(cs.Runs[0].List) != 1 {
		return false
	}
	c := cs.Runs[0].List[0]
	return c.Things != nil && !c.Not
}

func (p *printer) why(w *Why) {
	p.word("why")
	if w.Not {
		p.word("not")
	}
	p.word(string(w.Leader), w.Name.Text, "in")
	p.question(w.In)
}

func (p *printer) fields(names []*Name) {
	for i, n := range names {
		if i > 0 {
			p.glue(",")
		}
		p.word(n.Text)
	}
}
