package photo

// Explain returns the text about a code of this package: what is meant, and what to do.
func Explain(code string) (string, bool) {
	text, ok := explanations[code]
	return text, ok
}

var explanations = map[string]string{
	"P201": `A photo of a board is taken in JPEG, as nearly every camera writes it, or in PNG. What a file is, is told by its first bytes, whatever its name is. Not
read are JPEGs of rare kinds, such as those of 12 bits or without loss, as some scanners write them.`,
	"P202": `A photo may have 24 MB. A board of the size of a hand is sharp to a twentieth of a millimetre with 12 million pixels, which are some 4 MB.`,
	"P203": `To be turned and laid under the plan a picture is decoded whole, so what it takes to decode is bounded: 69 million pixels of a JPEG as cameras write it, 26 million of
a PNG, 13 million of a PNG of 16 bits or of a progressive JPEG, in which programs for sending pictures write them, and fewer of rare forms. A progressive one has a hundred layers at
most. A picture must also have 64 pixels each way to show anything.`,
	"P204": `The picture begins like one and cannot be decoded to its end. Most often it was copied before the camera had finished, or cut off on the way.`,
}
