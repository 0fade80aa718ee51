package board

// Pieces are the pieces of copper as far as they are known: the branches that
// are declared, in their order and with their ids, and after them one for each
// net that has none and is not stated to be ground. Such a one has the name of
// its net, all its pads and pins, and what the net is for.
func (b *Board) Pieces() []Branch {
	all := b.Branches[:len(b.Branches):len(b.Branches)]
	for net := range b.undivided {
		all = append(all, Branch{Name: b.Nets[net].Name, Net: net, Pads: b.PadsOn(net), Pins: b.PinsOn(net), Functions: b.Nets[net].Functions})
	}
	return all
}

// PieceCount is how many pieces there are.
func (b *Board) PieceCount() int {
	n := len(b.Branches)
	for range b.undivided {
		n++
	}
	return n
}

// undivided are the nets that are one piece, as far as is known.
func (b *Board) undivided(yield func(NetID) bool) {
	declared := make([]bool, len(b.Nets))
	for i := range b.Branches {
		if net := b.Branches[i].Net; net != None {
			declared[net] = true
		}
	}
	for i := range b.Nets {
		net := NetID(i)
		if declared[i] || b.Nets[i].Kind == Ground || len(b.PinsOn(net)) == 0 && len(b.PadsOn(net)) == 0 {
			continue
		}
		if !yield(net) {
			return
		}
	}
}
