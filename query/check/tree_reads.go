package check

import (
	"netlore/query/diag"
	"netlore/query/readings"
	"netlore/store/board"
)

// Reads holds for a thing of which a reading fits: at each of its places and in
// each mode, the newest of those that count. It fits by one of the parts that
// are given; if none is, any reading will do.
type Reads struct {
	Verdicts readings.Verdicts // what it may be, to what is expected
	Side     readings.Verdict  // Low, High or Matching: below, above or within By of what is expected
	By       board.Quantity    // a ratio, or a number in the unit of the reading
	Compare  *Compare          // how its value compares
	Jobs     Jobs              // in which it was taken
	Text     string            // as it is said: "shorted", "reading below 0.4V"
	Span     diag.Range
}

// Jobs is whose readings count: those of every job, or of those named, which may
// be none; all readings if Names is nil.
type Jobs struct {
	Every bool
	Names []string
}

func (Reads) pred() {}

// Why asks why the things of a name are in the set; with Not, why they are not.
type Why struct {
	Not  bool
	Name Name
}
