package run

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"netlore/query/value"
	"netlore/query/words"
	"netlore/store/board"
)

// Answer is a typed table and what is to be said about it.
type Answer struct {
	Noun    words.Noun
	Columns []Column
	Rows    []Row
	Handed  int      // rows that were handed over before; see Runner.HandOver
	Reading string   // how the question was read, if that is worth showing
	Remarks []string // what was taken for granted on the way: where a supply comes from

	Things   int      // how many certainly answer the question
	Possible []Reason // how many more possibly do, by what is missing
	Repeated int      // how many stand in more than one group
	Groups   int      // how many groups there are, of an aggregate
	Spots    int      // how many of the rows were judged by their place alone
	Missing  []Absent // names that some of the boards do not know
	LeftOut  []Reason // boards that could not be asked, by why
	Boards   int      // how many boards were asked
	Limit    int      // rows that were allowed, if there were more
	Partial  string   // why the answer is not whole: "cancelled", …
	Took     time.Duration

	Ways [][]Way // of tests that are proposed for a job: how each may come out

	lost     []Lost // functions
	compared int    // how many readings were compared
	listing  listing
	inquiry  *inquiry // that the rows of suspects and tests are of
	judged   []judged // of why, the things that are asked about
	doubt    string   // why a route that was asked for with `possibly` is only possible
}

// judged is whether a thing is in the set that why asks about.
type judged struct {
	name string
	board.Truth
}

// listing is what the rows of an answer are.
type listing uint8

const (
	certainRows  listing = iota
	possibleRows         // asked for with `possibly`
	groupRows            // of an aggregate, one for each group
	totalRow             // of an aggregate over everything
	stepRows             // of a plan
	routeRows            // of a route, in the order of the way
	reasonRows           // why things are in a set, or not
	comparedRows         // readings beside others; Things are those that do not match
	expectedRows         // what is expected where
	meterRows            // how meters differ
	clashRows            // what rings against what is known; Things are the contradictions
	suspectRows          // what may be bad; Things are all of them
	testRows             // what can be tested next
	lossRows             // what a device loses; Things are what is certain
	adviceRows           // how a rail is fed
	oddsRows             // how likely what is before anything is seen
	spokenRows           // what the steps of a job say of a suspect; Things are those that say something
)

// Column is the head of a column. If there is a Unit, the numbers of the column
// are meant to be printed in it, with value.Value.In.
type Column struct{ Name, Unit string }

// Row is one row. A row for one thing says which; ID is board.None in others.
// Why says what is missing, for a row that is only possible. Cells can be shared
// with other answers, so they must not be changed.
type Row struct {
	Cells []value.Value
	Of    *Member // nil if it is of no board
	ID    int32
	Why   string
	Rests []board.Statement // of a reason, what it rests on

	keys []value.Value // what it is sorted by
	spot bool          // it counts as judged by its place alone
}

// Member is the board that rows are of, and its role if it is one of a stack.
type Member struct {
	Board board.Ref
	Role  string
}

// Reason is why some things are only possibly among the rows.
type Reason struct {
	Why   string
	Count int
}

// Absent is a name that some boards do not know.
type Absent struct {
	Name   string
	Boards int
}

// Lost is a function that a device does without, or perhaps does.
type Lost struct {
	Name string
	Sure bool
}

// Complete reports whether the answer has all that was asked for.
func (a *Answer) Complete() bool { return a.Partial == "" && a.Limit == 0 }

// Shown is how many rows there are, with those that were handed over before.
func (a *Answer) Shown() int { return a.Handed + len(a.Rows) }

