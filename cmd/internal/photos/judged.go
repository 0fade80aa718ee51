package photos

import (
	"fmt"

	"netlore/query/align"
	"netlore/store"
)

// Judged says in words how good a fit is, and what to do to make it better.
func Judged(points []store.PhotoPoint, fit *align.Fit) string {
	text := fmt.Sprintf("%s from %d points", fit.Form, len(points))
	switch {
	case fit.Spare == 0:
		return text + "; it goes through all of them, right or wrong: one more shows how well they fit"
	case fit.Worst >= 0 && fit.RMS > 0.1:
		return fmt.Sprintf("%s, off by %s in the mean; without %s the others are off by %s, so pick that one again", text, Off(fit.RMS), points[fit.Worst].Is, Off(fit.Without))
	case fit.RMS > 0.5:
		return fmt.Sprintf("%s, off by %s in the mean, which is much: one or more are not where they are said to be, and one more point can show which", text, Off(fit.RMS))
	}
	return fmt.Sprintf("%s, off by %s in the mean", text, Off(fit.RMS))
}

// Off is a distance in millimetres, as people read it.
func Off(mm float64) string { return fmt.Sprintf("%.2fmm", mm) }
