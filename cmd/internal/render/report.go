package render

import (
	_ "embed"
	"html/template"
	"io"
	"strings"
	texttemplate "text/template"
	"time"

	"netlore/query"
	"netlore/query/run"
	"netlore/query/value"
	"netlore/store/board"
)

var (
	//go:embed report.md.tmpl
	reportMarkdown string
	//go:embed report.html.tmpl
	reportHTML string
)

// Report prints a report on a job, as Markdown or as one HTML page that needs
// nothing else.
func Report(w io.Writer, r *query.Report, html bool) error {
	view := reportView{r}
	if html {
		t, err := template.New("report").Funcs(template.FuncMap{"join": joined}).Parse(reportHTML)
		if err != nil {
			return err
		}
		return t.Execute(w, view)
	}
	t, err := texttemplate.New("report").Funcs(texttemplate.FuncMap{"join": joined, "md": markdownText}).Parse(reportMarkdown)
	if err != nil {
		return err
	}
	return t.Execute(w, view)
}

func joined(list []string) string { return strings.Join(list, ", ") }

// markdownText is text that means nothing to Markdown.
func markdownText(s string) string {
	return strings.NewReplacer(`\`, `\\`, "`", "\\`", "*", `\*`, "_", `\_`, "[", `\[`, "]", `\]`, "<", "&lt;", ">", "&gt;", "#", `\#`, "|", `\|`, "\n", " ").Replace(s)
}

// reportView words a report for the templates.
type reportView struct{ *query.Report }

// Dates is when the device came and went.
func (v reportView) Dates() string {
	text := "opened " + date(v.Job.Opened)
	switch {
	case v.Job.Opened.IsZero() && v.Job.Closed.IsZero():
		return ""
	case v.Job.Closed.IsZero():
		return text + ", still open"
	case v.Job.Opened.IsZero():
		return "closed " + date(v.Job.Closed)
	}
	return text + ", closed " + date(v.Job.Closed)
}

func date(t time.Time) string { return t.Format(time.DateOnly) }

// Supply is how the supply was set, and what it showed.
func (v reportView) Supply() string {
	var all []string
	for _, x := range []struct {
		what string
		q    board.Quantity
	}{{"set to ", v.Job.Supply}, {"limited to ", v.Job.Limit}, {"drew ", v.Job.Draw}} {
		if x.q.Known() {
			all = append(all, x.what+x.q.String())
		}
	}
	return strings.Join(all, ", ")
}

// Without is what was left open or off, and what the device does without because
// of that.
func (v reportView) Without() string {
	if v.LeftOff == nil {
		return ""
	}
	text := "Left open or off: " + joined(v.LeftOff) + "."
	switch {
	case v.Unjudged:
		return text + " What the device loses by that is not known."
	case v.Lost != nil:
		text += " The device does without: " + joined(v.Lost) + "."
	case v.LostToo == nil:
		return text + " No function is known to be lost by that."
	}
	if v.LostToo != nil {
		text += " It may do without: " + joined(v.LostToo) + "."
	}
	return text
}

// Cautions are what whoever gets the device back should know.
func (v reportView) Cautions() []string {
	all := []string{
		"Charge and use the device under watch at first. A battery that has been through a short, a fall or liquid can fail later: if it gets warm, swells or smells, stop, and keep away from it.",
	}
	if v.Heat {
		all = append(all, "The board was heated to lift lids or change parts. Neighbouring joints and parts can suffer from that and fail later.")
	}
	if v.Injected {
		all = append(all, "Current was fed into a rail to find the fault. Parts on that rail may have been stressed.")
	}
	return append(all, "The maker's instructions and local rules on batteries and repair come first; leave further work to people who are trained for it.")
}

// Proven says whether what was read after the repair is as expected.
func (v reportView) Proven() string {
	switch off := v.After.Things; {
	case len(v.After.Rows) == 0:
		return "Nothing was read after the repair."
	case off > 0:
		return "Not everything that was read after the repair is as expected."
	}
	return "What was read after the repair:"
}

// BeforeTable and AfterTable are the readings.
func (v reportView) BeforeTable() reportTable { return reportTable{v.Before} }
func (v reportView) AfterTable() reportTable  { return reportTable{v.After} }

// reportTable is a comparison as texts.
type reportTable struct{ *run.Answer }

// Heads are the heads of the columns.
func (t reportTable) Heads() []string {
	var all []string
	for _, c := range t.Columns {
		all = append(all, head(c))
	}
	return all
}

// Cells are the rows.
func (t reportTable) Cells() [][]string {
	var rows [][]string
	for _, r := range t.Rows {
		var cells []string
		for i, v := range r.Cells {
			cells = append(cells, short(v, t.Columns[i].Unit))
		}
		rows = append(rows, cells)
	}
	return rows
}

// Off reports whether a row is not as expected.
func (t reportTable) Off(row int) bool {
	for i, c := range t.Columns {
		v := t.Rows[row].Cells[i]
		if c.Name == "verdict" && v.Kind() == value.Word {
			return v.Raw() != "matching"
		}
	}
	return false
}

// Markdown is the table as Markdown has it.
func (t reportTable) Markdown() (string, error) {
	var s strings.Builder
	err := answerTable(t.Answer, Markdown).Print(&s, Markdown, 0)
	return s.String(), err
}
