package scpitest

import "fmt"

// What the made-up instruments say of themselves.
const (
	MeterIdentity  = "Plover,P60,4711,1.02"
	SupplyIdentity = "Plover,S2,0,0"
)

// A Meter measures diodes and ohms: what the probes touch is a list of readings
// that is gone through once, the last one staying.
type Meter struct {
	*Instrument
	function string
	readings map[string][]string
}

// StartMeter starts a meter that has just been switched on: it measures volts.
func StartMeter() (*Meter, error) {
	in, err := Start(MeterIdentity)
	if err != nil {
		return nil, err
	}
	m := &Meter{Instrument: in, function: "VOLT:DC", readings: map[string][]string{"VOLT:DC": {"+1.00000000E+00"}}}
	in.mu.Lock()
	defer in.mu.Unlock()
	for _, f := range []struct{ pattern, function string }{{"DIODe", "DIOD"}, {"RESistance", "RES"}, {"FRESistance", "FRES"}} {
		in.knows("CONFigure:"+f.pattern, func() string { m.function = f.function; return "" })
	}
	in.knows("[SENSe:]FUNCtion?", func() string { return `"` + m.function + `"` })
	in.knows("READ?", m.read)
	return m, nil
}

func (m *Meter) read() string {
	list := m.readings[m.function]
	if len(list) == 0 {
		return "+9.90000000E+37"
	}
	if len(list) > 1 {
		m.readings[m.function] = list[1:]
	}
	return list[0]
}

// Reads puts what the meter reads next in a function (DIOD, RES, FRES) into its
// list.
func (m *Meter) Reads(function string, readings ...string) {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.readings[function] = append(m.readings[function], readings...)
}

// Turn sets the function as somebody at the front panel does.
func (m *Meter) Turn(function string) {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.function = function
}

// Function is what the meter measures now: "DIOD".
func (m *Meter) Function() string {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.function
}

// A Supply feeds a load of some ohms, up to its current limit.
type Supply struct {
	*Instrument
	On                bool
	Volts, Limit, Ohm float64
}

// StartSupply starts a supply that is set and switched as given.
func StartSupply(s Supply) (*Supply, error) {
	in, err := Start(SupplyIdentity)
	if err != nil {
		return nil, err
	}
	s.Instrument = in
	in.mu.Lock()
	defer in.mu.Unlock()
	for pattern, value := range map[string]func() float64{
		"[SOURce:]VOLTage?": func() float64 { return s.Volts }, "[SOURce:]CURRent?": func() float64 { return s.Limit },
		"MEASure:VOLTage?": func() float64 { return s.amps() * s.Ohm }, "MEASure:CURRent?": s.amps,
	} {
		in.knows(pattern, func() string { return fmt.Sprintf("%+.8E", value()) })
	}
	in.knows("OUTPut?", func() string {
		if s.On {
			return "1"
		}
		return "0"
	})
	return &s, nil
}

func (s *Supply) amps() float64 {
	if !s.On {
		return 0
	}
	return min(s.Limit, s.Volts/s.Ohm)
}
