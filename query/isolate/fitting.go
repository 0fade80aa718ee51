package isolate

import "math"

// fitting integrates out what is not known of some readings in milliohms; see
// Gradient.
type fitting struct {
	tips   []Tip
	wrong  float64
	scales []float64 // each as likely
	slack  float64   // how wrong a way is
	terms  []term
}

// term is a reading less the way, as far as it is right.
type term struct {
	mean, weight float64 // 1/σ²
	gain         float64 // of being right over being wrong, at the mean
}

// What a short and the leads have, in ohms: each factor between lowOhms and
// MostOhms is as likely. Common practice, without a source.
const lowOhms = .02

// scales is how many scales of ways are tried: from one to the next is hardly more
// than the ways are wrong anyway.
const scales = 15

func newFitting(tips []Tip, wrong float64) *fitting {
	m := &fitting{tips: tips, wrong: wrong, terms: make([]term, len(tips))}
	if len(tips) == 0 {
		return m
	}
	least, most, slack := tips[0].Ways.scale()
	m.slack = slack
	for i := range scales {
		m.scales = append(m.scales, least*math.Pow(most/least, (float64(i)+.5)/scales))
	}
	return m
}

// fit is how much likelier the readings are than if they told nothing, of what is
// so far from each tip; NaN if that is not known of one.
func (m *fitting) fit(way func(*Tip) float64) float64 {
	if len(m.tips) == 0 {
		return 1
	}
	sum := 0.0
	for _, scale := range m.scales {
		for i := range m.tips {
			t := &m.tips[i]
			far := way(t) * scale
			if math.IsNaN(far) || math.IsInf(far, 0) {
				return math.NaN()
			}
			sigma := math.Hypot(t.Sigma, m.slack*far)
			m.terms[i] = term{t.Ohms - far, 1 / sigma / sigma, (1 - m.wrong) / m.wrong / (math.Sqrt(2*math.Pi) * sigma * density(t.Ohms))}
		}
		sum += m.integral()
	}
	return sum / scales * math.Pow(m.wrong, float64(len(m.tips)))
}

// density is how likely some ohms are, on any scale; a reading that tells nothing
// has it, too.
func density(ohms float64) float64 {
	return 1 / (ohms + lowOhms) / math.Log((MostOhms+lowOhms)/lowOhms)
}

// sums are of the readings that are taken to be right: for which c is best, and how
// well they agree.
type sums struct{ weight, first, second, gain float64 }

func (s sums) less(t *term) sums {
	return sums{s.weight - t.weight, s.first - t.weight*t.mean, s.second - t.weight*t.mean*t.mean, s.gain / t.gain}
}

// value is the integral over c if these readings are right and the others are not,
//
//	∫ p(c) Π gain(i) exp(-(c - mean(i))²/2σ(i)²) dc
//
// with p taken at its best c, round which it hardly changes.
func (s sums) value() float64 {
	c := s.first / s.weight
	chi := max(s.second-c*s.first, 0)
	if chi > 80 {
		return 0
	}
	positive := math.Erfc(-c*math.Sqrt(s.weight/2)) / 2
	return s.gain * math.Exp(-chi/2) * math.Sqrt(2*math.Pi/s.weight) * positive * density(max(c, 0))
}

// integral is the sum over which readings are right: all, none, one, all but one, and all but
// two, over what they would have if all were wrong. More than two wrong ones are as good as none right.
func (m *fitting) integral() float64 {
	all := sums{gain: 1}
	for i := range m.terms {
		t := &m.terms[i]
		all.weight += t.weight
		all.first += t.weight * t.mean
		all.second += t.weight * t.mean * t.mean
		all.gain *= t.gain
	}
	sum := 1 + all.value()
	for i := range m.terms {
		if len(m.terms) == 1 {
			break
		}
		but := all.less(&m.terms[i])
		sum += but.value()
		for k := range i {
			if len(m.terms) > 2 {
				sum += but.less(&m.terms[k]).value()
			}
		}
	}
	return sum
}
