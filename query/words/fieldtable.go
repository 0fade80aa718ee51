package words

import "netlore/store/board"

// byNoun is the table of fields. Constructors keep a row to what differs.
var byNoun = map[Noun][]*Field{
	Parts: at(Parts,
		text(Name, "name", "reference designator"),
		choice(Kind, "class", "capacitor, resistor, chip …"),
		quantity(Value, "value", board.NoUnit, "capacitance, resistance, inductance or frequency"),
		quantity(Volts, "volts", board.Volt, "rated voltage"),
		quantity(Amps, "amps", board.Ampere, "rated current"),
		quantity(Tolerance, "tolerance", board.Ratio, "tolerance of the value"),
		text(Package, "package", "0402, QFN-32"),
		text(Text, "text", "what it is, in words"),
		choice(Side, "side", "top or bottom"),
		quantity(X, "x", board.Metre, "place, to the right"),
		quantity(Y, "y", board.Metre, "place, upwards"),
		quantity(Width, "width", board.Metre, "body, before turning"),
		quantity(Height, "height", board.Metre, "body, before turning"),
		many(text(Function, "function", "what the device loses without it")),
		quantity(Distance, "distance", board.Metre, "from the nearest thing that within names"),
		names(CoverOf, "cover", Covers, "the covers that hide it"),
		names(NetOf, "net", Nets, "the nets it is on"),
		number(PinCount, "pins", "how many pins"),
		number(NotesOf, "notes", "how many notes on it"),
		text(BoardOf, "board", "the board it is on"),
		text(RoleOf, "role", "the member of the stack"),
	),
	Pins: at(Pins,
		text(Name, "name", "part and pin: U300.A4"),
		one(names(PartOf, "part", Parts, "the part it belongs to")),
		one(names(NetOf, "net", Nets, "the net it is on")),
		choice(Side, "side", "top, bottom or through"),
		quantity(X, "x", board.Metre, "place, to the right"),
		quantity(Y, "y", board.Metre, "place, upwards"),
		quantity(Distance, "distance", board.Metre, "from the nearest thing that within names"),
		names(CoverOf, "cover", Covers, "the covers that hide it"),
		number(ReadingsOf, "readings", "how many readings"),
		quantity(ExpectedOf, "expected", board.NoUnit, "the value expected"),
		number(Away, "steps", "how many parts and joins a trace to it passes"),
		number(NotesOf, "notes", "how many notes on it"),
		text(BoardOf, "board", "the board it is on"),
		text(RoleOf, "role", "the member of the stack"),
	),
	Nets: at(Nets,
		text(Name, "name", "name of the net"),
		many(text(Alias, "alias", "its other names")),
		choice(Kind, "kind", "ground, power or signal"),
		quantity(Volts, "volts", board.Volt, "nominal voltage"),
		many(text(Function, "function", "what the device loses without it")),
		number(PartCount, "parts", "how many parts"),
		number(PinCount, "pins", "how many pins"),
		number(PadCount, "pads", "how many pads"),
		number(ReadingsOf, "readings", "how many readings"),
		many(quantity(ExpectedOf, "expected", board.NoUnit, "the values expected")),
		number(Away, "steps", "how many parts and joins a trace to it passes"),
		number(NotesOf, "notes", "how many notes on it"),
		text(BoardOf, "board", "the board it is on"),
		text(RoleOf, "role", "the member of the stack"),
	),
	Pads: at(Pads,
		text(Name, "name", "name of the pad"),
		one(names(NetOf, "net", Nets, "the net it is on")),
		choice(Side, "side", "top, bottom or through"),
		quantity(X, "x", board.Metre, "place, to the right"),
		quantity(Y, "y", board.Metre, "place, upwards"),
		text(Group, "group", "the frame or connector it belongs to"),
		quantity(Distance, "distance", board.Metre, "from the nearest thing that within names"),
		names(CoverOf, "cover", Covers, "the covers that hide it"),
		number(ReadingsOf, "readings", "how many readings"),
		many(quantity(ExpectedOf, "expected", board.NoUnit, "the values expected")),
		number(Away, "steps", "how many parts and joins a trace to it passes"),
		number(NotesOf, "notes", "how many notes on it"),
		text(BoardOf, "board", "the board it is on"),
		text(RoleOf, "role", "the member of the stack"),
	),
	Covers: at(Covers,
		text(Name, "name", "name of the cover"),
		choice(Kind, "kind", "shield, connector, reader, sticker …"),
		choice(Side, "side", "top or bottom"),
		text(Lift, "lift", "how it comes off"),
		quantity(Minutes, "minutes", board.Second, "the time it takes"),
		choice(Risk, "risk", "low, medium or high"),
		number(PartCount, "parts", "how many parts it hides"),
		number(PadCount, "pads", "how many pads it hides"),
		number(NotesOf, "notes", "how many notes on it"),
		text(BoardOf, "board", "the board it is on"),
		text(RoleOf, "role", "the member of the stack"),
	),
	Branches: at(Branches,
		text(Name, "name", "name of the branch"),
		one(names(NetOf, "net", Nets, "the net it is a piece of")),
		names(PadsOf, "pads", Pads, "the pads that feed it"),
		names(PartsOf, "parts", Parts, "the parts that hang on it"),
		many(text(Function, "function", "what the device loses without it")),
		number(Away, "steps", "how many parts and joins a trace to it passes"),
		number(NotesOf, "notes", "how many notes on it"),
		text(BoardOf, "board", "the board it is on"),
		text(RoleOf, "role", "the member of the stack"),
	),
	Readings: at(Readings,
		text(Target, "target", "what was measured"),
		choice(Mode, "mode", "diode, ohms, volts, amps, continuity or heat"),
		quantity(Value, "value", board.NoUnit, "what was read"),
		many(text(State, "state", "state of the device")),
		text(Meter, "meter", "the meter"),
		text(Job, "job", "the job it was taken in"),
		text(Specimen, "specimen", "which of several like boards"),
		text(Author, "author", "who took it"),
		when(Time, "time", "when it was taken"),
		text(Text, "text", "remark"),
		text(BoardOf, "board", "the board it is on"),
		text(RoleOf, "role", "the member of the stack"),
	),
	Expected: at(Expected,
		text(Target, "target", "what is expected to read so"),
		choice(Mode, "mode", "diode, ohms, volts, amps, continuity or heat"),
		quantity(Value, "value", board.NoUnit, "the value expected"),
		quantity(Tolerance, "tolerance", board.Ratio, "how far a good one may be off"),
		text(Author, "author", "who states it"),
		when(Time, "time", "since when"),
		text(Text, "text", "where it comes from"),
		text(BoardOf, "board", "the board it is on"),
		text(RoleOf, "role", "the member of the stack"),
	),
	Notes: at(Notes,
		many(text(Target, "target", "what it is about")),
		text(Text, "text", "its words"),
		many(text(Tag, "tag", "its tags")),
		text(Author, "author", "who wrote it"),
		when(Time, "time", "when it was written"),
		text(BoardOf, "board", "the board it is on"),
		text(RoleOf, "role", "the member of the stack"),
	),
	Jobs: at(Jobs,
		text(Name, "name", "number of the job"),
		text(Device, "device", "the stack or board on the bench"),
		text(Symptom, "symptom", "what the customer says"),
		when(Opened, "opened", "when it came in"),
		when(Closed, "closed", "when it was done"),
		quantity(Supply, "supply", board.Volt, "bench supply, volts set"),
		quantity(Limit, "limit", board.Ampere, "bench supply, current limit"),
		quantity(Draw, "draw", board.Ampere, "current drawn"),
		number(Steps, "steps", "how many steps were taken"),
		many(text(Culprit, "culprit", "what was at fault")),
		text(Outcome, "outcome", "repaired, returned …"),
		text(Remark, "remark", "remark on the outcome"),
		text(Author, "author", "who did it"),
		text(BoardOf, "board", "the board it is on"),
	),
	Boards: at(Boards,
		text(Name, "name", "name of the board"),
		text(Revision, "revision", "its revision"),
		text(Text, "title", "its title"),
		text(RoleOf, "role", "the member of the stack"),
		number(Layers, "layers", "copper layers"),
		quantity(Width, "width", board.Metre, "along x"),
		quantity(Height, "height", board.Metre, "along y"),
		number(PartCount, "parts", "how many parts"),
		number(PinCount, "pins", "how many pins"),
		number(NetCount, "nets", "how many nets"),
		number(PadCount, "pads", "how many pads"),
		number(CoverCount, "covers", "how many covers"),
		number(ReadingsOf, "readings", "how many readings"),
		number(NotesOf, "notes", "how many notes"),
	),
	Functions: at(Functions,
		text(Name, "name", "what it is"),
		names(PartsOf, "parts", Parts, "the parts that are for it"),
		names(NetOf, "nets", Nets, "the nets that are for it"),
		names(BranchesOf, "branches", Branches, "the branches that are for it"),
		text(BoardOf, "board", "the board they are on"),
		text(RoleOf, "role", "the member of the stack"),
	),
}

func at(n Noun, fields ...*Field) []*Field {
	for _, f := range fields {
		f.Noun = n
	}
	return fields
}

func text(id FieldID, word, doc string) *Field {
	return &Field{ID: id, Word: word, Type: TextType, Doc: doc}
}

func choice(id FieldID, word, doc string) *Field {
	return &Field{ID: id, Word: word, Type: Choice, Doc: doc}
}

func number(id FieldID, word, doc string) *Field {
	return &Field{ID: id, Word: word, Type: Number, Unit: board.One, Doc: doc}
}

func when(id FieldID, word, doc string) *Field {
	return &Field{ID: id, Word: word, Type: TimeType, Doc: doc}
}

func quantity(id FieldID, word string, unit board.Unit, doc string) *Field {
	return &Field{ID: id, Word: word, Type: Quantity, Unit: unit, Doc: doc}
}

func names(id FieldID, word string, of Noun, doc string) *Field {
	return &Field{ID: id, Word: word, Type: ThingNames, Names: of, Many: true, Doc: doc}
}

func many(f *Field) *Field { f.Many = true; return f }

func one(f *Field) *Field { f.Many = false; return f }
