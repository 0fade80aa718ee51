package run

import (
	"slices"

	"netlore/query/check"
	"netlore/query/plan"
	"netlore/query/value"
	"netlore/query/words"
	"netlore/store/board"
)

// column is a column of an answer for one member: a field of the things, or
// whatever a function makes of them. Form tells apart columns whose cells follow
// from the board alone; it is "" for others.
type column struct {
	name, form string
	look       look
	make       cell // if there is no look
}

// cell makes the cell of a thing.
type cell func(f *fields, id int32) value.Value

// form is what an answer takes from the things of one member. It is kept with the
// question, so it knows nothing of what is found.
type form struct {
	noun    words.Noun
	by      []*words.Field
	keys    []*words.Field
	field   *words.Field // that an aggregate is of
	columns []column     // without those of By
	own     int          // how many of them, from the first, follow from the board alone
	key     readyKey     // of these
	near    []*plan.Node // the relations that distances are of
	steps   []*plan.Node // the relations that steps are of
	jobs    check.Jobs   // whose readings count
	spots   bool         // things can be judged by their place alone
}

// fields are the things of one member in the form of the answer.
type fields struct {
	*form
	ev     *evaluator
	shared *ready // for the columns that follow from the board alone, with all who ask it
	ready  []value.Value
	nearby struct { // the last that was asked for; see nearest
		neighbour
		id    int32
		found bool
	}
}

func newFields(ev *evaluator) *fields { return &fields{form: ev.form, ev: ev} }

// newForm is the form of the answer to a question that is planned, for a member of
// that role.
func newForm(q *check.Question, root *plan.Node, role string) form {
	f := form{noun: q.Set.Noun(), near: relations(root, words.Within)}
	f.spots = f.noun.Placed() && usesPlace(root)
	f.steps = append(relations(root, words.JoinedTo), relations(root, words.LeadingTo)...)
	if reads := asked(root, plan.Reads); reads != nil {
		f.jobs = reads[0].Reads.Jobs
	}
	for _, by := range q.By {
		f.by = append(f.by, by.Field)
	}
	if q.Aggregate != nil {
		f.field = q.Aggregate.Field.Field
		return f
	}
	for _, key := range q.Sort {
		f.keys = append(f.keys, key.Field.Field)
	}
	if q.Show != nil {
		f.show(q.Show)
	} else {
		f.usual(root)
	}
	for f.own < len(f.columns) && f.columns[f.own].form != "" && !q.Scope.Lenient {
		f.own++ // boards that are asked one after the other are not kept
	}
	f.key = f.readyKey(role)
	return f
}

// groups are the groups that a thing is in: a value for each field of By. What
// has none, and what is not known, are groups of their own.
func (f *fields) groups(id int32) [][]value.Value {
	all := ungrouped
	for _, by := range f.by {
		var longer [][]value.Value
		for _, group := range all {
			for _, v := range groupValues(f.fact(by, id)) {
				longer = append(longer, append(group[:len(group):len(group)], v))
			}
		}
		all = longer
	}
	return all
}

// ungrouped is the one group of things that are in no groups.
var ungrouped = [][]value.Value{nil}

func groupValues(f fact) []value.Value {
	if list := f.values(); list != nil {
		return list
	}
	return []value.Value{f.cell()}
}

// aggregated is what is known of the field that an aggregate is of.
func (f *fields) aggregated(id int32) fact {
	if f.field == nil {
		return fact{}
	}
	return f.fact(f.field, id)
}

// sortKeys are what a thing is sorted by.
func (f *fields) sortKeys(id int32) []value.Value {
	if len(f.keys) == 0 {
		return nil
	}
	keys := make([]value.Value, len(f.keys))
	for i, key := range f.keys {
		keys[i] = f.fact(key, id).cell()
	}
	return keys
}

// fill makes the cells of a thing for the columns from first to below last.
func (f *fields) fill(cells []value.Value, id int32, first, last int) {
	for i := first; i < last; i++ {
		if c := &f.columns[i]; c.look != nil {
			cells[i] = c.look(f.ev.site, id).cell()
		} else {
			cells[i] = c.make(f, id)
		}
	}
}

// add appends the column of a field, if it is not there already.
func (f *form) add(ids ...words.FieldID) {
	for _, id := range ids {
		field := words.FieldByID(f.noun, id)
		head := field.Column()
		switch look := facts[field.Noun][id]; {
		case look != nil && ofBoard(field):
			f.append(column{name: head, form: field.Word, look: look})
		default:
			f.addColumn(head, "", func(f *fields, id int32) value.Value { return f.fact(field, id).cell() })
		}
	}
}

// addColumn appends a column that is no field of the things.
func (f *form) addColumn(head, form string, cell cell) {
	f.append(column{name: head, form: form, make: cell})
}

// append appends a column, unless it is there already, or what the rows are put
// together by, which stands in front.
func (f *form) append(c column) {
	if slices.ContainsFunc(f.by, func(by *words.Field) bool { return by.Word == c.name }) {
		return
	}
	for i := range f.columns {
		if f.columns[i].name == c.name {
			return
		}
	}
	f.columns = append(f.columns, c)
}

// identity is the field that says which thing a row is.
func identity(n words.Noun) words.FieldID {
	if words.FieldByID(n, words.Name) != nil {
		return words.Name
	}
	return words.Target
}

// show is the columns that were asked for, after the name.
func (f *form) show(fields []check.Field) {
	f.add(identity(f.noun))
	for _, field := range fields {
		f.add(field.ID)
	}
}

