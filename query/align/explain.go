package align

// Explain returns the text about a code of this package: what is meant, and what to do.
func Explain(code string) (string, bool) {
	text, ok := explanations[code]
	return text, ok
}

var explanations = map[string]string{
	"P101": `A point of a photo is so many pixels from its left and its upper edge, and a place of a board so many millimetres from where its sheet counts.
What is said here is beyond both; or something would be given a place beside its board, which mostly says that the photo is not well aligned.`,
	"P102": `How a photo lies on a board is worked out from points that were picked on it and whose places are known. Two give the scale and the turn, three are
enough for a scan or a photo from straight above, and four for a photo at a slant. With just as many as are needed every point fits, right or wrong: one
more shows what they are off by, two more mostly which of them is wrong. Of five points at a slant any four fit, so it takes six.`,
	"P103": `Two points say nothing more than one if they are at the same spot. Most likely the photo was tapped twice, or a name was given to the wrong spot.`,
	"P104": `Points on one line say how the photo lies along that line and nothing of how it lies across. Of four points for a photo at a slant no three may be on a line.
Pads near the four corners of the board are best; a row of pads along one edge is not enough.`,
	"P105": `The points lie on the photo as in a mirror. That is so if the photo is of the other side, if the picture was mirrored by a program or a camera that looks at the
bench through one, or if two points have changed places. The bottom is to be photographed as one sees it when looking at it, and never mirrored.`,
	"P106": `Of some points the photo seems to show the board from the front, and of others from behind. One of them is far from where it should be: it was picked at the place of
another, or has the wrong name.`,
	"P107": `A point of a photo is written X,Y=PLACE: so many pixels from the left and from the upper edge of the photo as it is kept, which is upright, and what is there. A place in mm is
so written, too: 100,1900=0,0 and 3100,1900=60,0 are two points that are 60 mm apart.`,
	"P108": `Where a part is, is read off a photo, and can be no better than the photo lies on the board: where its points are off by half a millimetre, one small part is taken for its
neighbour. Mostly one point is wrong: netlore photo align says which, or that one more point can show it.`,
}
