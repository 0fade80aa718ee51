// Package meter reads a bench meter by SCPI: diode test and ohms, once or
// followed while a technician goes from pad to pad.
package meter

import (
	"context"
	"math"
	"strings"

	"netlore/cmd/internal/scpi"
	"netlore/query/diag"
)

// Function is what a meter measures.
type Function uint8

const (
	NoFunction Function = iota
	Diode               // volts across a junction at the meter's test current
	Resistance          // ohms by two wires
	FourWire            // ohms by four wires
)

// functions says of each what netlore calls it, its unit, how it is set, and
// the keyword by which the meter names it.
var functions = [...]struct {
	word, unit string
	set        scpi.Command
	keyword    string
}{
	Diode:      {"diode", "V", scpi.ConfigureDiode, "DIODe"},
	Resistance: {"ohms", "ohm", scpi.ConfigureResistance, "RESistance"},
	FourWire:   {"ohms4", "ohm", scpi.ConfigureFourWire, "FRESistance"},
}

// String is the word for the function: "diode", "ohms", "ohms4".
func (f Function) String() string { return functions[f].word }

// Unit is what the function reads in: "V" or "ohm".
func (f Function) Unit() string { return functions[f].unit }

// FunctionOf finds a function by its word.
func FunctionOf(word string) (Function, bool) {
	for f := Diode; int(f) < len(functions); f++ {
		if functions[f].word == word {
			return f, true
		}
	}
	return NoFunction, false
}

var (
	output   = scpi.MustQuery("OUTP?")
	sensed   = scpi.MustQuery("SENS:FUNC?")
	readOnce = scpi.MustQuery("READ?")
)

// A Meter is a connection to a meter. It is for one goroutine.
type Meter struct {
	control  *scpi.Controller
	identity scpi.Identity
	function Function
	silent   bool // it cannot say what its function is
	anew     int  // how often it was set again on a new connection
}

// Open connects to a meter. What has an output is refused, before any command
// is sent: on some instruments that source and measure, setting a function
// switches the output on (value from memory). Errors: those of
// scpi.Reader.Ask, and M203, M204, M301.
func Open(ctx context.Context, address scpi.Address, options scpi.Options) (*Meter, error) {
	options.Kind = "meter"
	m := new(Meter)
	m.control = scpi.NewController(address, options, m.begin)
	if err := m.meet(ctx); err != nil {
		m.Close()
		return nil, err
	}
	return m, nil
}

// meet finds out who is there, and forgets old errors.
func (m *Meter) meet(ctx context.Context) (err error) {
	if m.identity, err = m.control.Identify(ctx); err != nil {
		return err
	}
	if _, err := m.control.Errors(ctx); err != nil {
		return err
	}
	_, sources, _, err := m.control.Try(ctx, output)
	switch {
	case err != nil:
		return err
	case sources:
		return scpi.Wrong("M301", []string{"netlore supply shows what a bench supply is set to and what it gives"},
			"%s is no meter: %s has an output, as a bench supply has", m.control.Stranger(), m.identity)
	}
	return m.control.Tell(ctx, scpi.Clear)
}

// begin sets the function again on a new connection: the meter may have been
// off in between.
func (m *Meter) begin(ctx context.Context, _ *scpi.Controller) error {
	if m.function == NoFunction {
		return nil
	}
	m.anew++
	return m.set(ctx, m.function)
}

// Identity is what the meter says of itself.
func (m *Meter) Identity() scpi.Identity { return m.identity }

// Close ends the connection. The meter keeps its function.
func (m *Meter) Close() error { return m.control.Close() }

// Set chooses what is measured. Errors: M302 if the meter does not know the
// function, M303 if it chose another, and those of Open.
func (m *Meter) Set(ctx context.Context, f Function) error {
	m.function = NoFunction
	if err := m.set(ctx, f); err != nil {
		return err
	}
	m.function = f
	if m.silent {
		return nil
	}
	return m.Confirm(ctx)
}

func (m *Meter) set(ctx context.Context, f Function) error {
	command := functions[f].set
	if err := m.control.Tell(ctx, command); err != nil {
		return err
	}
	entries, err := m.control.Errors(ctx)
	if err == nil && len(entries) > 0 {
		err = m.control.Refused(command.String(), entries)
	}
	return err
}

// Confirm asks the meter whether its function is still the one that was set;
// somebody may have turned it at its front panel. A meter that cannot say is
// believed, once with a notice. Errors: M303, and those of Open.
func (m *Meter) Confirm(ctx context.Context) error {
	if m.silent {
		return nil
	}
	a, known, _, err := m.control.Try(ctx, sensed)
	if err != nil {
		return err
	}
	word, readable := scpi.ParseWord(a)
	if !known || !readable {
		m.silent = true
		m.control.Notice(m.control.Name() + " cannot say what it measures: leave its function alone while netlore reads it")
		return nil
	}
	if !scpi.Is(word, functions[m.function].keyword) {
		return scpi.Wrong("M303", []string{"leave the function alone while netlore reads the meter"},
			"%s is no longer set to %s: it says it measures %s", m.control.Name(), m.function, diag.Quote(strings.ToUpper(word)))
	}
	return nil
}

// mostReading is beyond all that a meter measures, in volts or ohms.
const mostReading = 1e15

// Read takes one reading, in volts or ohms. Errors: M202, M205, M206, M305, and
// those of Open.
func (m *Meter) Read(ctx context.Context) (scpi.Number, error) {
	a, err := m.control.Ask(ctx, readOnce)
	if err != nil {
		return scpi.Number{}, err
	}
	n, err := scpi.ParseNumber(a)
	if err == nil && n.Kind == scpi.Finite && math.Abs(n.Float()) > mostReading {
		err = a.Fault("M305", []string{"an overload is 9.9E+37"}, "read more %ss than any meter can", m.function.Unit())
	}
	return n, err
}
