package ipcd356

import (
	"bytes"
	"fmt"
	"strconv"
	"strings"

	"netlore/importers/record"
	"netlore/query/diag"
)

// header is what the parameters say about the board.
type header struct {
	job, title, number, revision string
	version                      string
	versionB                     bool
}

// image is which part of a panel the records belong to. Only the board itself
// is read.
type image struct{ skip bool }

// parameter reads a P record. Its keyword should begin in column 4 and its
// value in column 10; exporters keep neither.
func (r *reader) parameter(line []byte) {
	keyword, value := splitWord(line[1:])
	if bytes.HasPrefix(keyword, []byte("NNAME")) {
		r.alias(keyword, value, line, r.count(&r.aliases.fromP, "P NNAME", "long net names"))
		return
	}
	count := r.count(&r.aliases.parameters, "P", "parameters")
	if take, ok := parameters[string(keyword)]; ok {
		take(r, bytes.TrimSpace(value))
		count.Use()
		return
	}
	count.Explain(r.number, "a parameter that says nothing about the board")
}

// parameters lists the keywords that say something about the board.
var parameters = map[string]func(r *reader, value []byte){
	"JOB":                  func(r *reader, v []byte) { keep(&r.header.job, v) },
	"TITLE":                func(r *reader, v []byte) { keep(&r.header.title, v) },
	"NUM":                  func(r *reader, v []byte) { keep(&r.header.number, v) },
	"REV":                  func(r *reader, v []byte) { keep(&r.header.revision, v) },
	"UNITS":                (*reader).setUnits,
	"VER":                  (*reader).setVersion,
	"IMAGE":                (*reader).setImage,
	"SECONDARY_SIDE_LAYER": (*reader).setBottomLayer,
	"REMOVED_CONDUCTORS":   (*reader).removedConductors,
}

// keep takes the first value of a parameter that is given twice; of a very long
// one, what a line of a sheet can hold.
func keep(into *string, value []byte) {
	if *into == "" {
		all := []rune(text(value))
		*into = string(all[:min(len(all), maxName)])
	}
}

func (r *reader) setVersion(value []byte) {
	keep(&r.header.version, value)
	if strings.HasSuffix(strings.ToUpper(r.header.version), "D-356B") {
		r.header.versionB = true
	}
	if r.header.version != "" {
		r.report.Format = r.header.version
	}
}

// setImage leaves out what belongs to further images and to the panel.
func (r *reader) setImage(value []byte) {
	word := strings.ToUpper(string(value))
	_, err := strconv.Atoi(word)
	r.image.skip = word == "PANEL" || err == nil
}

func (r *reader) setBottomLayer(value []byte) {
	if n, _, ok := number(bytes.TrimLeft(value, "L"), 0); ok {
		r.layers.declare(n)
	}
}

func (r *reader) removedConductors([]byte) {
	r.complain("D352", diag.Note, 0, len(r.line), "conductors of this net were left out of the file",
		"what copper can be drawn is not all there is")
}

// comment reads a C record. Some exporters put aliases and the number of
// layers there.
func (r *reader) comment(line []byte) {
	word, rest := splitWord(line[1:])
	if alias, ok := bytes.CutPrefix(word, []byte("NNAME")); ok && bytes.ContainsAny(alias, "0123456789") {
		r.alias(word, rest, line, r.count(&r.aliases.fromC, "C NNAME", "long net names in comments"))
		return
	}
	if r.spelledAlias(line) {
		r.count(&r.aliases.fromC, "C NNAME", "long net names in comments").Use()
		return
	}
	count := r.count(&r.aliases.comments, "C", "comments")
	if n, ok := layersIn(line); ok {
		r.layers.declare(n)
		count.Use()
		return
	}
	count.Explain(r.number, "a comment")
}

// layersIn reads the comment "Number of etch Layers:  10".
func layersIn(line []byte) (int32, bool) {
	before, after, found := bytes.Cut(line, []byte(":"))
	if !found || !bytes.Contains(bytes.ToLower(before), []byte("number of etch layers")) {
		return 0, false
	}
	n, _, ok := number(after, 0)
	return n, ok
}

