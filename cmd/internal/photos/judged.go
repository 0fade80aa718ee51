package photos

import (
	"fmt"

	"netlore/query/align"
	"netlore/query/diag"
	"netlore/store"
)

// much is by how many millimetres a photo may be off in the mean before that is said to be much: half the
// pitch of small parts.
const much = 0.5

// Loose warns of places that are taken from a photo that is off by much; it is nil for one that is not.
func Loose(fit *align.Fit) diag.List {
	if fit.RMS <= much {
		return nil
	}
	return diag.List{{Code: "P108", Severity: diag.Warning, Message: "the photo is off by " + Off(fit.RMS) + " in the mean, and these places may be as well",
		Help: []string{"netlore photo unplace takes them back; align the photo better, and place them again"}}}
}

// Judged says in words how good a fit is, and what to do to make it better.
func Judged(points []store.PhotoPoint, fit *align.Fit) string {
	text := fmt.Sprintf("%s from %d points", fit.Form, len(points))
	switch {
	case fit.Spare == 0:
		return text + "; it goes through all of them, right or wrong: one more shows how well they fit"
	case fit.Worst >= 0 && fit.RMS > 0.1:
		return fmt.Sprintf("%s, off by %s in the mean; without %s the others are off by %s, so pick that one again", text, Off(fit.RMS), points[fit.Worst].Is, Off(fit.Without))
	case fit.RMS > much:
		return fmt.Sprintf("%s, off by %s in the mean, which is much: one or more are not where they are said to be, and one more point can show which", text, Off(fit.RMS))
	}
	return fmt.Sprintf("%s, off by %s in the mean", text, Off(fit.RMS))
}

// Off is a distance in millimetres, as people read it.
func Off(mm float64) string { return fmt.Sprintf("%.2fmm", mm) }
