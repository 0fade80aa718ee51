package lsp

import (
	"context"
	"maps"
	"reflect"
	"slices"
	"strings"
	"time"

	"netlore/query/diag"
)

// checkOnChange checks all open documents whenever nobody has typed for a
// while, and tells the client what has changed.
func (s *server) checkOnChange(ctx context.Context) {
	told := map[string]publishParams{} // by URI
	for {
		select {
		case <-ctx.Done():
			return
		case <-s.changed:
		}
		if !s.quiet(ctx) {
			return
		}
		s.mu.Lock()
		docs := s.docs
		s.mu.Unlock()
		if !s.publish(ctx, docs, told) {
			return
		}
	}
}

// quiet waits until nothing has changed for a while, but not much longer than
// that for somebody who never stops; false if all is over.
func (s *server) quiet(ctx context.Context) bool {
	timer, latest := time.NewTimer(s.Quiet), time.NewTimer(10*s.Quiet)
	defer timer.Stop()
	defer latest.Stop()
	for {
		select {
		case <-ctx.Done():
			return false
		case <-s.changed:
			timer.Reset(s.Quiet)
		case <-timer.C:
			return true
		case <-latest.C:
			s.touch() // what comes after this is looked at too
			return true
		}
	}
}

// publish tells the complaints about all open documents that are not what was
// told last, and takes back those about documents that were closed.
func (s *server) publish(ctx context.Context, docs *documents, told map[string]publishParams) bool {
	v := &view{s: s, ctx: ctx, docs: docs}
	for uri, last := range told {
		if d := docs.get(uri); d == nil || d.uri != uri {
			s.notify("textDocument/publishDiagnostics", publishParams{URI: last.URI, Diagnostics: []diagnosticItem{}})
			delete(told, uri)
		}
	}
	for _, key := range slices.Sorted(maps.Keys(docs.open)) {
		d := docs.open[key]
		if ctx.Err() != nil {
			return false
		}
		p := publishParams{URI: d.uri, Diagnostics: v.complaints(d)}
		if s.client.TextDocument.Diagnostics.Version {
			p.Version = d.version
		}
		if last, ok := told[d.uri]; ok && reflect.DeepEqual(last, p) {
			continue
		}
		told[d.uri] = p
		s.notify("textDocument/publishDiagnostics", p)
	}
	return ctx.Err() == nil
}

// doubtful are complaints that something is not there. They are kept back while
// a line cannot be read, or a sheet of the folder is left out, for that may be
// where it stands.
var doubtful = map[string]bool{"S401": true, "S403": true, "S404": true, "S405": true, "S406": true, "S410": true, "S415": true}

// complaints are all that is to be said about a document: what cannot be read,
// and what is wrong with what it says together with the other sheets.
func (v *view) complaints(d *document) []diagnosticItem {
	w := v.s.disk.world(v.ctx, v.docs, d)
	all := []diagnosticItem{}
	for _, c := range d.parse().found {
		all = append(all, v.item(w, d, c))
	}
	u := w.home[d.file()]
	broken := !w.whole
	for _, f := range u.Files {
		broken = broken || w.doc[f].parse().found.HasErrors()
	}
	for _, c := range v.savedWrong(w) {
		if c.File == d.uri {
			all = append(all, v.item(w, d, c))
		}
	}
	for _, c := range u.Check() {
		if broken && doubtful[c.Code] {
			continue
		}
		if c, ok := about(c, d); ok {
			all = append(all, v.item(w, d, c))
		}
	}
	return all
}

// about turns a complaint so that it is about a place in a document. It may be
// told of another one that contradicts it, and that may not be open.
func about(c diag.Diagnostic, d *document) (diag.Diagnostic, bool) {
	if c.File == d.uri || c.File == "" {
		return c, true
	}
	for i, r := range c.Related {
		if r.File != d.uri {
			continue
		}
		turned := c
		turned.Edits = nil
		turned.File, turned.Range, turned.Line = r.File, r.Range, r.Line
		turned.Related = append([]diag.Related{{File: c.File, Range: c.Range, Line: c.Line, Message: "the other place"}}, c.Related[:i]...)
		turned.Related = append(turned.Related, c.Related[i+1:]...)
		return turned, true
	}
	return c, false
}

// severities are the numbers of the protocol.
var severities = [...]int{diag.Error: 1, diag.Warning: 2, diag.Note: 3}

// item says a complaint in the terms of the protocol.
func (v *view) item(w *world, d *document, c diag.Diagnostic) diagnosticItem {
	item := diagnosticItem{Range: v.marked(d, c.Range), Severity: severities[c.Severity], Code: c.Code, Source: "netlore",
		Message: strings.Join(append([]string{c.Message}, c.Help...), "\n")}
	if !v.s.client.TextDocument.Diagnostics.Related {
		return item
	}
	for _, r := range c.Related {
		for _, other := range w.docs {
			if other.uri == r.File {
				item.Related = append(item.Related, relatedItem{location{other.uri, v.marked(other, r.Range)}, r.Message})
			}
		}
	}
	return item
}

// marked is the range of a complaint: within one line, and never empty if that
// can be, for an empty one is hard to see.
func (v *view) marked(d *document, r diag.Range) textRange {
	if i := strings.IndexAny(d.text[min(r.Start, len(d.text)):min(r.End, len(d.text))], "\r\n"); i >= 0 {
		r.End = r.Start + i
	}
	if r.Start == r.End && r.Start > 0 && r.Start <= len(d.text) && !strings.ContainsRune("\r\n", rune(d.text[r.Start-1])) {
		r.Start--
		for r.Start > 0 && d.text[r.Start]&0xc0 == 0x80 {
			r.Start--
		}
	}
	return d.lines().textRange(r, v.s.client.encoding)
}
