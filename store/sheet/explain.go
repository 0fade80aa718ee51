package sheet

// Explain returns the text about a code of this package: what is meant, why it
// is asked for, and what to do.
func Explain(code string) (string, bool) {
	text, ok := explanations[code]
	return text, ok
}

var explanations = map[string]string{
	// S1: the file and its lines.
	"S101": "A sheet starts with the line netlore 1, which names the format and its version. Without it nobody can tell what the file is, now or in thirty years. Put that line at the top.",
	"S102": "The file is not text in UTF-8, so it is not a sheet. Board files of other programs are imported first; text in UTF-16 is saved again as UTF-8.",
	"S103": "A line has at most 4096 bytes. Statements about one thing add up, so a long list can be said in several lines; a long text is better said in several notes.",
	"S104": "A sheet has at most 256 MiB. A folder of sheets is read as one, so a large file can be split anywhere between two statements.",
	"S105": "A sheet is UTF-8 text. The line holds bytes that are not; they often come from an editor set to an old code page. Save the file as UTF-8.",
	"S106": "The line holds a character that cannot be seen, such as a control character or a blank that is not the plain blank. Two names that look alike would then differ. Take it out, or put the word in quotation marks if it belongs to the name.",
	"S107": "Text in quotation marks ends on the line on which it starts. There are no lines that go on.",
	"S108": `Inside quotation marks a backslash stands before " or another backslash only: \" and \\. Everything else is written as it is.`,
	"S109": "Lists are written with commas and without blanks before them: A,B,C. A comma has something before it and something after it, on the same line.",
	"S110": "An indented line belongs to the statement above it. Here there is none: either the statement is missing, or the line should start in the first column.",
	"S111": "Indented lines belong to the statement above them; there is one level of them and no more. Indent all lines of one statement alike; canonical form uses two blanks.",
	"S112": "Statements of this kind have no indented lines. Perhaps the line belongs to another statement, or should start in the first column.",
	"S113": "A line that starts in the first column is a statement, and its first word says of what kind: board, part, net, reading and so on. This word is none of them.",
	"S114": "Only the first hundred complaints are listed, since the others often follow from them. Mend these and try again.",
	"S115": "Quotation marks go round the whole name. Inside them a quotation mark is written \\\".",

	// S2: attributes and their values.
	"S201": "The word has no place in this line. Each kind of statement has its own words; a name in a place where any name can stand is never taken for one of them.",
	"S202": "A word that is followed by a value stands here without one, or the line lacks what it starts with.",
	"S203": "A line says each thing once. Two values of one thing on one line cannot both hold.",
	"S204": "A statement of this kind needs something that the line does not say.",
	"S205": `Names with blanks, brackets in odd places or one of , " < > = ! : ; * ? are written in quotation marks, in sheets and in questions alike.`,
	"S206": "The number cannot be read, or has no unit. Every number has its unit, so that nothing has to be guessed: 10uF, 4.7kohm, 0.412V, 12min. RKM code is read too: 4k7, 4n7.",
	"S207": "The unit measures something that cannot stand here.",
	"S208": "The place, angle or number cannot be read. Places are two numbers in millimetres with a comma between them: 12.3,8.15.",
	"S209": "A size is written WIDTHxHEIGHTmm, in one word: 5x3.5mm. Both numbers are above zero.",
	"S210": "A tolerance is written ±8%, ±20mV or +5%/-10%. For ± one may write +- or +/-.",
	"S211": "Dates are written year first, by RFC 3339: 2026-03-02, or with the time 2026-03-02T10:11Z.",
	"S212": "What a statement is about is written NAME, PART.PIN or, in a stack, ROLE:NAME. A word before it tells things of one name apart: pad P11, net P11.",
	"S213": "A range is written P11..P14: two names that differ in one number only, the lower first, with at most 4096 names between them. It can stand where several names can.",
	"S214": "Two things that exclude each other stand on one line, such as a box and a polygon for one outline.",
	"S215": "Free text stands in quotation marks.",
	"S216": "A list can not stand here, only one value.",
	"S217": "The value does not go with what was measured: a diode reading is in volts or open, continuity rings or is silent, heat is hot, cold or in degrees.",
	"S218": "A step of a job is its number, then what was done, in one of the known words: draw, reading, tape, separated, removed and so on.",
	"S219": "A join leads from a pad of one board of a stack to a pad of another. With ranges, both have the same length.",
	"S220": "A saved question is asked for by its name, like parts or nets. So the name is written in small letters; it starts with one, and digits, - and _ can follow. Its parameters are written the same way, each with a $ before it and none of them twice.",

	// S3: contradictions, between the lines of one file or of several.
	"S301": "Two statements about one thing say different values. Statements add up, and the same said twice is harmless, but of two values one is wrong. This often comes from merging two people's changes: take one out.",
	"S302": "A pin is on one net. Either one of the two lines is wrong, or the two nets are one: then say so with also.",
	"S303": "Files that are read as one are about one board, or one stack. Read them apart, or move the lines of one subject into a file of their own.",
	"S304": "Parts, nets, pads and covers belong to a board; joins belong to a stack. The file is about the other.",
	"S305": "A board has one outline.",
	"S306": "Steps of a job are put in order by their numbers, so each number is one step. This often comes from merging two people's changes: give one of them a new number.",

	// S4: what can be read, but is probably wrong.
	"S401": "No net is named as ground. Ground is never guessed: readings, shorts and rails are judged against it. Write ground after the name of the net, as in net GND ground.",
	"S402": "The place lies outside the board's outline. Perhaps x and y are swapped, the unit is not mm, or the origin is another.",
	"S403": "It is not known what lies under this cover, so nothing can be said about it. Give an outline (box, round, polygon), list the parts on indented lines, or say over nothing.",
	"S404": "The board has no pad of that name, so the join leads nowhere.",
	"S405": "A part is listed here that no other line knows; it is probably misspelt. If it is real, give it a part line.",
	"S406": "A pad is listed here that no pad line knows; it is probably misspelt.",
	"S407": "The value cannot be that of such a part: a capacitor in ohms, a rating below zero, a million farads. Parts have the class that their letters tell unless the line says another.",
	"S408": "One author expects two different values of one thing in one kind of reading. With different dates the newer one holds; otherwise it cannot be told which. Other authors may well expect another value.",
	"S409": "The name alone stands for more than one thing. A pad is taken before a net, a net before a part. Write the word before the name to be clear.",
	"S410": "Nothing on the board has this name; it is probably misspelt.",
	"S411": "A branch is one piece of copper of one net, so its pads and pins are on that net.",
	"S412": "Two names differ in upper and lower case only. They are two things to netlore; to people they are often one, misspelt.",
	"S413": "A name given with also belongs to another net as well. A name leads to one net.",
	"S414": "Two places ring through, so they are on one net, but the board has them on two. One of the statements is wrong.",
	"S415": "The name before the colon is the role of a board in the stack. The stack has no such role.",
	"S416": "The statement is there twice. That is harmless, and canonical form has it once.",
	"S417": "A pad faces one pad of the board on the other side. It is joined to two here.",
	"S418": "The job's closing date lies before its opening date.",
	"S419": "The name of a pin reads like a range with a dash, or like the word pin. Names may have dashes, so it is taken as it stands; but if several pins are meant, write A1..A4, or the pins with blanks between them.",
	"S420": "No meter shows such a value of a handheld: a diode test of tens of volts, a resistance below zero. The unit or the decimal point is probably wrong.",
	"S421": "Two places do not ring, so they are on two nets, but the board has them on one. One of the statements is wrong, or this one device has a break there: then the reading belongs in its job.",
	"S422": "The shares of the kinds of fault are of all devices, so together they are 100% at most; those that are not stated share what is left. And if an observation misses or raises a false alarm every time or more, it would tell the contrary of what it says.",

	// S5: versions.
	"S501": "The file says a newer version of the format than this program knows. What it knows is read; lines it does not know are kept as they are when the file is rewritten, but not used.",
	"S502": "The file says a version of the format that this program cannot read. Use a newer netlore.",
}
