package board

// Pieces are the pieces of copper as far as they are known: the branches that
// are declared, in their order and with their ids, and after them one for each
// net that has none and is not stated to be ground. Such a one has the name of
// its net, all its pads and pins, and what the net is for.
func (b *Board) Pieces() []Branch {
	declared := make([]bool, len(b.Nets))
	for i := range b.Branches {
		if net := b.Branches[i].Net; net != None {
			declared[net] = true
		}
	}
	all := b.Branches[:len(b.Branches):len(b.Branches)]
	for i := range b.Nets {
		net := NetID(i)
		if declared[i] || b.Nets[i].Kind == Ground || len(b.PinsOn(net)) == 0 && len(b.PadsOn(net)) == 0 {
			continue
		}
		all = append(all, Branch{Name: b.Nets[i].Name, Net: net, Pads: b.PadsOn(net), Pins: b.PinsOn(net), Functions: b.Nets[i].Functions})
	}
	return all
}
