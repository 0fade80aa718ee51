package query

import (
	"context"
	"fmt"
	"strings"

	"netlore/query/check"
	"netlore/query/draw"
	"netlore/query/run"
	"netlore/query/words"
	"netlore/store/board"
)

// DrawJob makes a picture of a job with a shorted rail: its suspects, the likelier
// the heavier their lines, the places of the tests that are proposed next, and tape
// as bands; with what.Every also those of the tests that are hardly worth it. The
// answer is that of Suspects. Complaints are a diag.List.
func DrawJob(ctx context.Context, src run.Source, opt Options, what Isolating) (*draw.Picture, *run.Answer, error) {
	var picture *draw.Picture
	answer, err := isolating(ctx, src, opt, what, func(ctx context.Context, scope *check.Scope, i run.Isolation) (*run.Answer, error) {
		likely := i
		likely.Every = false
		suspects, err := run.Suspects(ctx, scope, likely)
		if err != nil {
			return nil, err
		}
		suspects.Cut(opt.Rows)
		p := newPlotter(scope, suspects, "job "+board.QuoteName(what.Job)+": what may be bad, and where to test next")
		p.picture.Asked = "suspect, or place of a test"
		p.suspects(suspects)
		if i.Job.Closed.IsZero() {
			tests, err := run.Tests(ctx, scope, i)
			if err != nil {
				return nil, err
			}
			p.tests(tests)
		}
		p.finish()
		picture = p.picture
		return suspects, nil
	})
	return picture, answer, err
}

// suspects marks suspects with their chances.
func (p *plotter) suspects(a *run.Answer) {
	most, bare := 0.0, bareCopper{}
	for i := range a.Rows {
		chance, _ := a.Suspect(&a.Rows[i])
		most = max(most, chance)
	}
	for i := range a.Rows {
		chance, pieces := a.Suspect(&a.Rows[i])
		mark := draw.Mark{Weight: chance / most}
		if len(pieces) == 1 {
			mark.Text = run.ChanceText(chance)
		}
		for _, piece := range pieces {
			if m := p.member(piece.Of); piece.Noun == words.Branches && m >= 0 {
				branch := p.scope.Members[m].Board.Copper().Pieces[piece.ID]
				if !p.zone(a, &a.Rows[i], draw.Zone{Text: "copper " + branch.Name + " " + run.ChanceText(chance), Weight: mark.Weight}) {
					bare.add(board.Target{Role: piece.Of.Role, Name: branch.Name}.String(), chance)
				}
				continue
			}
			p.piece(piece, mark)
		}
	}
	if bare.names != nil {
		p.picture.Notes = append(p.picture.Notes, "Copper may be it, too, and is not drawn: "+bare.String()+".")
	}
}

// zone draws the zone of copper that a suspect is. It reports false where no places
// are known.
func (p *plotter) zone(a *run.Answer, r *run.Row, z draw.Zone) bool {
	of, side, parts := a.Copper(r)
	if of == nil || side == board.SideUnknown {
		return false
	}
	m := p.member(of)
	b := p.scope.Members[m].Board
	for _, id := range parts {
		if b.Parts[id].Placed {
			z.At = append(z.At, b.Parts[id].At)
		}
	}
	if z.At == nil {
		return false
	}
	z.Side = side
	p.picture.Members[m].Zones = append(p.picture.Members[m].Zones, z)
	return true
}

// bareCopper is copper of which no place is known, so it is told in words, with the
// chances of all its zones together.
type bareCopper struct {
	names   []string
	chances map[string]float64
}

func (c *bareCopper) add(name string, chance float64) {
	if c.chances == nil {
		c.chances = map[string]float64{}
	}
	if _, have := c.chances[name]; !have {
		c.names = append(c.names, name)
	}
	c.chances[name] += chance
}

func (c *bareCopper) String() string {
	var all []string
	for _, name := range c.names {
		all = append(all, name+" "+run.ChanceText(c.chances[name]))
	}
	return strings.Join(all, ", ")
}

// tests marks where tests are made, and draws tape.
func (p *plotter) tests(a *run.Answer) {
	for i := range a.Rows {
		rank, pieces, tape := a.Test(&a.Rows[i])
		name := fmt.Sprintf("test %d", rank)
		if tape {
			p.tape(pieces, name+": tape")
			continue
		}
		for _, piece := range pieces {
			p.piece(piece, draw.Mark{Text: name})
		}
	}
}

// tape is a band on each board over its pads.
func (p *plotter) tape(pieces []run.Piece, name string) {
	for m := range p.picture.Members {
		band := draw.Band{Text: name}
		for _, piece := range pieces {
			if p.member(piece.Of) == m {
				band.Pads = append(band.Pads, board.PadID(piece.ID))
			}
		}
		if band.Pads != nil {
			p.picture.Members[m].Bands = append(p.picture.Members[m].Bands, band)
		}
	}
}

func (p *plotter) piece(piece run.Piece, mark draw.Mark) {
	m := p.member(piece.Of)
	if m < 0 {
		return
	}
	if piece.Noun == words.Pins {
		p.pin(m, board.PinID(piece.ID), mark)
		return
	}
	mark.Kind, mark.ID = kinds[piece.Noun], piece.ID
	p.mark(m, mark)
}
