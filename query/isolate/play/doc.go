// Package play plays jobs on devices with a hidden fault, to find out how good
// the isolation is: which tests are made, what they take, and whether what was
// said to be sure was right.
//
// What is seen on a Bench is drawn here from the device and its fault, and not
// from the likelihoods of isolate. A short has one resistance, which flows through
// it what the supply and the way let, and becomes as warm as a part does that
// holds to no average; a tie that is not known to carry does or does not; a stain
// is there or not. Draws, readings and tape come out wrong as often as is said, and
// so does the camera. So that a model which is not quite right shows in the counts.
//
// How often a bad part is stained, what a short resists, what is noticed of warmth and
// how often a tie carries are the figures that isolate takes, too: for both they are
// common practice. Whether those are right no play can show. Milliohms, freezer
// spray, liquid and drops are not played, nor a fault that no sheet knows of.
package play
