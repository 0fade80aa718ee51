package board

import "testing"

// checkWords sees that each of the n values has a word of its own that leads
// back to it, but for the first: that has no word if it stands for "not known".
func checkWords[E interface {
	~uint8
	String() string
}](t *testing.T, name string, n int, byWord func(string) (E, bool)) {
	t.Helper()
	for i := range n {
		e := E(i)
		if i == 0 {
			if _, ok := byWord(""); ok || e.String() != "" {
				t.Errorf("%s 0 has the word %q", name, e)
			}
			continue
		}
		if back, ok := byWord(e.String()); !ok || back != e {
			t.Errorf("%s %d is %q, which is %d, %v", name, i, e, back, ok)
		}
	}
	if s := E(n).String(); s != "" {
		t.Errorf("%s %d, beyond the last, is %q", name, n, s)
	}
	if _, ok := byWord("nonsense"); ok {
		t.Errorf("%s is read from nonsense", name)
	}
}

func TestWords(t *testing.T) {
	checkWords(t, "side", 4, SideByWord)
	checkWords(t, "kind of net", 4, NetKindByWord)
	checkWords(t, "risk", 4, RiskByWord)
	checkWords(t, "kind of cover", 9, CoverKindByWord)
	checkWords(t, "mode", 7, ModeByWord)
	checkWords(t, "kind of target", 8, TargetKindByWord)
}

func TestWordsAsDecided(t *testing.T) {
	for got, want := range map[string]string{
		Top.String(): "top", Bottom.String(): "bottom", BothSides.String(): "through",
		Power.String(): "power", RiskMedium.String(): "medium", Underfill.String(): "underfill",
		Diode.String(): "diode", Resistance.String(): "ohms", Voltage.String(): "volts",
		Current.String(): "amps", Continuity.String(): "continuity", HotSpot.String(): "heat",
		False.String(): "no", Unknown.String(): "unknown", True.String(): "yes",
		ByPackage.String(): "body of its package",
	} {
		if got != want {
			t.Errorf("the word is %q; want %q", got, want)
		}
	}
}

func TestOutcomeWords(t *testing.T) {
	for _, test := range []struct {
		outcome Outcome
		mode    Mode
		word    string
	}{
		{Open, Diode, "open"}, {Open, HotSpot, "open"}, {Closed, Continuity, "rings"}, {NotClosed, Continuity, "silent"},
		{Closed, HotSpot, "hot"}, {NotClosed, HotSpot, "cold"}, {Measured, Diode, ""},
	} {
		word := test.outcome.Word(test.mode)
		if word != test.word {
			t.Errorf("outcome %d in mode %v is %q; want %q", test.outcome, test.mode, word, test.word)
		}
		back, mode, ok := OutcomeByWord(word)
		if word != "" && (!ok || back != test.outcome || mode != test.mode && mode != ModeUnknown) {
			t.Errorf("%q is outcome %d in mode %v, %v", word, back, mode, ok)
		}
	}
	if _, _, ok := OutcomeByWord(""); ok {
		t.Error("no word is an outcome")
	}
}

func TestRefString(t *testing.T) {
	if got := (Ref{"Heron-A", "3"}).String(); got != "Heron-A rev 3" {
		t.Error(got)
	}
	if got := (Ref{Name: "Heron-A"}).String(); got != "Heron-A" {
		t.Error(got)
	}
}
