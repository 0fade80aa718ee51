// Package isolate finds what shorts a rail to ground: from what was seen on the
// bench it tells how likely each fault is, and which test comes next. It is
// numbers and ids in, numbers and reasons out; it knows the graph of what can carry
// a supply (query/trace) and the domain, and no store.
//
// # What can be the matter
//
// A Fault has sites: places of the rail that meet ground and should not. One
// part, or two beside each other; the copper of a zone; solder between two pads of
// a frame; or something that the device does not tell of (Elsewhere). Exactly one
// fault is true. Faults makes them from a Device, and gives them weights: of each
// kind together what the history of the device says (PriorsFor); within parts in
// proportion to how often parts of their class fail short (Mode); and all that
// smoothed by what this shop found on this board (Smooth).
//
// # What is seen
//
// An electrical observation asks whether a current flows into the fault f from
// where the device is fed or probed, in the State it is in, which is a set of cuts
// of the graph:
//
//	flow(f) = 1    if a way of sure ties leads to a site of f that is not off
//	          u    if there is a way only with ties that are not sure (Rates.Unsure)
//	          0    else
//	P(short seen | f) = flow(f) (1 - miss) + (1 - flow(f)) alarm
//
// Warmth is seen by the power in the short, which may be of any resistance between
// some milliohms and some ohms (query/isolate/inject), less what a cover keeps
// back; if nothing shows, the short may also be so low that only its way becomes
// warm (Heat). Readings in milliohms along the rail grow with the way to the short:
// by as much as its copper has, by the distance, or only in that order, whichever is
// known (Gradient). Corrosion goes with faults of its zone (Stain). What is Elsewhere
// says nothing of any test: each outcome has one half.
//
// The chances are Bayes's rule over all observations,
//
//	P(f | seen) ∝ weight(f) Π_o P(o | f)
//
// in which none has less than 10⁻⁹ with any fault, so that nothing is ruled out
// for good. What makes a test wrong mostly lasts, so that the same question with
// the same answer counts once, and is not proposed again.
//
// A part that was taken off is no longer a site of anything, and cuts what goes
// through it; one that was replaced goes on carrying, and the new one is a site
// of its own. So for each part p that is off or new, Seconds adds the faults that
// something else was bad as well, and that the new part is:
//
//	weight(p and f) = weight(p) q weight(f) / Σ weight(f')    q is Priors.Second
//	weight(p and the new p) = weight(p) Priors.NewBad
//
// With them a short that is still there without p does not speak against all that
// was seen of p: if that was much, there are two. In a state (Case.In) suspects are
// told apart by what is left to be found in it, so that f alone and f beside a p
// that is off are one; and Case.Verdict says whether what is off or new explains the
// short. Such faults are made for the last dozen of parts only, and of two faults.
//
// Two observations conflict if they are more likely not both right than right
// (Case.Conflict, and Case.Settle for what would tell which); and if what is
// Elsewhere is likelier than all else, the device is without a suspect
// (Case.IsRuledOut).
//
// # Which test comes next
//
// Case.Next makes every test that the device and its state allow: each half fed
// alone, a reading on each piece of the rail, parts lifted, each view looked at
// with the rail fed or for corrosion, and tape over each contiguous run of pads of
// the frame. The runs that begin at one pad cut off more and more; after how many
// pads each piece is cut off is found in one search (trace.Graph.Severed), so that
// what all runs tell takes about one look at each pair of pads. Of many runs a
// shortlist is kept, of what tells most now and after one or two steps.
//
// Faults that no test tells apart become one state of a sequence.Problem, before
// tests are made. Where a device is large, spots that are near to each other count
// as one in that. A step costs its minutes, and its risk times what harm costs; a
// lid that has to come off, and boards that have to be unsoldered, are set-ups, paid
// once. The plan ends with what is bad mended: where a suspect is sure or nothing more
// can be told, the suspects are lifted or cleaned, the likeliest first.
package isolate
