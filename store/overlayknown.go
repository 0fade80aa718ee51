package store

import (
	"slices"

	"netlore/store/board"
)

// correctStack lays one stack over another: a role has the board that newer
// gives it.
func correctStack(older, newer *board.Stack) *board.Stack {
	if older == nil || newer == nil {
		if older == nil {
			return newer
		}
		return older
	}
	s := &board.Stack{Name: older.Name, Title: older.Title, Members: slices.Clone(older.Members)}
	over(&s.Title, newer.Title)
	for _, m := range newer.Members {
		i := slices.IndexFunc(s.Members, func(x board.Member) bool { return x.Role == m.Role })
		if i < 0 {
			s.Members = append(s.Members, m)
		} else {
			s.Members[i] = m
		}
	}
	s.Joins = slices.Concat(older.Joins, newer.Joins)
	return s
}

// correctKnowledge adds up what is known. Jobs, questions, meters and chances have names,
// and an expected value has a place and who says so, so they can be corrected: readings
// and notes of several people stand side by side, and so does what several expect, unless
// one speaks in an own name of the shop.
func correctKnowledge(older, newer *board.Knowledge, own []string) *board.Knowledge {
	k := &board.Knowledge{}
	for _, x := range []*board.Knowledge{older, newer} {
		if x == nil {
			continue
		}
		k.Expected = correctExpected(k.Expected, x.Expected, own)
		k.Readings = append(k.Readings, x.Readings...)
		k.Notes = append(k.Notes, x.Notes...)
		k.Links = append(k.Links, x.Links...)
		for i := range x.Jobs {
			k.Jobs = correctJob(k.Jobs, &x.Jobs[i])
		}
		for _, q := range x.Questions {
			k.Questions = slices.DeleteFunc(k.Questions, func(old board.SavedQuestion) bool { return old.Name == q.Name })
			k.Questions = append(k.Questions, q)
		}
		for i := range x.Meters {
			k.Meters = correctMeter(k.Meters, &x.Meters[i])
		}
		for i := range x.Chances {
			k.Chances = correctChance(k.Chances, &x.Chances[i])
		}
	}
	return k
}

// correctExpected leaves out of what was expected what the same one expects otherwise now,
// or an own name of the shop does.
func correctExpected(all, newer []board.Expected, own []string) []board.Expected {
	type opinion struct {
		spot
		by string
	}
	byOne, byShop := map[opinion]bool{}, map[spot]bool{}
	for _, e := range newer {
		at := spot{e.Mode, e.On}
		byOne[opinion{at, e.By}] = true
		byShop[at] = byShop[at] || slices.Contains(own, e.By)
	}
	all = slices.DeleteFunc(all, func(old board.Expected) bool {
		at := spot{old.Mode, old.On}
		return byShop[at] || byOne[opinion{at, old.By}]
	})
	return append(all, newer...)
}

func correctJob(jobs []board.Job, j *board.Job) []board.Job {
	i := slices.IndexFunc(jobs, func(x board.Job) bool { return x.ID == j.ID })
	if i < 0 {
		i = len(jobs)
		jobs = append(jobs, board.Job{ID: j.ID})
	}
	at := &jobs[i]
	over(&at.Of, j.Of)
	over(&at.Symptom, j.Symptom)
	over(&at.Opened, j.Opened)
	over(&at.Closed, j.Closed)
	over(&at.Supply, j.Supply)
	over(&at.Limit, j.Limit)
	over(&at.Draw, j.Draw)
	over(&at.By, j.By)
	over(&at.Outcome, j.Outcome)
	over(&at.Remark, j.Remark)
	addUp(&at.Culprits, j.Culprits)
	for _, s := range j.Steps {
		at.Steps = append(slices.DeleteFunc(at.Steps, func(x board.Step) bool { return x.Number == s.Number }), s)
	}
	return jobs
}

func correctMeter(meters []board.Meter, m *board.Meter) []board.Meter {
	i := slices.IndexFunc(meters, func(x board.Meter) bool { return x.Name == m.Name })
	if i < 0 {
		return append(meters, *m)
	}
	at := &meters[i]
	over(&at.Title, m.Title)
	over(&at.Test, m.Test)
	over(&at.Open, m.Open)
	over(&at.Shows, m.Shows)
	over(&at.Leads, m.Leads)
	over(&at.Address, m.Address)
	over(&at.By, m.By)
	over(&at.When, m.When)
	if m.RedGround || m.BlackGround {
		at.RedGround, at.BlackGround = m.RedGround, m.BlackGround
	}
	return meters
}

func correctChance(chances []board.Chance, c *board.Chance) []board.Chance {
	i := slices.IndexFunc(chances, func(x board.Chance) bool { return x.Of == c.Of })
	if i < 0 {
		return append(chances, *c)
	}
	chances[i].Correct(c)
	return chances
}
