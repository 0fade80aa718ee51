package copper

import "math"

// Metal is what the copper of a board is like.
type Metal struct {
	Outer, Inner float64 // µm of copper, outside and inside
	Plating      float64 // µm of copper in the barrel of a via
	Thick        float64 // mm of board
	Celsius      float64 // of the copper
}

// UsualMetal is what is taken where nothing is known: an ounce of copper outside and
// half an ounce inside. Common practice, without a source.
func UsualMetal() Metal {
	return Metal{Outer: 35, Inner: 17.5, Plating: 20, Thick: 1, Celsius: 25}
}

// Copper of 100 % IACS: 1.7241 µohm cm at 20 °C (IEC 60028), and what it gains a
// kelvin (from memory).
const (
	rho20 = 1.7241e-8 // ohm m
	alpha = .00393
)

// resistivity is in ohm mm.
func (m *Metal) resistivity() float64 { return rho20 * 1e3 * (1 + alpha*(m.Celsius-20)) }

// Micrometres is how thick the copper of a layer is.
func (m *Metal) Micrometres(outside bool) float64 {
	if outside {
		return m.Outer
	}
	return m.Inner
}

// Sheet is the resistance of a square of a layer, in ohms.
func (m *Metal) Sheet(outside bool) float64 {
	return m.resistivity() / (m.Micrometres(outside) / 1000)
}

// Track is the resistance of a track of so many mm, in ohms.
func (m *Metal) Track(length, width float64, outside bool) float64 {
	return m.Sheet(outside) * length / width
}

// Barrel is the resistance of the barrel of a via, in ohms: a tube round a hole, of
// so many mm.
func (m *Metal) Barrel(drill, length float64) float64 {
	wall := m.Plating / 1000
	return m.resistivity() * length / (math.Pi * (drill + wall) * wall)
}
