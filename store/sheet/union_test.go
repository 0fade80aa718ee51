package sheet_test

import (
	"strings"
	"testing"

	"netlore/store/sheet"
)

// What one sheet says of a meter counts for the readings of all boards beside it.
func TestMetersOfASheetBesideBoards(t *testing.T) {
	var files []*sheet.File
	for name, text := range map[string]string{
		"wren.lore":   "board Wren rev 1\nnet GND ground\nnet VA\nreading diode VA 3.4V meter M1\n",
		"gull.lore":   "board Gull rev 1\nnet GND ground\nnet VA\nreading diode VA 3.4V meter M1\nreading diode VA 3.4V meter M2\n",
		"meters.lore": "meter M1 open 3.2V\nmeter M2 open 4V\n",
	} {
		f, list := sheet.Parse(name, []byte("netlore 1\n"+text))
		if list != nil {
			t.Fatal(list)
		}
		files = append(files, f)
	}
	list := sheet.CheckAll(files...)
	if len(list) != 2 || list[0].Code != "S420" || list[1].Code != "S420" || list[0].File == list[1].File || !strings.Contains(list[0].Message, "the meter M1 has 3.2V") {
		t.Errorf("%v", list)
	}
}