// usual is the columns of the noun, and what the relations in the question make
// worth knowing: how to get at what is hidden, how far away things are, how
// much of what was asked a cover hides.
func (f *form) usual(root *plan.Node) {
	hidden, over := relations(root, words.Under) != nil, relations(root, words.Over)
	lost := relations(root, words.LostWithout)
	for _, id := range f.noun.Columns() {
		switch {
		case hidden && f.noun == words.Parts && id == words.Kind:
		case hidden && f.noun == words.Parts && id == words.Value:
			f.addColumn("value", "worth", (*fields).worth)
		case hidden && f.noun == words.Suspects && id == words.Needs:
			f.add(words.CoverOf)
			f.add(words.Minutes)
			f.add(words.Risk)
		case over != nil && id == words.PartCount:
		case lost != nil && id != words.Name && id != words.RoleOf:
		default:
			f.add(id)
		}
		if asked(root, plan.Reads) != nil && (id == words.NetOf || id == words.Name && f.noun == words.Nets) {
			f.addReads()
		}
	}
	if f.near != nil {
		f.addNearest()
	}
	if f.steps != nil {
		f.addTraced()
	}
	if lost != nil {
		f.addColumn("dead", "", func(f *fields, id int32) value.Value { return f.ev.deadFor(lost, id) })
	}
	if over != nil {
		f.addColumn("hides", "", func(f *fields, id int32) value.Value { return f.ev.hides(over, id) })
	}
	if hidden && f.noun != words.Suspects {
		f.addAccess()
	}
}

// worth is the value of a part, or what it is if it has none: its class has no
// column where parts are hidden.
func (f *fields) worth(id int32) value.Value {
	part := &f.ev.b.Parts[id]
	v := partValue(f.ev.site, id).cell()
	switch {
	case v.Kind() != value.None:
	case part.Text != "":
		return value.OfText(part.Text)
	case part.Class != board.ClassUnknown:
		return value.OfText(part.Class.String())
	}
	return v
}

// relations are the uses of a relation in a set that say what a thing in it is
// like, not what it is not.
func relations(n *plan.Node, r words.Relation) []*plan.Node {
	switch {
	case n.Op == plan.Tie && n.Related.Relation == r:
		return []*plan.Node{n}
	case n.Op == plan.Tie || n.Op == plan.Not || len(n.Kids) == 0:
		return nil
	case n.Op == plan.Except:
		return relations(n.Kids[0], r)
	}
	var all []*plan.Node
	for _, kid := range n.Kids {
		all = append(all, relations(kid, r)...)
	}
	return all
}

// addAccess is what it takes to get at what is hidden: for each cover over it
// how that comes off, how long it takes, and at what risk.
func (f *form) addAccess() {
	f.add(words.CoverOf)
	for _, id := range []words.FieldID{words.Lift, words.Minutes, words.Risk} {
		word := words.FieldByID(words.Covers, id).Word
		f.addColumn(word, word+" of covers", ofCovers(coverFacts[id]))
	}
	f.addColumn("partly", "partly", (*fields).partly)
}

// ofCovers is what is known of the covers that hide a thing.
func ofCovers(look look) cell {
	return func(f *fields, id int32) value.Value {
		lids := f.ev.lidsOver(thing{f.noun, id})
		var all several
		for i := range lids {
			if lids[i].Truth == board.True {
				all.add(look(f.ev.site, int32(lids[i].Cover)).cell())
			}
		}
		if all.n == 0 && len(lids) > 0 {
			return value.Value{} // it may have some
		}
		return all.value()
	}
}

// partly says whether some of a thing looks out from under all that hides it.
func (f *fields) partly(id int32) value.Value {
	lids := f.ev.lidsOver(thing{f.noun, id})
	hidden := false
	for i := range lids {
		if lids[i].Truth == board.True {
			if hidden = true; !lids[i].Partly {
				return value.OfTruth(board.False)
			}
		}
	}
	switch {
	case hidden:
		return value.OfTruth(board.True)
	case len(lids) > 0:
		return value.Value{}
	}
	return value.Nothing()
}

// addNearest is how far a thing is from the nearest of the operand, and from
// which.
func (f *form) addNearest() {
	f.add(words.Distance)
	f.addColumn("from", "", func(f *fields, id int32) value.Value {
		n := f.nearest(id)
		if n.um == farAway {
			return value.Value{}
		}
		return f.ev.nameValue(n.noun, n.id)
	})
}

// nearest is what of the operand is nearest to a thing: more than one column
// tells of it.
func (f *fields) nearest(id int32) neighbour {
	if !f.nearby.found || f.nearby.id != id {
		f.nearby.id, f.nearby.found, f.nearby.neighbour = id, true, f.ev.nearest(f.near, id)
	}
	return f.nearby.neighbour
}

// addTraced is how many parts and joins a trace passes on the way to a thing, and
// the last of them.
func (f *form) addTraced() {
	f.add(words.Away)
	f.addColumn("through", "", func(f *fields, id int32) value.Value { return f.ev.last(f.steps, id) })
}

// fact is what is known of a field. A distance is that of the first `within`
// of the question.
func (f *fields) fact(field *words.Field, id int32) fact {
	switch field.ID {
	case words.Distance:
		return distanceFact(f.nearest(id))
	case words.Away:
		return f.ev.away(f.steps, id)
	case words.Verdict:
		if f.noun.Measurable() {
			return f.ev.verdictOf(thing{f.noun, id}, f.jobs)
		}
	}
	return f.ev.fact(field, id)
}
