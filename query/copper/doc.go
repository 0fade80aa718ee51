// Package copper works out the direct current in the copper of a rail: from the
// tracks, vias, pins and pads of a board it makes a circuit of resistors, and of
// that it tells potentials, currents, and the resistance between places. Numbers
// in, numbers out; ohms, volts, amps, and µm and mm of copper.
//
// # The circuit
//
// A track is a row of resistors along its middle, of Rs length/width each, with
//
//	Rs = ρ(T) / thickness,  ρ(T) = ρ20 (1 + α (T - 20 °C))
//
// and a node wherever something touches it. Where two tracks touch side by side,
// the way from one middle to the other is a resistor, too. A pin or a pad is one
// node; a via is one on each layer that it meets, with the resistance of its
// barrel between. What a file does not tell is taken as Metal says. Two things make
// what comes out too high: a corner counts as a whole square, where 0.56 are right,
// and planes, which no file lists, are not there.
//
// # The solver
//
// The circuit is solved exactly, by taking out one node after the other, always one
// with the fewest neighbours. A node v with conductances g1…gk to its neighbours, G
// together, is the same as conductances gi gj / G between each two of these:
// the star-mesh transformation, which is Cholesky's factorization of the matrix of
// conductances. Nothing is ever subtracted, so nothing cancels: each number comes
// out as exact as its inputs whatever their sizes are. Currents go forward through
// that, potentials come back:
//
//	b(i) += b(v) gi/G,  V(v) = (b(v) + Σ gi V(i)) / G
//
// The resistance between two nodes is Z(a,a) + Z(b,b) - 2 Z(a,b), where Z is the
// inverse with one node of each piece held at zero. Its diagonal comes out of one
// pass back, too, because the neighbours of v are neighbours of each other once v
// is gone (Takahashi's equations): with p(i) = gi/G,
//
//	Z(v,i) = Σ_j p(j) Z(j,i),  Z(v,v) = 1/G + Σ_i p(i) Z(v,i)
package copper