// Footer sums up the answer in one line: "37 of 37 parts · 4 more possible: no
// position". With the time that it took, it is not the same every time.
func (a *Answer) Footer(withTime bool) string {
	parts := []string{a.countText()}
	if a.Repeated > 0 {
		parts = append(parts, fmt.Sprintf("%d in more than one group", a.Repeated))
	}
	if text := a.possibleText(); text != "" {
		parts = append(parts, text)
	}
	if a.Spots > 0 {
		parts = append(parts, fmt.Sprintf("%d judged by place alone: no size", a.Spots))
	}
	for _, m := range a.Missing {
		parts = append(parts, fmt.Sprintf("%s not on %d of %d boards", m.Name, m.Boards, a.Boards))
	}
	for _, out := range a.LeftOut {
		parts = append(parts, fmt.Sprintf("%d of %d boards left out: %s", out.Count, a.Boards, out.Why))
	}
	if a.Limit > 0 {
		parts = append(parts, fmt.Sprintf("cut at the limit of %d rows", a.Limit))
	}
	if a.Partial != "" {
		parts = append(parts, "partial: "+a.Partial)
	}
	if withTime {
		parts = append(parts, timeText(a.Took))
	}
	return strings.Join(parts, " · ")
}

func (a *Answer) countText() string {
	switch a.listing {
	case possibleRows:
		return a.onlyPossibleText()
	case groupRows:
		return a.groupText()
	case totalRow:
		if a.Things == 0 {
			return a.noneText()
		}
		return a.thingsText()
	case stepRows:
		return plural(a.Shown(), "step")
	case reasonRows:
		return a.whyText()
	case routeRows:
		return a.routeText()
	case comparedRows:
		return a.comparedText()
	case expectedRows:
		return plural(a.Things, "expected value")
	case meterRows:
		return plural(a.Things, "meter")
	case clashRows:
		return a.clashText()
	case suspectRows:
		return fmt.Sprintf("%d of %s", a.Shown(), plural(a.Things, "suspect"))
	case spokenRows:
		return fmt.Sprintf("%d of %s told something", a.Things, plural(len(a.Rows), "step"))
	case lossRows:
		return a.lossText()
	case oddsRows:
		return plural(a.Shown(), "chance")
	case adviceRows:
		return plural(a.Shown(), "line")
	case testRows:
		return fmt.Sprintf("%d of %s", a.Shown(), plural(a.Things, "test"))
	}
	shown := a.Shown()
	if a.Repeated > 0 {
		shown = min(shown, a.Things)
	}
	if a.Things == 0 {
		return a.noneText()
	}
	return fmt.Sprintf("%d of %s", shown, a.thingsText())
}

// thingsText is how many things there are; of an answer that is not whole, at
// least.
func (a *Answer) thingsText() string {
	if a.Partial != "" {
		return "at least " + some(a.Noun, a.Things)
	}
	return some(a.Noun, a.Things)
}

// noneText says that there is nothing, and does not deny what is possible.
func (a *Answer) noneText() string {
	switch {
	case a.Partial != "":
		return "no " + a.Noun.Singular() + " found yet"
	case len(a.Possible) > 0:
		return "no " + a.Noun.Singular() + " for certain"
	}
	return "no " + a.Noun.String()
}

func (a *Answer) onlyPossibleText() string {
	certain := "none certain"
	if a.Things > 0 {
		certain = fmt.Sprintf("%d certain", a.Things)
	}
	if a.Shown() == 0 {
		return "no " + a.Noun.Singular() + " is merely possible · " + certain
	}
	return fmt.Sprintf("%d of %s possible · %s", a.Shown(), some(a.Noun, a.possible()), certain)
}

// whyText says whether things are in the set: "C12 is in it".
func (a *Answer) whyText() string {
	said := map[board.Truth]string{board.True: " is in it", board.Unknown: " may be in it", board.False: " is not in it"}
	var all []string
	for _, j := range a.judged {
		all = append(all, j.name+said[j.Truth])
	}
	switch {
	case a.Partial != "" && len(all) == 0:
		return "not judged yet"
	case a.Partial == "" && a.Shown() == 0:
		all = append(all, "no condition fails")
	}
	return strings.Join(all, ", ")
}

// routeText is how long a route is, which is told by its things.
func (a *Answer) routeText() string {
	switch {
	case a.Shown() == 0 && a.Partial != "":
		return "no way found yet"
	case a.Shown() == 0:
		return "no way found"
	case a.doubt != "":
		return "a possible way of " + plural(a.Things, "step") + ": " + a.doubt
	}
	return "a way of " + plural(a.Things, "step")
}

