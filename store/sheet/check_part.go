package sheet

import (
	"strings"

	"netlore/query/diag"
	"netlore/store/board"
)

// values finds values that such a part cannot have.
func (k *checker) values() {
	if k.c.Board == nil {
		return
	}
	for i := range k.c.Board.Parts {
		p := &k.c.Board.Parts[i]
		want := p.Class.ValueUnit()
		wrong := p.Value.Known() && want != board.NoUnit && want != p.Value.Unit && p.Class != board.Network
		link := p.Value.Unit == board.Ohm && p.Value.Coef == 0 // a 0 ohm link stands in for anything
		if wrong && !link {
			k.report(k.spot(formPart, p.Name, "value"), diag.Error, "S407",
				"part "+p.Name+" is a "+p.Class.String()+", but its value is "+p.Value.Unit.Measures(),
				"a "+p.Class.String()+" has "+exampleOf(want)+"; write the class after the name if the letters of the name mislead")
		}
		k.positive(p)
		k.beyond(p)
	}
}

// positive finds quantities below zero, and ratings of nothing.
func (k *checker) positive(p *board.Part) {
	if p.Value.Coef < 0 || p.Percent.Coef < 0 {
		k.report(k.spot(formPart, p.Name, "value"), diag.Error, "S407", "part "+p.Name+" has a value below zero")
	}
	if p.Volts.Known() && p.Volts.Coef <= 0 || p.Amps.Known() && p.Amps.Coef <= 0 {
		k.report(k.spot(formPart, p.Name, ""), diag.Error, "S407", "part "+p.Name+" has a rating that is not above zero")
	}
}

// largest is where the values and ratings of parts end, in the basic unit; the
// largest met are far below (common practice, no source).
var largest = map[board.Unit]float64{board.Farad: 1e4, board.Henry: 1e4, board.Ohm: 1e15, board.Hertz: 1e12, board.Volt: 1e6, board.Ampere: 1e5}

// beyond finds quantities larger than any part has: often a prefix is wrong, or
// missing.
func (k *checker) beyond(p *board.Part) {
	for _, of := range []struct {
		word string
		q    board.Quantity
	}{{"value", p.Value}, {"", p.Volts}, {"", p.Amps}} {
		if most, ok := largest[of.q.Unit]; ok && of.q.Float() >= most {
			k.report(k.spot(formPart, p.Name, of.word), diag.Warning, "S407", "part "+p.Name+" has "+of.q.String()+", more than any part has", "is the prefix right?")
		}
	}
}

// oddPins finds pins on nets whose names read like something else: a range
// written with a dash, or the word pin.
func (k *checker) oddPins() {
	b := k.c.Board
	if b == nil {
		return
	}
	for i := range b.Pins {
		pin := &b.Pins[i]
		if pin.Net == board.None {
			continue
		}
		from, to, dashed := strings.Cut(pin.Name, "-")
		_, isRange, err := board.ExpandRange(from + ".." + to)
		part := b.Parts[pin.Part].Name
		switch {
		case dashed && isRange && err == nil && b.FindPin(pin.Part, to) == board.None:
			k.oddPin(pin, part, "is one pin of "+part+" here; pins from "+from+" to "+to+" are written "+from+".."+to)
		case pin.Name == "pin" || pin.Name == "pins":
			k.oddPin(pin, part, "is the name of a pin of "+part+" here; pins follow the part without a word before them")
		}
	}
}

func (k *checker) oddPin(pin *board.Pin, part, message string) {
	s := k.rowSpot(formNet, netName(k.c.Board, pin.Net), func(r *row) bool { return r.name == part })
	k.report(s, diag.Warning, "S419", diag.Quote(pin.Name)+" "+message)
}
