package sheet

import (
	"slices"
	"strconv"
	"strings"

	"netlore/store/board"
)

func (w *writer) knowledge(k *board.Knowledge) {
	w.s = subject{}
	for i := range k.Expected {
		w.s.expected = &k.Expected[i]
		e := &k.Expected[i]
		w.keep(block{form: formExpect, name: aboutText(e.On), key: &key{order: knownOrder(e.On.Kind, e.Mode, e.When, "")}}, "")
	}
	w.flush(formExpect)
	for i := range k.Readings {
		w.s.reading = &k.Readings[i]
		r := &k.Readings[i]
		w.keep(block{form: formReading, name: aboutText(r.On), key: &key{order: knownOrder(r.On.Kind, r.Mode, r.When, r.Specimen)}}, "")
	}
	w.flush(formReading)
	for i := range k.Notes {
		w.note(&k.Notes[i])
	}
	w.flush(formNote)
	for i := range k.Links {
		w.link(&k.Links[i])
	}
	w.flush(formContinuity)
	w.jobs(k.Jobs)
	w.questions(k.Questions)
	w.meters(k.Meters)
	w.chances(k.Chances)
}

func (w *writer) note(n *board.Note) {
	on := slices.Clone(n.On)
	sortTargets(&on)
	if len(on) > 0 {
		w.s.note = n
		w.keep(block{form: formNote, name: aboutText(on[0]), key: &key{order: noteOrder(on[0].Kind, n.When)}}, "")
	}
}

func (w *writer) link(l *board.Link) {
	w.s.link = l
	a, b := string(appendTarget(nil, &l.A)), string(appendTarget(nil, &l.B))
	if board.CompareNatural(a, b) > 0 {
		a, b = b, a
	}
	w.keep(block{form: formContinuity, name: a, key: &key{second: b}}, a+" "+b)
}

func (w *writer) jobs(jobs []board.Job) {
	jobs = slices.Clone(jobs)
	slices.SortStableFunc(jobs, func(a, b board.Job) int { return board.CompareNatural(a.ID, b.ID) })
	for i := range jobs {
		w.s.job = &jobs[i]
		w.line(formJob, jobs[i].ID)
		w.steps(jobs[i].Steps)
	}
}

func (w *writer) steps(steps []board.Step) {
	steps = slices.Clone(steps)
	slices.SortStableFunc(steps, func(a, b board.Step) int { return a.Number - b.Number })
	for _, s := range steps {
		w.out = strconv.AppendInt(append(w.out, "  "...), int64(s.Number), 10)
		w.out = append(append(append(w.out, ' '), strings.Map(printable, s.Text)...), '\n')
	}
}

func (w *writer) questions(list []board.SavedQuestion) {
	list = slices.Clone(list)
	slices.SortStableFunc(list, func(a, b board.SavedQuestion) int { return board.CompareNatural(a.Name, b.Name) })
	for i := range list {
		w.s.question = &list[i]
		w.line(formQuestion, list[i].Name)
	}
}

func (w *writer) meters(list []board.Meter) {
	list = slices.Clone(list)
	slices.SortStableFunc(list, func(a, b board.Meter) int { return board.CompareNatural(a.Name, b.Name) })
	for i := range list {
		w.s.meter = &list[i]
		w.line(formMeter, list[i].Name)
	}
}

func (w *writer) chances(list []board.Chance) {
	list = slices.Clone(list)
	slices.SortStableFunc(list, func(a, b board.Chance) int { return board.CompareNatural(a.Of, b.Of) })
	for i := range list {
		w.s.chance = &list[i]
		w.line(formChance, list[i].Of)
	}
}
