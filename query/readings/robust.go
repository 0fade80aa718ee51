package readings

import (
	"math"
	"slices"
)

// Algorithm A of ISO 13528 (Huber's proposal 2) pulls values in that lie further
// off than clip standard deviations. The constants make the results right for
// normal values: the median of |z|, and the spread of clipped values.
const (
	clip        = 1.5
	madToSD     = 1.482602218505602
	clippedToSD = 1.1333933 // at 1.5; ISO 13528 rounds it to 1.134, and the one above to 1.483
)

// settled is what share of a standard deviation more rounds need not change.
const settled = 1e-5

// Robust is the mean and the standard deviation by Algorithm A of ISO 13528:2015,
// C.3: values far off count as if they lay at 1.5 standard deviations. The
// values are put into another order. Of fewer than five the median of distances says
// too little, and it is the plain mean and standard deviation, which is 0 of one value.
func Robust(values []float64) (mean, sd float64) {
	if len(values) < fewValues {
		return plain(values)
	}
	mean = medianOf(values)
	sd = madToSD * medianOff(values, mean)
	if sd == 0 {
		return mean, 0 // more than half are alike
	}
	for range 100 {
		m, s := clipped(values, mean, clip*sd)
		s *= clippedToSD
		done := math.Abs(m-mean) <= settled*sd && math.Abs(s-sd) <= settled*sd
		if mean, sd = m, s; done || sd == 0 {
			break
		}
	}
	return mean, sd
}

const fewValues = 5

// robustAt is Algorithm A where the standard deviation to clip by is known.
func robustAt(values []float64, known float64) (mean, sd float64) {
	mean = medianOf(values)
	for range 100 {
		m, s := clipped(values, mean, clip*known)
		done := math.Abs(m-mean) <= settled*known
		if mean, sd = m, s*clippedToSD; done {
			break
		}
	}
	return mean, sd
}

func plain(values []float64) (mean, sd float64) {
	return clipped(values, values[0], math.Inf(1))
}

// clipped is the mean and standard deviation of values that are pulled in to
// width around a middle. The sums are of distances to it, so that digits are
// not lost.
func clipped(values []float64, middle, width float64) (mean, sd float64) {
	sum, squares := 0.0, 0.0
	for _, v := range values {
		d := v - middle
		if d > width { // the built-in min and max take three times as long
			d = width
		} else if d < -width {
			d = -width
		}
		sum += d
		squares += d * d
	}
	n := float64(len(values))
	if n < 2 {
		return middle + sum, 0
	}
	return middle + sum/n, math.Sqrt(max(0, squares-sum*sum/n) / (n - 1))
}

// medianOff is the median of the distances to a value.
func medianOff(values []float64, from float64) float64 {
	off := make([]float64, len(values))
	for i, v := range values {
		off[i] = math.Abs(v - from)
	}
	return medianOf(off)
}

// medianOf puts the values into another order; of none it is NaN.
func medianOf(values []float64) float64 {
	n := len(values)
	if n == 0 {
		return math.NaN()
	}
	high := nth(values, n/2)
	if n%2 == 1 {
		return high
	}
	return (slices.Max(values[:n/2]) + high) / 2
}

// nth puts the value that is k-th in order at its place, the smaller ones before
// it. It is Hoare's selection, but each value is swapped whether it has to be or
// not: which way a comparison goes cannot be foretold, and a processor that has
// to guess takes four times as long. What is like the pivot is put aside, for
// meters show few different values.
func nth(values []float64, k int) float64 {
	for len(values) > 8 {
		pivot := pivotOf(values)
		less := 0
		for i, v := range values {
			values[i], values[less] = values[less], v
			step := 0
			if v < pivot {
				step = 1
			}
			less += step
		}
		if k < less {
			values = values[:less]
			continue
		}
		values, k = values[less:], k-less
		same := 0
		for i, v := range values {
			values[i], values[same] = values[same], v
			step := 0
			if v <= pivot {
				step = 1
			}
			same += step
		}
		if k < same || same == 0 { // none is like a pivot that is no number
			return pivot
		}
		values, k = values[same:], k-same
	}
	slices.Sort(values)
	return values[k]
}

// pivotOf is the median of three values, of many the median of three of these.
func pivotOf(values []float64) float64 {
	n := len(values)
	middle := medianOfThree(values[0], values[n/2], values[n-1])
	if n < 64 {
		return middle
	}
	below := medianOfThree(values[n/8], values[n/4], values[3*n/8])
	above := medianOfThree(values[5*n/8], values[3*n/4], values[7*n/8])
	return medianOfThree(below, middle, above)
}

func medianOfThree(a, b, c float64) float64 {
	return max(min(a, b), min(max(a, b), c))
}
