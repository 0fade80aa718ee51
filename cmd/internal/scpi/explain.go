package scpi

// Explain returns the text about a code of this package and of those below it:
// what is meant, where it comes from, and what to do.
func Explain(code string) (string, bool) {
	text, ok := explanations[code]
	return text, ok
}

var explanations = map[string]string{
	// M1: the way to the instrument.
	"M101": "An instrument on the network has an address: a host, or a host and a port. Without a port 5025 is taken, where most instruments listen. An IPv6 address with a port stands in brackets: [fe80::1]:5025.",
	"M102": "Nothing at this address takes a connection. The instrument must be on, in the same network, and set to remote control over LAN; some call it raw socket. Many take one connection at a time, so another program may hold it.",
	"M103": "The instrument took the connection but did not answer in time. What it may still say is not taken for the answer to a later question: the connection is closed, and the next question opens a new one. A long measuring time needs a longer --timeout; and some instruments answer only when remote control is switched on.",
	"M104": "The connection broke and was made once again, as is always tried, but that did not help. Look at the cable and the switch. Instruments that take one connection only close a second one at once.",
	"M105": "When the connection broke and was made again, another instrument answered. Readings of two instruments must not be mixed, so nothing was taken. Start again if the new instrument is the one that is meant.",

	// M2: answers that cannot be read.
	"M201": "An answer is one line, of at most 4096 bytes here. Longer ones come from an instrument that sends something else, such as a screen or a trace, or from a port that does not speak SCPI. The connection was closed.",
	"M202": "The answer should be a number, as IEEE 488.2 writes it: 412, 0.412 or +4.12000000E-01, with a decimal point and no unit. What stands at the mark is something else.",
	"M203": "Every instrument of IEEE 488.2 answers *IDN? with four fields with commas between them: maker, model, serial number, firmware. What answered is probably no instrument, or a port for people that prints a greeting: on some instruments that is 5024, and programs use 5025.",
	"M204": "The error queue of an instrument is read with SYSTem:ERRor? and gives a number and a text in quotes: -113,\"Undefined header\". What came is something else, so it is not known whether the instrument has done what it was told.",
	"M205": "One number was asked for and more came, or a number with a decimal comma. Some meters add a time or a unit to each reading until they are told not to (FORMat:ELEMents READing, set at the meter or by its maker's program).",
	"M206": "The meter sends its readings as binary numbers, as some other program has told it to. Switch it off and on, or set its data format to ASCII.",
	"M207": "The answer should be on or off: 1, 0, ON or OFF.",

	// M3: an instrument that is not what it should be.
	"M301": "The command wants another kind of instrument. What has an output is never taken for a meter, because setting a function can switch the output of some instruments on; and what cannot say its output is no bench supply.",
	"M302": "The instrument has put errors into its queue instead of doing what was asked. They are shown as it says them: numbers below zero are those of the SCPI standard (-100 to -199: the command is not known to it, -200 to -299: it cannot be carried out now), those above zero are the maker's own.",
	"M303": "The function of the meter was changed while readings were taken, perhaps at its front panel. What it read since then is of another kind, so it was not taken.",
	"M304": "The error queue of an instrument ends with 0,\"No error\". This one gave a hundred errors without an end. Switch the instrument off and on.",
	"M305": "The answer was sent, but it is no reading: a number beyond all that a meter can measure, and not the one that means overload.",

	// M4: netlore itself.
	"M401": "netlore only puts single questions of a known form to an instrument. This one is not of that form: it would have set something, or carried something out. That is a mistake in netlore; please report it.",
}