// splitWord splits off the first word of a text.
func splitWord(s []byte) (word, rest []byte) {
	s = bytes.TrimLeft(s, " ")
	if i := bytes.IndexByte(s, ' '); i >= 0 {
		return s[:i], s[i:]
	}
	return s, nil
}

// aliases are the short names that stand for long net names.
type aliases struct {
	exact  map[string]alias
	folded map[string]string // lower case to the exact spelling; empty if there are two

	fromP, fromC, parameters, comments *record.Count
}

type alias struct {
	name    string
	line    int
	comment bool
	short   bool // without NNAME before it
}

func (a *aliases) init() {
	a.exact = map[string]alias{}
	a.folded = map[string]string{}
}

// alias reads "NNAMEm0003 RAIL", "NNAME1     RAIL WITH BLANKS" and
// "NNAME 001 RAIL".
func (r *reader) alias(keyword, value, line []byte, count *record.Count) {
	short := keyword[len("NNAME"):]
	if len(short) == 0 {
		short, value = splitWord(value)
	}
	name := longName(value, line)
	if len(short) == 0 || len(name) == 0 {
		count.Explain(r.number, "an alias without a net name")
		r.complain("D321", diag.Warning, 0, len(line), "this alias has no net name behind it",
			"an alias looks like P  NNAMEA0001 LONG_NET_NAME")
		return
	}
	if len(name) > maxName {
		count.Explain(r.number, "an alias of a name that is too long")
		r.complain("D315", diag.Warning, 0, len(line), fmt.Sprintf("the net name behind this alias is longer than %d letters", maxName))
		return
	}
	comment := line[0] == 'C'
	first := r.define(text(short), text(name), comment, true)
	if r.define("NNAME"+text(short), text(name), comment, false) && first {
		count.Use()
		return
	}
	count.Explain(r.number, "an alias that has another name already")
}

// longName takes the name from the rest of an alias line. Text after column 72
// belongs to it only if the name runs on to there.
func longName(value, line []byte) []byte {
	name := bytes.TrimSpace(value)
	if len(line) > colTrailing && line[colTrailing-1] == ' ' {
		cut := len(value) - (len(line) - colTrailing)
		if cut >= 0 && !blank(value[:cut]) {
			name = bytes.TrimSpace(value[:cut])
		}
	}
	return name
}

// spelledAlias reads the comment
// "CAD Netname : RAIL --- IPC Netname : NNAME0001".
func (r *reader) spelledAlias(line []byte) bool {
	_, rest, found := bytes.Cut(line, []byte("CAD Netname"))
	long, short, both := bytes.Cut(rest, []byte("IPC Netname"))
	if !found || !both {
		return false
	}
	name := bytes.TrimLeft(bytes.TrimSpace(bytes.TrimSuffix(bytes.TrimSpace(long), []byte("---"))), " :")
	key := bytes.Trim(short, " :")
	return len(name) > 0 && len(name) <= maxName && len(key) > 0 && r.define(text(key), text(name), true, false)
}

// define keeps an alias. A parameter wins over a comment; otherwise the first
// one holds, and it reports false for a second with another name.
func (r *reader) define(key, name string, comment, short bool) bool {
	old, known := r.aliases.exact[key]
	switch {
	case known && old.name == name:
		return true
	case known && (comment || !old.comment):
		r.complain("D320", diag.Warning, 0, len(r.line), diag.Quote(key)+" already stands for the net "+diag.Quote(old.name),
			"the first name holds; it was given in line "+strconv.Itoa(old.line))
		return false
	}
	r.points++
	r.aliases.exact[key] = alias{name: name, line: r.number, comment: comment, short: short}
	lower := strings.ToLower(key)
	if other, taken := r.aliases.folded[lower]; taken && other != key {
		key = ""
	}
	r.aliases.folded[lower] = key
	return true
}

// resolve returns the full name of a net as a record calls it.
func (a *aliases) resolve(name string, used map[string]symbol) string {
	if len(a.exact) == 0 {
		return name
	}
	found, ok := a.exact[name]
	if !ok {
		key := a.folded[strings.ToLower(name)]
		if found, ok = a.exact[key]; !ok {
			return name
		}
		name = key
	}
	// Where records use NNAME1, a net that is just called 1 is another one.
	if _, long := used["NNAME"+name]; found.short && long {
		return name
	}
	return found.name
}
