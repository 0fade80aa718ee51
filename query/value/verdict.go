package value

import "netlore/store/board"

// Verdict is how a number lies to an interval.
type Verdict uint8

const (
	NoVerdict Verdict = iota // they are not of one unit
	Low                      // below the interval
	Matching                 // in it; its ends belong to it
	High                     // above it
)

// String is the word for the verdict: "low", "matching", "high", or "unknown".
func (v Verdict) String() string {
	return [...]string{"unknown", "low", "matching", "high"}[v]
}

// Judge says how a number lies to the interval from low to high, exactly.
func Judge(q, low, high board.Quantity) Verdict {
	switch {
	case !q.Known() || !q.SameUnit(low) || !q.SameUnit(high):
		return NoVerdict
	case q.Compare(low) < 0:
		return Low
	case q.Compare(high) > 0:
		return High
	}
	return Matching
}
