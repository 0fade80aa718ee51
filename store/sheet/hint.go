package sheet

import (
	"slices"
	"strings"

	"netlore/query/diag"
	"netlore/store/board"
)

// What a complaint says beyond what is wrong: what was probably meant, for
// those who write their first sheet by hand.

// otherWords are what people of the trade say where a sheet has another word
// (common practice, no source). Keys are in small letters.
var otherWords = map[string]string{
	"gnd": "ground", "ground": "ground", "pwr": "power", "supply": "power", "sig": "signal",
	"cap": "capacitor", "res": "resistor", "coil": "inductor", "choke": "inductor", "ind": "inductor",
	"ferrite": "bead", "xtal": "crystal", "oscillator": "crystal", "mosfet": "transistor", "fet": "transistor",
	"bjt": "transistor", "tvs": "zener", "ic": "chip", "pmic": "power-manager", "pmu": "power-manager",
	"ldo": "regulator", "buck": "converter", "boost": "converter", "opamp": "amplifier", "flash": "memory",
	"ram": "memory", "eeprom": "memory", "cpu": "processor", "soc": "processor", "mcu": "processor",
	"conn": "connector", "socket": "connector", "plug": "connector", "ntc": "thermistor", "ptc": "thermistor",
	"can": "shield", "lid": "shield", "label": "sticker", "glue": "underfill", "epoxy": "underfill",
	"front": "top", "back": "bottom", "rear": "bottom", "both": "through",
	"dnp": "unfitted", "dnf": "unfitted", "dni": "unfitted", "unpopulated": "unfitted",
	"rot": "turned", "rotation": "turned", "rotated": "turned", "angle": "turned",
	"pos": "at", "position": "at", "place": "at", "xy": "at", "dia": "round", "diameter": "round",
	"footprint": "package", "val": "value", "alias": "also", "aka": "also", "net": "on",
	"version": "rev", "revision": "rev", "date": "when", "author": "by", "under": "over",
	"ol": "open", "0l": "open", "o.l": "open", "inf": "open", "infinite": "open",
	"beep": "rings", "beeps": "rings", "voltage": "volts", "resistance": "ohms", "current": "amps",
	"0.l": "open", "red": "red-on-ground", "black": "black-on-ground", "med": "medium", "mid": "medium", "hi": "high", "lo": "low",
	"measured": "reading", "measure": "reading", "replace": "replaced", "lift": "lifted", "desoldered": "removed",
	"swapped": "replaced", "froze": "freeze", "frozen": "freeze", "injected": "inject", "split": "separated",
}

// otherKinds are the same for the first word of a line.
var otherKinds = map[string]string{
	"component": "part", "comp": "part", "rail": "net", "signal": "net", "testpoint": "pad",
	"lid": "cover", "can": "cover", "trace": "track", "screw": "hole", "edge": "outline",
	"measurement": "reading", "measure": "reading", "measured": "reading", "comment": "note",
	"remark": "note", "connection": "join", "rings": "continuity", "ring": "continuity", "repair": "job",
}

// likelyWord is the help for a word that stands for one of words: a slip, or
// what the trade says for it. Others are the trade's words.
func likelyWord(word string, words []string, others map[string]string) []string {
	if w, ok := others[strings.ToLower(word)]; ok && slices.Contains(words, w) {
		return []string{"did you mean " + w + "?"}
	}
	return suggest(word, words)
}

// unknown complains of a word that has no place in the line.
func (c *cursor) unknown(t token, s string) *problem {
	if q, ok := c.memo.parse(s); ok {
		p := c.fault(t, "S207", diag.Quote(s)+" is "+q.Unit.Measures()+", which "+c.form.title+" does not have", c.canHave())
		for _, word := range []string{"round", "drill"} {
			if _, has := c.form.lookup.find(word); has && q.Unit == board.Metre {
				p.Help = []string{"write " + word + " " + s + " if it is the diameter"}
				break
			}
		}
		return p
	}
	p := c.fault(t, "S201", diag.Quote(s)+" is not known here")
	if c.terse {
		return p
	}
	if unit := c.strayUnit(t); unit != nil {
		return unit
	}
	if p.Help = likelyWord(s, c.form.words(), otherWords); len(p.Help) == 0 && c.form.id == formPart {
		p.Help = c.likelyCode(s)
	}
	if len(p.Help) > 0 {
		p.Edits = editOf(*p)
		return p
	}
	if _, isKind := kindByWord(s); isKind && t.marks == 0 {
		p.Help = []string{"start a new line for another statement"}
		c.i = len(c.toks)
		return p
	}
	p.Help = append(c.strayHelp(t, s), c.canHave())
	return p
}

