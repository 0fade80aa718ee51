package check

import (
	"fmt"
	"slices"
	"strings"

	"netlore/query/diag"
	"netlore/query/readings"
	"netlore/query/syntax"
	"netlore/query/words"
	"netlore/store/board"
)

// choice reads a word of the closed list of a field.
func (c *checker) choice(f Field, v *syntax.Value) (Choice, bool) {
	word := strings.ToLower(PlainName(v.Text.Text))
	var choice Choice
	var ok bool
	switch {
	case f.ID == words.Kind && ofParts(f.Field):
		choice.Part, ok = partKind(word)
	case f.ID == words.Kind && f.Noun == words.Nets:
		choice.NetKind, ok = board.NetKindByWord(word)
	case f.ID == words.Kind:
		choice.CoverKind, ok = coverKind(word)
	case f.ID == words.Side:
		choice.Side, ok = board.SideByWord(word)
	case f.ID == words.Risk:
		choice.Risk, ok = board.RiskByWord(word)
	case f.ID == words.Mode:
		choice.Mode, ok = board.ModeByWord(word)
	case f.ID == words.Fault:
		choice.Fault, ok = words.FaultKindByWord(word)
	case f.ID == words.Verdict:
		i := slices.IndexFunc(readings.All(), func(v readings.Verdict) bool { return v.String() == word })
		if ok = i >= 0; ok {
			choice.Verdict = readings.All()[i]
		}
	}
	if !ok {
		c.noChoice(f, v)
	}
	return choice, ok
}

func (c *checker) noChoice(f Field, v *syntax.Value) {
	can := Choices(f.Field)
	d := c.fail("Q44", v.Range(), "%s is no %s of %s", v.Text.Text, f.Word, c.noun)
	for _, close := range diag.Closest(PlainName(v.Text.Text), can) {
		c.suggest(d, v.Range(), close)
	}
	d.Help = append(d.Help, fmt.Sprintf("the %s is one of %s", f.Word, strings.Join(can, ", ")))
}

// ofParts reports whether the class of a noun is that of parts.
func ofParts(f *words.Field) bool { return f.Noun == words.Parts || f.Noun == words.Suspects }

// Choices are the words of the closed list of a field; nil for other fields.
func Choices(f *words.Field) []string {
	switch {
	case f.Type != words.Choice:
		return nil
	case f.ID == words.Kind && ofParts(f):
		list := []string{words.PartKind{ZeroOhm: true}.String()}
		for _, k := range board.Classes() {
			list = append(list, k.String())
		}
		return list
	case f.ID == words.Kind && f.Noun == words.Nets:
		return wordsOf(words.NetKinds())
	case f.ID == words.Kind:
		return wordsOf(words.CoverKinds())
	case f.ID == words.Side:
		return []string{"top", "bottom", "through"}
	case f.ID == words.Risk:
		return wordsOf([]board.Risk{board.RiskLow, board.RiskMedium, board.RiskHigh})
	case f.ID == words.Fault:
		return wordsOf(words.FaultKinds())
	case f.ID == words.Verdict:
		return wordsOf(readings.All())
	}
	return wordsOf([]board.Mode{board.Diode, board.Resistance, board.Voltage, board.Current, board.Continuity, board.HotSpot})
}

func wordsOf[K fmt.Stringer](kinds []K) []string {
	var list []string
	for _, k := range kinds {
		list = append(list, k.String())
	}
	return list
}
