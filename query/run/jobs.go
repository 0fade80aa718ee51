package run

import (
	"strconv"

	"netlore/query/plan"
	"netlore/query/words"
	"netlore/store/board"
)

// Jobs and their observations, suspects and tests are of no one board: a job on a
// stack is known to every member. They are asked once for all members, and what they
// are related to is looked for on each.

// jobKey tells jobs apart: numbers are those of one device.
func jobKey(j *board.Job) [2]string { return [2]string{j.ID, j.Of} }

// jobs are the jobs that any member knows. They have the same ids on all of
// them.
func (s *site) jobs() []board.Job {
	if s.jobList != nil {
		return s.jobList
	}
	s.jobList, s.knownJobs = []board.Job{}, map[int32][]int{}
	at := map[[2]string]int32{}
	for i, m := range s.assembly.scope.Members {
		if m.Knowledge == nil {
			continue
		}
		for k := range m.Knowledge.Jobs {
			j := &m.Knowledge.Jobs[k]
			id, known := at[jobKey(j)]
			if !known {
				id = int32(len(s.jobList))
				at[jobKey(j)] = id
				s.jobList = append(s.jobList, *j)
			}
			s.knownJobs[id] = append(s.knownJobs[id], i)
		}
	}
	return s.jobList
}

// knowsJob reports whether one of some members knows a job.
func (s *site) knowsJob(id int32, members ...int) bool {
	s.jobs()
	for _, m := range s.knownJobs[id] {
		for _, want := range members {
			if m == want {
				return true
			}
		}
	}
	return false
}

// readings are those that are stated of the member and those in its jobs.
func (s *site) readings() []board.Reading {
	if s.readingList == nil {
		own := s.k.Readings
		all := append(own[:len(own):len(own)], s.k.JobReadings()...)
		s.readingList = board.WithPolarity(all, s.assembly.scope.Meters)
	}
	return s.readingList
}

// observation is a step of a job.
type observation struct {
	*board.Step
	job   *board.Job
	jobID int32
	state []string // before it
}

// observations are the steps of all jobs, in their order.
func (s *site) observations() []observation {
	if s.steps != nil {
		return s.steps
	}
	s.steps = []observation{}
	for i := range s.jobs() {
		j := &s.jobs()[i]
		for k, state := range j.States() {
			s.steps = append(s.steps, observation{&j.Steps[k], j, int32(i), state})
		}
	}
	return s.steps
}

func (s *site) observed(id int32) *observation { return &s.observations()[id] }

// name is the number of the job and of the step: 1042.4.
func (o *observation) name() string { return o.job.ID + "." + strconv.Itoa(o.Number) }

// jobOf is the number of the job that a reading or observation belongs to.
func (s *site) jobOf(n words.Noun, id int32) string {
	if n == words.Observations {
		return s.observed(id).job.ID
	}
	return s.readings()[id].Job
}

// jobsOf links readings and observations to their jobs.
func jobsOf(n words.Noun) follow {
	return func(s *site, id int32, yield func(int32, bool)) {
		for job := range s.jobs() {
			if number := s.jobOf(n, id); number != "" && s.jobs()[job].ID == number {
				yield(int32(job), true)
			}
		}
	}
}

// jobBoard links a job to this board if the board, or the stack that it is
// asked in, is what is on the bench.
func jobBoard(s *site, id int32, yield func(int32, bool)) {
	switch of := s.jobs()[id].Of; {
	case of == s.b.Name, of == s.b.Ref.String(), of == s.stack && of != "", of == "" && s.knowsJob(id, s.member):
		yield(0, true)
	}
}

// culpritsOf links a job to its culprits on this member.
func culpritsOf(n words.Noun) follow {
	return func(s *site, id int32, yield func(int32, bool)) {
		if !s.knowsJob(id, s.member) {
			return
		}
		for _, t := range s.jobs()[id].Culprits {
			if x, ok := s.find(t); ok && s.isHere(t) && x.noun == n {
				yield(x.id, true)
			}
		}
	}
}

// lostCulprit is a culprit of a job that is on none of the members, if there is
// one: where it is, is not known.
func (ev *evaluator) lostCulprit(id int32) (string, bool) {
	for _, t := range ev.jobs()[id].Culprits {
		found := false
		for _, m := range ev.all() {
			_, ok := m.find(t)
			found = found || ok && m.isHere(t)
		}
		if !found {
			return bareTarget(t), true
		}
	}
	return "", false
}

// tiedInAny judges a job or observation on each member.
func (ev *evaluator) tiedInAny(n *plan.Node, id int32) finding {
	got := no
	for _, m := range ev.all() {
		before := m.reasoning
		m.reasoning = ev.reasoning
		got = got.or(m.tiedHere(n, id))
		m.reasoning = before
	}
	if n.Related.Relation == words.CulpritIn && got.Truth == board.False {
		if name, lost := ev.lostCulprit(id); lost {
			return unknown("culprit " + name + " is on none of the boards")
		}
	}
	return got
}

// asked are the things of no one board that a selection is of.
func (s *site) asked(n *plan.Node) Pair {
	switch n.Noun {
	case words.Suspects:
		return s.suspectsOf(n)
	case words.Tests:
		return exactly(s.testsOf(n))
	}
	return exactly(s.knownTo(n.Noun, n.Members))
}

// knownTo are the jobs or observations that one of some members knows.
func (s *site) knownTo(n words.Noun, members []int) Bits {
	all := NewBits(s.count(n))
	for id := range int32(s.count(n)) {
		job := id
		if n == words.Observations {
			job = s.observed(id).jobID
		}
		if s.knowsJob(job, members...) {
			all.Set(id)
		}
	}
	return all
}
