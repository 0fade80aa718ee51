package inject

import "math"

// Layer is where a track lies.
type Layer uint8

// The layers.
const (
	External Layer = iota
	Internal
)

const mil = 0.0254 // mm

// k are the constants of the curves of IPC-2221.
var k = [...]float64{External: 0.048, Internal: 0.024}

// Carries is the current that makes a track warmer by some kelvins in the long
// run, by the curves of IPC-2221: I = k ΔT^0.44 A^0.725 with A in square mils.
// It is a fit for 10 to 100 K, up to 35 A outside and 17.5 A inside (bounds from
// memory), and on the safe side for most boards of today.
func Carries(width, copper, rise float64, l Layer) float64 {
	return k[l] * math.Pow(rise, 0.44) * math.Pow(squareMils(width, copper), 0.725)
}

// Width is how wide a track must be to carry a current, the inverse of Carries.
func Width(amps, copper, rise float64, l Layer) float64 {
	area := math.Pow(amps/(k[l]*math.Pow(rise, 0.44)), 1/0.725)
	return area * mil * mil / (copper / 1000)
}

func squareMils(width, copper float64) float64 { return width / mil * copper / 1000 / mil }

// Fuses is the current that melts a track in some seconds, from an ambient
// temperature in °C. It is Onderdonk's formula, in which no heat gets away, so it
// holds for a few seconds at most; after that a track stands more. With A in
// circular mils it is
//
//	33 (I/A)² t = lg((1083-T)/(234+T) + 1)
//
// What is safe is far below: a quarter is a common choice, no standard.
func Fuses(width, copper, seconds, ambient float64) float64 {
	const melts = 1083.0
	circular := squareMils(width, copper) * 4 / math.Pi
	return circular * math.Sqrt(math.Log10((melts-ambient)/(234+ambient)+1)/(33*seconds))
}
