package cli

import "testing"

// TestParagraphs puts lines together that only the source breaks.
func TestParagraphs(t *testing.T) {
	const in = "a title\nThe signature does not fit what was signed, was made for something else, or the\nshop's word for the bench does not hold.\n\nAgain, a long line that the source has broken somewhere near its eightieth\nwrong: parts on\nright: parts on VMAIN\n  indented as it is\n"
	const want = "a title\nThe signature does not fit what was signed, was made for something else, or the\nshop's word for the bench does not hold.\n\nAgain, a long line that the source has broken somewhere near its eightieth\nwrong: parts on\nright: parts on VMAIN\n  indented as it is\n"
	if got := paragraphs(in); got != want {
		t.Errorf("%s", got)
	}
	const uneven = "The signature does not fit what was signed, was made for something else, or the shop's\nword is gone."
	if got, want := paragraphs(uneven), "The signature does not fit what was signed, was made for something else, or the\nshop's word is gone."; got != want {
		t.Errorf("%s", got)
	}
}

// TestOptionsWrap breaks what options are for at the width of help, and nowhere else.
func TestOptionsWrap(t *testing.T) {
	const in = "      --ca FILE   certificate of the authority that has signed that of the server by which it is known\n      --once      end when both sides have all\n"
	const want = "      --ca FILE   certificate of the authority that has signed that of the\n                  server by which it is known\n      --once      end when both sides have all\n"
	if got := options(in); got != want {
		t.Errorf("%s", got)
	}
}
