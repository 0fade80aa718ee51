package board

import (
	"slices"
	"strings"
)

// JobReadings are the readings in the steps of all jobs, in order, each with
// its job and the state that the device was in by the steps before it. A
// resistance is a reading in ohms.
func (k *Knowledge) JobReadings() []Reading {
	var all []Reading
	for i := range k.Jobs {
		all = append(all, k.Jobs[i].readings()...)
	}
	return all
}

// States are the states that the device was in before each step.
func (j *Job) States() [][]string {
	all := make([][]string, len(j.Steps))
	var state []string
	for i := range j.Steps {
		all[i] = state
		state = j.Steps[i].changed(state)
	}
	return all
}

// State is the state that the device is in after all steps.
func (j *Job) State() []string {
	states := j.States()
	if len(states) == 0 {
		return nil
	}
	last := len(states) - 1
	return j.Steps[last].changed(states[last])
}

func (j *Job) readings() []Reading {
	var all []Reading
	for i, state := range j.States() {
		s := &j.Steps[i]
		if s.Kind != StepReading && s.Kind != StepResistance || len(s.On) == 0 {
			continue // no reading, or not taken apart
		}
		r := Reading{Mode: s.Mode, On: s.On[0], To: s.To, Outcome: s.Outcome, Value: s.Value, RedGround: s.RedGround, BlackGround: s.BlackGround,
			Meter: s.Meter, State: state, Job: j.ID, By: s.By, When: s.When, Text: s.Remark,
			Step: s.Number, Opened: j.Opened, Closed: j.Closed}
		if r.By == "" {
			r.By = j.By
		}
		all = append(all, r)
	}
	return all
}

// begun is the state that a kind of step begins, and ended are those it ends.
var (
	begun = map[StepKind]string{StepSeparated: "separated", StepTape: "taped", StepCoverOff: "off", StepLifted: "lifted", StepRemoved: "removed",
		StepReplaced: "replaced"}
	ended = map[StepKind][]string{StepJoined: {"separated"}, StepUntape: {"taped"}, StepCoverOn: {"off"}, StepFitted: {"lifted", "removed"},
		StepReplaced: {"removed", "lifted"}}
)

// changed is the state of the device after a step: "separated", "SH2-off",
// "lower:C4103-removed".
func (s *Step) changed(state []string) []string {
	for _, end := range ended[s.Kind] {
		for _, name := range s.onNames(end) {
			state = slices.DeleteFunc(slices.Clone(state), func(have string) bool { return have == name })
		}
	}
	if begin, ok := begun[s.Kind]; ok {
		for _, name := range s.onNames(begin) {
			if !slices.Contains(state, name) {
				state = append(slices.Clip(state), name)
			}
		}
	}
	return state
}

// onNames are the words for a state of what a step was done to.
func (s *Step) onNames(state string) []string {
	if len(s.On) == 0 {
		return []string{state}
	}
	var all []string
	for _, t := range s.On {
		all = append(all, t.String()+"-"+state)
	}
	return all
}

// Written is a target as the canonical sheet has it: pad lower:P11. A part whose
// name ends in a dot, and a pin with a dot in its own, are in quotation marks, for
// the last dot parts the two; so is a lone name that is a word for a kind.
func (t Target) Written() string {
	var s strings.Builder
	if t.Kind != AnyTarget {
		s.WriteString(t.Kind.String() + " ")
	}
	if t.Role != "" {
		s.WriteString(QuoteName(t.Role) + ":")
	}
	_, reserved := TargetKindByWord(t.Name)
	reserved = reserved && t.Kind == AnyTarget && t.Role == "" && t.Pin == ""
	s.WriteString(quoteIf(reserved || t.Pin != "" && strings.HasSuffix(t.Name, "."), t.Name))
	if t.Pin != "" {
		s.WriteString("." + quoteIf(strings.Contains(t.Pin, "."), t.Pin))
	}
	return s.String()
}

// quoteIf is a name in quotation marks, or written as usual.
func quoteIf(must bool, name string) string {
	if must {
		return `"` + quoted.Replace(name) + `"`
	}
	return QuoteName(name)
}

// String is the name of a target with its role and pin, for people: lower:U3.A4.
func (t Target) String() string {
	var s strings.Builder
	if t.Role != "" {
		s.WriteString(t.Role + ":")
	}
	s.WriteString(t.Name)
	if t.Pin != "" {
		s.WriteString("." + t.Pin)
	}
	return s.String()
}
