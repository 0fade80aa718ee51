package words

import "strings"

// Relation ties what is asked for to other things.
type Relation uint8

const (
	NoRelation Relation = iota
	On
	Of
	In
	Under
	Over
	Behind
	Within // with a distance: within 3mm of
	For
	CulpritIn // of jobs, what the culprit is one of; only ever said as a condition
	JoinedTo  // and those below: traced through parts
	LeadingTo
	FedOnlyBy
	LostWithout
)

// use says what a relation may tie: a thing of From to a thing of one of To.
// Names are looked for in all of To.
type use struct {
	relation Relation
	from     Noun
	to       []Noun
}

var everything = []Noun{Parts, Pins, Nets, Pads, Covers, Branches, Boards}

var uses = []use{
	{On, Parts, []Noun{Nets, Branches}},
	{On, Pins, []Noun{Nets, Branches}},
	{On, Pads, []Noun{Nets, Branches}},
	{On, Branches, []Noun{Nets}},
	{On, Readings, everything},
	{On, Expected, everything},
	{On, Notes, everything},
	{On, Jobs, []Noun{Boards, Stacks}},
	{Of, Nets, []Noun{Parts, Pins, Pads, Branches}},
	{Of, Pins, []Noun{Parts}},
	{Of, Branches, []Noun{Nets}},
	{Of, Readings, everything},
	{Of, Expected, everything},
	{Of, Notes, everything},
	{Of, Jobs, []Noun{Boards, Stacks}},
	{In, Pads, []Noun{Groups, Suspects, Tests}},
	{In, Boards, []Noun{Stacks}},
	{On, Observations, everything},
	{Of, Observations, []Noun{Jobs}},
	{In, Observations, []Noun{Jobs}},
	{In, Readings, []Noun{Jobs}},
	{In, Parts, []Noun{Suspects, Tests}},
	{In, Branches, []Noun{Suspects}},
	{In, Covers, []Noun{Tests}},
	{In, Suspects, []Noun{Jobs}},
	{On, Suspects, []Noun{Nets, Branches}},
	{Under, Suspects, []Noun{Covers}},
	{For, Tests, []Noun{Jobs}},
	{In, Tests, []Noun{Jobs}},
	{Under, Parts, []Noun{Covers}},
	{Under, Pins, []Noun{Covers}},
	{Under, Pads, []Noun{Covers}},
	{Over, Covers, []Noun{Parts, Pins, Pads, Suspects}},
	{Behind, Parts, []Noun{Parts, Covers}},
	{Behind, Pads, []Noun{Parts, Covers}},
	{Within, Parts, []Noun{Parts, Pins, Pads, Covers}},
	{Within, Pins, []Noun{Parts, Pins, Pads, Covers}},
	{Within, Pads, []Noun{Parts, Pins, Pads, Covers}},
	{Of, Functions, []Noun{Parts, Nets, Branches}},
	{JoinedTo, Nets, []Noun{Nets, Branches, Pads, Pins, Parts}},
	{JoinedTo, Branches, []Noun{Nets, Branches, Pads, Pins, Parts}},
	{JoinedTo, Pads, []Noun{Nets, Branches, Pads, Pins, Parts}},
	{JoinedTo, Pins, []Noun{Nets, Branches, Pads, Pins, Parts}},
	{LeadingTo, Pads, []Noun{Parts, Pins, Nets, Branches}},
	{FedOnlyBy, Parts, []Noun{Pads, Parts}},
	{FedOnlyBy, Pins, []Noun{Pads, Parts}},
	{FedOnlyBy, Nets, []Noun{Pads, Parts}},
	{FedOnlyBy, Branches, []Noun{Pads, Parts}},
	{LostWithout, Functions, []Noun{Pads, Parts}},
}

type relation struct{ word, doc string }

var relations = [...]relation{
	NoRelation: {},
	On:         {"on", "connected to a net or branch; said about a thing"},
	Of:         {"of", "belonging to"},
	In:         {"in", "in a group of pads, a job, a board, a member of the stack, or every board; one of the suspects, or at one of the tests"},
	Under:      {"under", "hidden by a cover"},
	Over:       {"over", "hiding a part, pin or pad"},
	Behind:     {"behind", "on the other side of the board, at the same place"},
	Within:     {"within", "within a distance of, edge to edge, same side"},
	For:        {"for", "of a job: what to do next in it"},
	CulpritIn:  {"culprit in", "having as culprit"},

	JoinedTo:    {"joined to", "reached from it through series parts and joined pads"},
	LeadingTo:   {"leading to", "on the same copper of its board, or behind series parts"},
	FedOnlyBy:   {"fed only by", "dead if those pads stay open or those parts are lifted"},
	LostWithout: {"lost without", "missing if those pads stay open or those parts are lifted"},
}

// String is the word: "under".
func (r Relation) String() string { return relations[r].word }

// Doc is what it says.
func (r Relation) Doc() string { return relations[r].doc }

// AllRelations are all of them, in the order of the reference.
func AllRelations() []Relation {
	return []Relation{On, Of, In, Under, Over, Behind, Within, For, JoinedTo, LeadingTo, FedOnlyBy, LostWithout}
}

// Traced reports whether a relation is found by following what can carry a
// supply. It can be followed by `through` and the parts that are passed.
func (r Relation) Traced() bool { return r >= JoinedTo }

// RelationByWord finds a relation. Case does not count.
func RelationByWord(word string) (Relation, bool) {
	for _, r := range AllRelations() {
		if strings.EqualFold(relations[r].word, word) {
			return r, true
		}
	}
	return NoRelation, false
}

// Operands are the kinds of things that can stand after the relation when the
// noun is asked for; none if the relation makes no sense there.
func (r Relation) Operands(from Noun) []Noun {
	for _, u := range uses {
		if u.relation == r && u.from == from {
			return u.to
		}
	}
	return nil
}

// Relations are the relations that can follow a noun.
func (n Noun) Relations() []Relation {
	var all []Relation
	for _, r := range AllRelations() {
		if r.Operands(n) != nil {
			all = append(all, r)
		}
	}
	return all
}
