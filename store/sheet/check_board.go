package sheet

import (
	"strings"

	"netlore/query/diag"
	"netlore/store/board"
)

// ground looks for a net that is said to be ground: it is never guessed.
func (k *checker) ground() {
	b := k.c.Board
	if b == nil || len(b.Nets) == 0 {
		return
	}
	help := "write ground after the name of the ground net"
	for i := range b.Nets {
		if b.Nets[i].Kind == board.Ground {
			return
		}
		if isGroundName(b.Nets[i].Name) {
			help = "if it is the ground, write net " + b.Nets[i].Name + " ground"
		}
	}
	s := k.spot(formBoard, b.Name, "")
	if s.f == nil {
		s = k.spot(formNet, b.Nets[0].Name, "")
	}
	k.report(s, diag.Warning, "S401", "no net of the board is named as ground", help)
}

// isGroundName knows the usual names of ground (common practice, no source).
func isGroundName(s string) bool {
	switch strings.ToUpper(s) {
	case "GND", "AGND", "DGND", "PGND", "VSS", "0V", "GROUND":
		return true
	}
	return false
}

// offBoard finds parts and pads outside the board.
func (k *checker) offBoard() {
	b := k.c.Board
	if b == nil {
		return
	}
	edge := b.Outline
	if edge.Zero() {
		return
	}
	reach := edge.Bounds()
	help := "the board reaches from " + string(appendPoint(nil, reach.Min)) + " to " + string(appendPoint(nil, reach.Max))
	for i := range b.Parts {
		if p := &b.Parts[i]; p.Placed && !edge.Contains(p.At) {
			k.report(k.spot(formPart, p.Name, "at"), diag.Warning, "S402", "part "+p.Name+" is off the board", help)
		}
	}
	for i := range b.Pads {
		if p := &b.Pads[i]; p.Placed && !edge.Contains(p.At) {
			k.report(k.spot(formPad, p.Name, "at"), diag.Warning, "S402", "pad "+p.Name+" is off the board", help)
		}
	}
}

// covers finds covers of which it is not known what they cover.
func (k *checker) covers() {
	b := k.c.Board
	if b == nil {
		return
	}
	for i := range b.Covers {
		c := &b.Covers[i]
		if outline, _ := b.CoverOutline(board.CoverID(i)); !c.Listed && outline.Zero() {
			k.report(k.spot(formCover, c.Name, ""), diag.Warning, "S403", "cover "+c.Name+" has neither an outline nor a list of parts",
				"add box x,y x,y, or list the parts on indented lines, or write over nothing")
		}
	}
}

// undeclared finds members that no other statement knows: in all likelihood
// they are misspelt.
func (k *checker) undeclared() {
	if k.c.Board == nil {
		return
	}
	parts, pads := k.declared()
	for _, id := range []formID{formCover, formBranch} {
		for _, b := range k.g.of(id) {
			for _, r := range k.g.rows([]*block{b}) {
				k.undeclaredRow(b, &r, parts, pads)
			}
		}
	}
	k.partless()
}

// declared lists the parts and pads that are known from more than lists under
// covers and branches.
func (k *checker) declared() (parts, pads map[string]bool) {
	parts, pads = map[string]bool{}, map[string]bool{}
	for _, b := range k.g.of(formPart) {
		parts[b.name] = true
	}
	for _, b := range k.g.of(formPad) {
		pads[b.name] = true
	}
	for _, b := range k.g.of(formNet) {
		for _, r := range k.g.rows([]*block{b}) {
			parts[r.name] = true
		}
	}
	return parts, pads
}

func (k *checker) undeclaredRow(b *block, r *row, parts, pads map[string]bool) {
	what, known, code := "part", parts, "S405"
	if r.form == formCoverPad || r.form == formBranchPad {
		what, known, code = "pad", pads, "S406"
	}
	if len(known) == 0 || known[r.name] {
		return
	}
	l := &r.f.lines[r.line]
	k.report(spot{r.f, l, r.f.words(l)}, diag.Warning, code, b.title()+" lists "+what+" "+r.name+", which no other line knows", k.closest(r.name, known)...)
}

func (k *checker) closest(name string, known map[string]bool) []string {
	if k.full() {
		return nil
	}
	names := make([]string, 0, len(known))
	for n := range known {
		names = append(names, n)
	}
	sortNames(&names)
	return suggest(name, names)
}