// lossText says how much is lost.
func (a *Answer) lossText() string {
	switch perhaps := len(a.Rows) - a.Things; {
	case len(a.Rows) == 0 && a.Partial == "":
		return "nothing is lost as far as is known"
	case perhaps > 0:
		return fmt.Sprintf("%d lost, %d more perhaps", a.Things, perhaps)
	}
	return fmt.Sprintf("%d lost", a.Things)
}

// comparedText says how many readings there are, and how many are not as
// expected.
func (a *Answer) comparedText() string {
	if a.Shown() == 0 {
		return "no readings to compare"
	}
	return fmt.Sprintf("%s, %d not as expected", plural(a.compared, "reading"), a.Things)
}

func (a *Answer) groupText() string {
	if a.Groups == 0 {
		return a.noneText()
	}
	text := a.thingsText() + " in " + plural(a.Groups, "group")
	if a.Shown() < a.Groups {
		text += fmt.Sprintf(", %d shown", a.Shown())
	}
	return text
}

// possibleText says how many more rows are possible, and why: the reasons by
// how often they apply.
func (a *Answer) possibleText() string {
	if len(a.Possible) == 0 || a.doubt != "" || a.listing == possibleRows || a.listing == stepRows {
		return ""
	}
	more := "more possible"
	if a.Things == 0 {
		more = "possible"
	}
	if len(a.Possible) == 1 {
		return fmt.Sprintf("%d %s: %s", a.Possible[0].Count, more, a.Possible[0].Why)
	}
	const most = 3
	var texts []string
	for _, r := range a.Possible[:min(most, len(a.Possible))] {
		texts = append(texts, fmt.Sprintf("%d %s", r.Count, r.Why))
	}
	if rest := len(a.Possible) - most; rest > 0 {
		texts = append(texts, plural(rest, "other reason"))
	}
	return fmt.Sprintf("%d %s: %s", a.possible(), more, strings.Join(texts, ", "))
}

func (a *Answer) possible() int {
	n := 0
	for _, r := range a.Possible {
		n += r.Count
	}
	return n
}

// some is a number of things of a noun: "1 part", "37 parts".
func some(n words.Noun, count int) string {
	if count == 1 {
		return "1 " + n.Singular()
	}
	return strconv.Itoa(count) + " " + n.String()
}

func plural(count int, word string) string {
	if count == 1 {
		return "1 " + word
	}
	return strconv.Itoa(count) + " " + word + "s"
}

// timeText gives a time to about two digits.
func timeText(d time.Duration) string {
	ms := float64(d) / float64(time.Millisecond)
	switch {
	case d >= 10*time.Second:
		return strconv.FormatFloat(d.Seconds(), 'f', 0, 64) + " s"
	case d >= time.Second:
		return strconv.FormatFloat(d.Seconds(), 'f', 1, 64) + " s"
	case ms >= 10 || ms == 0:
		return strconv.FormatFloat(ms, 'f', 0, 64) + " ms"
	}
	return strconv.FormatFloat(ms, 'g', 2, 64) + " ms"
}

// sortReasons puts the most frequent reason first.
func sortReasons(counts map[string]int) []Reason {
	var all []Reason
	for why, n := range counts {
		all = append(all, Reason{why, n})
	}
	slices.SortFunc(all, func(a, b Reason) int {
		return cmp.Or(cmp.Compare(b.Count, a.Count), board.CompareNatural(a.Why, b.Why))
	})
	return all
}

// Cut leaves no more rows than that, and says so; 0 is no limit.
func (a *Answer) Cut(rows int) {
	if rows > 0 && len(a.Rows) > rows {
		a.Rows, a.Limit = a.Rows[:rows], rows
	}
}

// drop takes a column out.
func (a *Answer) drop(column int) {
	a.Columns = slices.Delete(a.Columns, column, column+1)
	for i := range a.Rows {
		a.Rows[i].Cells = slices.Delete(a.Rows[i].Cells, column, column+1)
	}
}

// setUnits puts units into the heads of the columns.
func (a *Answer) setUnits() {
	units := make([]value.CommonUnit, len(a.Columns))
	for i := range a.Rows {
		for k := range units {
			units[k].Add(&a.Rows[i].Cells[k])
		}
	}
	for k := range units {
		a.Columns[k].Unit = units[k].String()
	}
}
