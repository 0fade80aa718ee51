// Package draw draws boards on paper: a board and the things that were asked for
// go in, SVG comes out, the same bytes for the same input.
//
// # What a plan shows
//
// Each side of each board on which something asked for lies is a view of its own.
// The bottom is seen from below, as the board lies when it is turned over like a
// page, so its x axis runs to the left; the arrows beside the view say so. Bodies are
// drawn in outline, as assembly drawings have them, with a dot at pin 1 where its place is
// known. What is asked for has a heavy line in the one accent colour and a name;
// what lies under a cover has a dashed line; covers are hatched. Groups (branches,
// nets) have a letter and a filling of their own, so nothing rests on colour.
// What has no place is named under the views. If nothing that is asked for has one, the rail is drawn as
// a diagram instead, with symbols in the manner of IEEE 315 (the shapes from memory).
//
// # Where names stand
//
// Names never overlap. They are placed one after the other, by weight and then in
// order, each at the first of a fixed row of places that is free: in the middle of a body that is
// large enough, then at its sides and corners, then farther
// away, at those eight and eight between them, with a line to the body. That is the greedy form of point-feature labelling with
// eight places (Christensen, Marks, Shieber, "An empirical study of algorithms for
// point-feature label placement", 1995). Two names must not
// touch, no name may lie on a body that is asked for, and no line may cross another; a line
// runs under a name only if no place is left to which it need not. If few names find no
// place, they choose first in another turn, some times over, and the turn counts that leaves the fewest.
//
// What still finds no place goes to the margins, as boundary labels (Bekos, Kaufmann,
// Symvonis, Wolff, "Boundary labeling: models and efficient algorithms for rectangular
// maps", 2007): the heights in the margin are those of the bodies,
// moved apart as little as least squares allow (pooling adjacent violators), and from
// the lowest one up each takes the body that a ray from it, turning up from straight down, meets first.
// All bodies that are left then lie on one side of the line, so no two lines of a margin
// cross; they may cross lines and run under names in the view. What the margins cannot hold is named under the views.
//
// Text is as wide as the picture says in each program that shows it (textLength), so what is apart
// here is apart there.
package draw