// nearlyAll is how many parts on nets must have a part line for one that has
// none: then it is probably misspelt, not just unknown.
const nearlyAll = 20

// partless finds parts that are on nets and have no part line, if nearly all
// others have one.
func (k *checker) partless() {
	have := map[string]bool{}
	for _, b := range k.g.of(formPart) {
		have[b.name] = true
	}
	lack := map[string]spot{}
	var order []string
	for _, b := range k.g.of(formNet) {
		for _, r := range k.g.rows([]*block{b}) {
			if _, seen := lack[r.name]; !seen && !have[r.name] {
				l := &r.f.lines[r.line]
				lack[strings.Clone(r.name)] = spot{r.f, l, r.f.words(l)}
				order = append(order, r.name)
			}
		}
	}
	if len(have) < nearlyAll*len(lack) {
		return
	}
	for _, name := range order {
		k.report(lack[name], diag.Warning, "S405", "part "+name+" is on a net, but unlike nearly all others it has no part line", k.closest(name, have)...)
	}
}

// branches finds branches with pads or pins of another net.
func (k *checker) branches() {
	b := k.c.Board
	if b == nil {
		return
	}
	for i := range b.Branches {
		x := &b.Branches[i]
		for _, p := range x.Pads {
			if pad := &b.Pads[p]; pad.Net != x.Net {
				s := k.rowSpot(formBranch, x.Name, func(r *row) bool { return r.form == formBranchPad && r.name == pad.Name })
				k.otherNet(s, x, "pad "+pad.Name, pad.Net, k.spot(formPad, pad.Name, "on"))
			}
		}
		for _, p := range x.Pins {
			if pin := &b.Pins[p]; pin.Net != x.Net {
				part := b.Parts[pin.Part].Name
				s := k.rowSpot(formBranch, x.Name, func(r *row) bool { return r.form == formBranchPart && r.name == part })
				k.otherNet(s, x, "pin "+b.PinName(p), pin.Net, k.rowSpot(formNet, netName(b, pin.Net), func(r *row) bool { return r.name == part }))
			}
		}
	}
}

func (k *checker) otherNet(s spot, x *board.Branch, what string, net board.NetID, other spot) {
	b := k.c.Board
	d := k.report(s, diag.Error, "S411", "branch "+x.Name+" is on net "+netName(b, x.Net)+", but "+what+" of it is on net "+netName(b, net),
		"a branch is one piece of copper of one net")
	also(d, other, "on net "+netName(b, net)+" here")
}

// likeNames finds names of one kind that differ in upper and lower case only.
func (k *checker) likeNames() {
	b := k.c.Board
	if b == nil {
		return
	}
	k.like(formPart, len(b.Parts), func(i int) string { return b.Parts[i].Name })
	k.like(formNet, len(b.Nets), func(i int) string { return b.Nets[i].Name })
	k.like(formPad, len(b.Pads), func(i int) string { return b.Pads[i].Name })
	k.like(formCover, len(b.Covers), func(i int) string { return b.Covers[i].Name })
}

func (k *checker) like(id formID, n int, name func(i int) string) {
	seen := make(map[string]string, n)
	for i := range n {
		low := strings.ToLower(name(i))
		first, ok := seen[low]
		if !ok {
			seen[low] = name(i)
			continue
		}
		word := formOf(id).word
		d := k.report(k.spot(id, name(i), ""), diag.Warning, "S412", word+" "+first+" and "+word+" "+name(i)+" differ in upper and lower case only",
			"if they are one, spell both alike")
		also(d, k.spot(id, first, ""), "the other spelling")
	}
}

// aliases finds other names of a net that another net has too.
func (k *checker) aliases() {
	b := k.c.Board
	if b == nil {
		return
	}
	owner := map[string]string{}
	for i := range b.Nets {
		owner[b.Nets[i].Name] = b.Nets[i].Name
	}
	for i := range b.Nets {
		n := &b.Nets[i]
		for _, alias := range n.Aliases {
			first, ok := owner[alias]
			if !ok {
				owner[alias] = n.Name
				continue
			}
			if first == n.Name {
				continue
			}
			d := k.report(k.spot(formNet, n.Name, "also"), diag.Error, "S413", alias+" is a name of net "+n.Name+" and of net "+first,
				"a name belongs to one net; if the two are one net, put both together")
			also(d, k.spot(formNet, first, ""), "the other net")
		}
	}
}
