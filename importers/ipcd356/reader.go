package ipcd356

import (
	"bytes"

	"netlore/importers/record"
	"netlore/query/diag"
)

// reader is the state of reading one file.
type reader struct {
	opt    record.Options
	report record.Report
	counts [1000]*record.Count // by operation code
	blank  *record.Count
	other  *record.Count

	line    []byte // as read, for excerpts
	number  int
	expand  []byte // scratch for lines with tabs
	records int    // records with an operation code
	points  int

	units    units
	header   header
	aliases  aliases
	image    image
	ended    int // line of the 999 record
	afterEnd bool

	names   symbols
	field   fields
	group   group
	pins    pinTable
	vias    []via
	holes   []hole
	pads    []pad
	strokes strokes
	passive passive
	layers  layerCount
	maxTurn int32
}

func newReader(opt record.Options) *reader {
	r := &reader{opt: opt, report: record.Report{File: opt.File, Format: "IPC-D-356"}}
	r.names.init()
	r.pins.init()
	r.aliases.init()
	return r
}

// read deals with one line.
func (r *reader) read(line []byte, number int, cut bool) {
	r.report.Lines++
	if number == 1 {
		line = bytes.TrimPrefix(line, byteOrderMark)
	}
	r.line, r.number = line, number
	if cut {
		r.complain("D313", diag.Warning, 0, 0, "this line is longer than 64 KiB; the rest of it was skipped",
			"lines of this format have 80 columns; is the file whole?")
	}
	if bytes.IndexByte(line, '\t') >= 0 {
		r.expand = expandTabs(r.expand[:0], line)
		line, r.line = r.expand, r.expand
	}
	switch {
	case r.ended > 0:
		r.trailing(line)
	case len(line) >= 3 && isDigit(line[0]) && isDigit(line[1]) && isDigit(line[2]):
		r.coded(line, int(line[0]-'0')*100+int(line[1]-'0')*10+int(line[2]-'0'))
	default:
		r.endPath()
		r.uncoded(line)
	}
}

// uncoded deals with lines that are no coded record.
func (r *reader) uncoded(line []byte) {
	switch {
	case blank(line):
		r.count(&r.blank, "blank", "blank lines").Explain(r.number, "blank line")
	case line[0] == 'P' && (len(line) == 1 || line[1] == ' '):
		r.parameter(line)
	case line[0] == 'C' && (len(line) == 1 || !isLetter(line[1])):
		r.comment(line)
	default:
		r.count(&r.other, "other", "lines that are no record").Explain(r.number, "no record of this format")
		r.complain("D311", diag.Warning, 0, min(len(line), 3), "this line is no record of IPC-D-356",
			"a line begins with P, C or a three-digit code such as 317 or 327")
	}
}

// trailing counts what stands after the 999 record.
func (r *reader) trailing(line []byte) {
	after := r.report.Kind("after 999", "lines after the end record")
	after.See()
	after.Explain(r.number, "after the end record 999")
	if !r.afterEnd && !blank(line) {
		r.afterEnd = true
		r.complain("D341", diag.Warning, 0, len(line), "this stands after the end record 999 and is not read",
			"if two files were joined, import them as two")
	}
}

// coded deals with a record that has an operation code.
func (r *reader) coded(line []byte, code int) {
	kind := &kinds[code]
	if kind.note == "" {
		r.endPath()
		r.count(&r.other, "other", "lines that are no record").Explain(r.number, "unknown operation code")
		r.complain("D311", diag.Warning, 0, 3, "no record has the operation code "+string(line[:3]),
			"test records are 317, 327, 367, 307 and their continuations 017 and 027")
		return
	}
	count := r.code(code, kind.note)
	if code != 78 && code != 89 {
		r.endPath()
	}
	switch {
	case code == 999:
		r.ended = r.number
		count.Use()
	case kind.read == nil:
		count.Explain(r.number, kind.why)
	case r.image.skip:
		count.Explain(r.number, "belongs to a further image of the panel, not to the board")
	default:
		r.records++
		kind.read(r, line, count)
	}
}

// kind is what an operation code stands for: who reads its records, or why
// they are not read.
type kind struct {
	note string
	read func(r *reader, line []byte, count *record.Count)
	why  string
}

// kinds lists the operation codes of the format, by number. It is filled when
// the program starts, since the readers in it look codes up themselves.
var kinds [1000]kind

func init() {
	pointKinds()
	pathKinds()
	for code, k := range map[int]kind{
		379: {note: "neighbouring nets", why: "which nets run side by side is not kept"},
		79:  {note: "neighbouring nets, continued", why: "which nets run side by side is not kept"},
		309: {note: "step and repeat", why: "where the panel repeats the board is not kept"},
		390: {note: "feature that is not tested", why: "a feature that is not tested"},
		90:  {note: "feature that is not tested, continued", why: "a feature that is not tested"},
		99:  {note: "tester's probe place", why: "where the tester probes is not kept"},
		88:  {note: "mask clearance", why: "mask clearance is not kept"},
		999: {note: "end"},
	} {
		kinds[code] = k
	}
}

func pointKinds() {
	kinds[317] = kind{note: "through hole", read: (*reader).point}
	kinds[327] = kind{note: "surface pad", read: (*reader).point}
	kinds[307] = kind{note: "blind or buried via", read: (*reader).point}
	kinds[17] = kind{note: "through hole, continued", read: (*reader).continued}
	kinds[27] = kind{note: "surface pad, continued", read: (*reader).continued}
	for _, code := range []int{337, 347, 357, 367} {
		kinds[code] = kind{note: "tooling hole", read: (*reader).tooling}
	}
}

func pathKinds() {
	kinds[378] = kind{note: "conductor", read: (*reader).conductor}
	kinds[78] = kind{note: "conductor, continued", read: (*reader).morePath}
	kinds[389] = kind{note: "outline", read: (*reader).outline}
	kinds[89] = kind{note: "outline, continued", read: (*reader).morePath}
	kinds[370] = kind{note: "part within the board", read: (*reader).passiveFirst}
	kinds[380] = kind{note: "part on the board", read: (*reader).passiveFirst}
	kinds[70] = kind{note: "part within the board, continued", read: (*reader).passiveSecond}
	kinds[80] = kind{note: "part on the board, continued", read: (*reader).passiveSecond}
}

// code returns the count of an operation code, having counted this record.
func (r *reader) code(code int, note string) *record.Count {
	if r.counts[code] == nil {
		r.counts[code] = r.report.Kind(string(r.line[:3]), note)
	}
	r.counts[code].See()
	return r.counts[code]
}

// count returns the count kept in c, having counted this record.
func (r *reader) count(c **record.Count, kind, note string) *record.Count {
	if *c == nil {
		*c = r.report.Kind(kind, note)
	}
	(*c).See()
	return *c
}

// byteOrderMark is what some editors put before the first line.
var byteOrderMark = []byte("\xef\xbb\xbf")

// expandTabs appends line to dst with tabs to every eighth column.
func expandTabs(dst, line []byte) []byte {
	for _, c := range line {
		if c != '\t' {
			dst = append(dst, c)
			continue
		}
		for n := 8 - len(dst)%8; n > 0; n-- {
			dst = append(dst, ' ')
		}
	}
	return dst
}

func isLetter(c byte) bool { return 'A' <= c && c <= 'Z' || 'a' <= c && c <= 'z' }
