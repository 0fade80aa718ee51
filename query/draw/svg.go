package draw

import (
	"bytes"
	"encoding/xml"
	"math"
	"strconv"
)

// writer writes SVG. All that is text goes through the escaping of encoding/xml,
// attributes too.
type writer struct{ bytes.Buffer }

// start opens an element. Attributes are pairs of a name and a value: a string, a
// float64, an int, or a path.
func (w *writer) start(name string, attrs ...any) {
	w.tag(name, attrs)
	w.WriteString(">")
}

// empty writes an element without content.
func (w *writer) empty(name string, attrs ...any) {
	w.tag(name, attrs)
	w.WriteString("/>\n")
}

func (w *writer) end(name string) {
	w.WriteString("</")
	w.WriteString(name)
	w.WriteString(">\n")
}

// words writes an element that holds text.
func (w *writer) words(name, text string, attrs ...any) {
	w.start(name, attrs...)
	w.escaped(text)
	w.end(name)
}

func (w *writer) tag(name string, attrs []any) {
	w.WriteByte('<')
	w.WriteString(name)
	w.attrs(attrs...)
}

func (w *writer) attrs(attrs ...any) {
	for i := 0; i+1 < len(attrs); i += 2 {
		w.WriteByte(' ')
		w.WriteString(attrs[i].(string))
		w.WriteString(`="`)
		switch v := attrs[i+1].(type) {
		case string:
			w.escaped(v)
		case path:
			w.Write(v)
		case float64:
			w.Write(appendNumber(w.AvailableBuffer(), v))
		case int:
			w.Write(strconv.AppendInt(w.AvailableBuffer(), int64(v), 10))
		}
		w.WriteByte('"')
	}
}

// escaped writes text; what XML cannot hold becomes U+FFFD.
func (w *writer) escaped(s string) {
	if plain(s) {
		w.WriteString(s)
		return
	}
	xml.EscapeText(w, []byte(s)) // a buffer has no errors
}

// plain reports whether text needs no escaping, as nearly all does not.
func plain(s string) bool {
	for i := range len(s) {
		if c := s[i]; c < ' ' || c > '~' || c == '&' || c == '<' || c == '>' || c == '"' || c == '\'' {
			return false
		}
	}
	return true
}

// appendNumber writes a coordinate to a tenth, the same on each machine.
func appendNumber(b []byte, v float64) []byte {
	tenths := int64(math.Round(v * 10))
	if tenths < 0 {
		b, tenths = append(b, '-'), -tenths
	}
	b = strconv.AppendInt(b, tenths/10, 10)
	if tenths%10 != 0 {
		b = append(b, '.', byte('0'+tenths%10))
	}
	return b
}

// path is the data of a path: lines and circles.
type path []byte

func (p *path) move(x, y float64) { p.to('M', x, y) }
func (p *path) line(x, y float64) { p.to('L', x, y) }
func (p *path) close()            { *p = append(*p, 'Z') }

func (p *path) to(letter byte, x, y float64) {
	*p = appendNumber(append(*p, letter), x)
	*p = appendNumber(append(*p, ' '), y)
}

// circle adds a circle, as two arcs.
func (p *path) circle(x, y, r float64) {
	p.move(x-r, y)
	p.arc(r, x+r, y)
	p.arc(r, x-r, y)
	p.close()
}

// arc goes on along half a circle.
func (p *path) arc(r, x, y float64) {
	for i, v := range []float64{r, r, 0, 1, 1, x, y} {
		*p = append(*p, " A"[b2i(i == 0)])
		*p = appendNumber(*p, v)
	}
}

// box adds a box along the axes.
func (p *path) box(b box) {
	p.move(b.x0, b.y0)
	p.line(b.x1, b.y0)
	p.line(b.x1, b.y1)
	p.line(b.x0, b.y1)
	p.close()
}

func b2i(b bool) int {
	if b {
		return 1
	}
	return 0
}
