package board

// word returns words[i], or "" if there is no such word.
func word[E ~uint8](words []string, e E) string {
	if int(e) >= len(words) {
		return ""
	}
	return words[e]
}

// byWord returns the index of w in words. The empty word is nobody's.
func byWord[E ~uint8](words []string, w string) (E, bool) {
	for i, known := range words {
		if w != "" && w == known {
			return E(i), true
		}
	}
	return 0, false
}

var (
	sides       = []string{SideUnknown: "", Top: "top", Bottom: "bottom", BothSides: "through"}
	netKinds    = []string{NetUnknown: "", Ground: "ground", Power: "power", Signal: "signal"}
	risks       = []string{RiskUnknown: "", RiskLow: "low", RiskMedium: "medium", RiskHigh: "high"}
	modes       = []string{ModeUnknown: "", Diode: "diode", Resistance: "ohms", Voltage: "volts", Current: "amps", Continuity: "continuity", HotSpot: "heat"}
	targetKinds = []string{AnyTarget: "", OnBoard: "board", OnPart: "part", OnPin: "pin", OnNet: "net", OnPad: "pad", OnCover: "cover", OnBranch: "branch"}
	bases       = []string{NoPlace: "no place", ByPoint: "place only", ByPins: "box round its pins", ByPackage: "body of its package", ByStatement: "stated size"}
	truths      = []string{False: "no", Unknown: "unknown", True: "yes"}
	stepKinds   = []string{StepUnknown: "", StepDraw: "draw", StepReading: "reading", StepTape: "tape", StepUntape: "untape", StepSeparated: "separated",
		StepJoined: "joined", StepCoverOff: "cover-off", StepCoverOn: "cover-on", StepLifted: "lifted", StepFitted: "fitted", StepRemoved: "removed",
		StepReplaced: "replaced", StepInject: "inject", StepFreeze: "freeze", StepHot: "hot", StepCold: "cold", StepLook: "look",
		StepResistance: "resistance", StepNote: "note"}
	coverKinds = []string{CoverUnknown: "", Shield: "shield", Connector: "connector", Reader: "reader", Sticker: "sticker",
		Underfill: "underfill", Foil: "foil", Holder: "holder", Module: "module"}
)

// String is the word for the side: "top", "bottom", "through" for both, "" when
// it is not known.
func (s Side) String() string { return word(sides, s) }

// SideByWord returns the side of a word.
func SideByWord(w string) (Side, bool) { return byWord[Side](sides, w) }

// String is the word for the kind of net, "" when it is not known.
func (k NetKind) String() string { return word(netKinds, k) }

// NetKindByWord returns the kind of net of a word.
func NetKindByWord(w string) (NetKind, bool) { return byWord[NetKind](netKinds, w) }

// String is the word for the risk, "" when it is not known.
func (r Risk) String() string { return word(risks, r) }

// RiskByWord returns the risk of a word.
func RiskByWord(w string) (Risk, bool) { return byWord[Risk](risks, w) }

// String is the word for the kind of cover, "" when it is not known.
func (k CoverKind) String() string { return word(coverKinds, k) }

// CoverKindByWord returns the kind of cover of a word.
func CoverKindByWord(w string) (CoverKind, bool) { return byWord[CoverKind](coverKinds, w) }

// String is the word for the mode: "diode", "ohms", "heat".
func (m Mode) String() string { return word(modes, m) }

// ModeByWord returns the mode of a word.
func ModeByWord(w string) (Mode, bool) { return byWord[Mode](modes, w) }

// String is the word for what was done: "reading", "cover-off".
func (k StepKind) String() string { return word(stepKinds, k) }

// StepKindByWord returns what was done of a word.
func StepKindByWord(w string) (StepKind, bool) { return byWord[StepKind](stepKinds, w) }

// String is the word for the kind of target, "" for AnyTarget.
func (k TargetKind) String() string { return word(targetKinds, k) }

// TargetKindByWord returns the kind of target of a word.
func TargetKindByWord(w string) (TargetKind, bool) { return byWord[TargetKind](targetKinds, w) }

// String is "no", "unknown" or "yes".
func (t Truth) String() string { return word(truths, t) }

// String says how the outline is known: "box round its pins".
func (b Basis) String() string { return word(bases, b) }

// Word is the word for an outcome of a reading in mode m that is not a number:
// "open", and "rings", "silent" or "hot", "cold". It is "" for Measured.
func (o Outcome) Word(m Mode) string {
	for _, w := range outcomeWords {
		if w.outcome == o && (w.mode == m || w.mode == ModeUnknown || w.mode == Continuity && m != HotSpot) {
			return w.word
		}
	}
	return ""
}

// OutcomeByWord returns the outcome of a word and the mode that has it, which
// is ModeUnknown for a word of every mode.
func OutcomeByWord(w string) (Outcome, Mode, bool) {
	for _, known := range outcomeWords {
		if w == known.word {
			return known.outcome, known.mode, true
		}
	}
	return Measured, ModeUnknown, false
}

var outcomeWords = []struct {
	word    string
	outcome Outcome
	mode    Mode
}{
	{"open", Open, ModeUnknown},
	{"rings", Closed, Continuity}, {"silent", NotClosed, Continuity},
	{"hot", Closed, HotSpot}, {"cold", NotClosed, HotSpot},
}