// strayUnit complains of a unit that a blank parts from its number, where the
// number alone could be read: 10k ohm.
func (c *cursor) strayUnit(t token) *problem {
	if c.i == 0 || (c.toks[c.i-1].marks|t.marks)&(quoted|comma) != 0 {
		return nil
	}
	before := c.toks[c.i-1]
	joined := c.f.tokenText(before) + c.f.tokenText(t)
	if _, ok := c.memo.parse(joined); !ok {
		return nil
	}
	at := diag.Range{Start: int(before.start), End: int(t.start) + int(t.size)}
	p := &problem{Code: "S206", Range: at, Message: "there is a blank in " + diag.Quote(c.f.text[at.Start:at.End]), Help: []string{"did you mean " + joined + "?"}}
	p.Edits = editOf(*p)
	return p
}

// likelyCode is the help for RKM code that starts with its letter, which must
// stand after the word value: R47, u33.
func (c *cursor) likelyCode(s string) []string {
	for _, code := range []string{s, strings.ToUpper(s)} {
		if _, ok := board.QuantityOf(code, c.partClass().ValueUnit()); ok {
			return []string{"did you mean value " + code + "?"}
		}
	}
	return nil
}

func (c *cursor) canHave() string {
	switch usage := c.form.usage(); {
	case usage != "" && c.form.lead == 0:
		return c.form.title + " can have: " + usage
	case usage != "":
		return "after its name, " + c.form.title + " can have: " + usage
	}
	return c.form.title + " has nothing after its name"
}

// leads are the words before the name of something that many write without, by
// the word of the line: the net of a pad, the device of a job.
var leads = map[string][2]string{
	"pad": {"on", "the net"}, "branch": {"on", "the net"}, "via": {"on", "the net"}, "track": {"on", "the net"},
	"note": {"on", "what the note is about"}, "job": {"of", "the device"},
	"reading": {"to", "where the second probe is"}, "resistance": {"to", "where the second probe is"},
}

// selfTelling are words that say what the next one is, which tells itself.
var selfTelling = []string{"size", "class", "type", "side", "kind", "rated", "rating", "tolerance", "text", "title", "symptom", "time", "mode"}

// strayHelp tells where a word that cannot be placed may belong. The cursor is
// at the word.
func (c *cursor) strayHelp(t token, s string) (help []string) {
	lead, hasLead := leads[c.form.word]
	if _, ok := c.form.lookup.find(lead[0]); !ok || c.has(lead[0]) {
		hasLead = false
	}
	atName := c.i == c.form.afterLead() && nameOf(s, t.marks)
	more := c.i+1 < len(c.toks)
	second := c.secondName(s)
	switch {
	case c.form.id == formQuestion && board.SavedName(s):
		return []string{"a parameter has a $ before it: $" + s}
	case strings.Trim(s, "=:-") == "":
		return []string{"leave it out: a value follows its word without a sign between them"}
	case more && slices.Contains(selfTelling, s):
		return []string{"leave it out: what follows tells itself"}
	case c.form.id == formStep && atRole(c, t):
		return []string{"the role of a board that is fed alone comes first: draw " + s + " " + c.f.plain(c.toks[c.i-1])}
	case more && s == "pin" && c.i > 0:
		return []string{"a pin follows its part after a dot: " + c.f.plain(c.toks[c.i-1]) + "." + c.f.plain(c.toks[c.i+1])}
	case atName && hasLead:
		help = []string{"if " + s + " is " + lead[1] + ", write " + lead[0] + " " + s}
	case len(second) > 0 && c.form.id != formNote:
		return second
	case len(second) > 0:
		help = second
	case atName && c.form.canHaveBlankName():
		name := string(appendQuoted(nil, c.f.plain(c.toks[c.i-1])+" "+s))
		help = []string{"if it belongs to the name, write " + name}
	}
	return append(help, c.form.strayHelp(s)...)
}

