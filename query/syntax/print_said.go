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
