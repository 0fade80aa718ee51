package scpi

import (
	"regexp"
	"strings"
	"sync"

	"netlore/query/diag"
)

// Query is a program message that only asks. There is no other way to make one
// than NewQuery, and a Reader sends nothing else.
type Query struct{ text string }

// header is one header that ends in a question mark, common (*IDN?) or by
// keywords (MEASure:VOLTage?). No blank, semicolon or line end can be in it, so
// it cannot carry a second message, and no parameter can follow.
var header = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`^(?:\*[A-Za-z]{3}|:?[A-Za-z][A-Za-z0-9]{0,11}(?::[A-Za-z][A-Za-z0-9]{0,11}){0,5})\?$`)
})

// acting are the first keywords of questions that also carry something out: a
// self-test or a calibration (IEEE 488.2, 10.38 and 10.2; value from memory).
var acting = []string{"*TST", "*CAL", "TEST", "CAL", "CALIBRATION", "DIAG", "DIAGNOSTIC", "INIT", "INITIATE"}

// NewQuery refuses what does anything but ask.
func NewQuery(text string) (Query, error) {
	first, _, _ := strings.Cut(strings.ToUpper(strings.TrimPrefix(strings.TrimSuffix(text, "?"), ":")), ":")
	bad := !header().MatchString(text)
	for _, word := range acting {
		bad = bad || first == word
	}
	if bad {
		return Query{}, newFault("M401", nil, nil, "%s is not a plain question, so it was not sent", diag.Quote(text))
	}
	return Query{text}, nil
}

// MustQuery is NewQuery for the questions that the program has in its text.
func MustQuery(text string) Query {
	q, err := NewQuery(text)
	if err != nil {
		panic(err)
	}
	return q
}

// String is the question as it is sent, without the line end.
func (q Query) String() string { return q.text }

// Command is a program message that sets something. The ones below are all that
// there are: nothing in the program can make another.
type Command struct{ text string }

// The commands that netlore sends, to meters only.
var (
	Clear               = Command{"*CLS"}      // forget status and errors (IEEE 488.2, 10.3)
	ConfigureDiode      = Command{"CONF:DIOD"} // volts across a junction
	ConfigureResistance = Command{"CONF:RES"}  // ohms by two wires
	ConfigureFourWire   = Command{"CONF:FRES"} // ohms by four wires
)

// String is the command as it is sent, without the line end.
func (c Command) String() string { return c.text }

var (
	identify  = MustQuery("*IDN?")
	nextError = MustQuery("SYST:ERR?")
)