// atRole reports whether a word of a draw may be the role that should stand first.
func atRole(c *cursor, t token) bool {
	_, isAmps := c.memo.parse(c.f.plain(c.toks[c.i-1]))
	return isAmps && nameOf(c.f.tokenText(t), t.marks)
}

// before is the attribute that ends right before the cursor, and its value as
// it is written.
func (c *cursor) before() (a *attribute, text string) {
	attrs := c.f.lineAttrs(c.l)
	if len(attrs) == 0 {
		return nil, ""
	}
	last := attrs[len(attrs)-1]
	a = &c.form.attributes[last.slot]
	if int(last.token-c.l.token)+int(last.tokens) != c.i {
		return nil, ""
	}
	return a, c.attrText(last)
}

// secondName is the help for a word that stands right after a name, or a list
// of names, that it may belong to.
func (c *cursor) secondName(s string) []string {
	a, text := c.before()
	switch {
	case a == nil:
		return nil
	case a.shape == namesShape || a.shape == overShape || a.shape == targetsShape:
		return []string{"names in a list have commas between them: " + strings.TrimSpace(a.word+" "+text) + "," + s}
	case a.shape == nameShape && a.word != "" && text[0] != '"':
		return []string{"if it belongs to " + text + ", write " + a.word + " " + string(appendQuoted(nil, text+" "+s))}
	}
	return nil
}

// canHaveBlankName reports whether the things of this form often have names
// with blanks.
func (f *form) canHaveBlankName() bool {
	return f.id == formBoard || f.id == formStack || f.id == formNet
}

func (f *form) strayHelp(s string) []string {
	switch {
	case f.id == formPart:
		return []string{"write package " + s + ` if that is its package, or "` + s + `" if that is what the part is`}
	case f.id == formNet:
		return []string{"parts on the net go on indented lines below it"}
	case f.id == formOutline && looksLikeSize(s):
		return []string{"write box with two corners, as in box 0,0 62,38"}
	case f.id == formCover:
		return []string{"if it says how the cover comes off, write lift " + s}
	case f.bare[bareText] >= 0:
		return []string{`free text stands in quotation marks: "` + s + `"`}
	}
	return nil
}

// kindHelp is the help for a line that starts with a word that is no kind of
// statement.
func (p *parser) kindHelp(l *line, word string) []string {
	if help := likelyWord(word, kindWords(), otherKinds); len(help) > 0 {
		return help
	}
	rest := p.f.lineTokens(l)[1:]
	if slices.Contains(modeWords, word) && len(rest) > 0 {
		return []string{"write reading " + word + " for a measured value, expect " + word + " for what it should be"}
	}
	for _, id := range []formID{formPart, formCover, formNet} {
		f := formOf(id)
		if e, ok := f.lookup.find(word); ok && e.value && len(rest) > 0 {
			return []string{"the kind of line comes first, then the name: " + f.word + " " + p.f.tokenText(rest[0]) + " " + word}
		}
	}
	return p.nameHelp(word)
}

// nameHelp is the help for a line that starts with the name of a part.
func (p *parser) nameHelp(word string) (help []string) {
	if board.ClassOf(word) == board.ClassUnknown || !strings.ContainsAny(word, "0123456789") || !board.BareName(word) {
		return nil
	}
	if p.above != nil && len(p.above.members) > 0 {
		help = append(help, "if it belongs to the line above, put two blanks before it")
	}
	return append(help, "if it is a part, write part "+word)
}

// pinHelp is the help for a member that has no pins: they are often written
// behind the part, with another mark than the blank.
func pinHelp(s string) string {
	s = strings.TrimSuffix(s, ")")
	if strings.Trim(s, "0123456789") == "" {
		return "the part stands before its pins, as in C1201 " + s
	}
	if i := strings.LastIndexAny(s, ".-/(:"); i > 0 && i < len(s)-1 {
		return "the part and its pins have blanks between them: " + s[:i] + " " + s[i+1:]
	}
	return "write the part and then its pins: " + s + " 1 2; a bare pad stands in a line of its own: pad " + s + " on NET"
}
