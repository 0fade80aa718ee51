package lsp_test

import (
	"bufio"
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"strings"
	"testing"
	"unicode/utf8"

	"netlore/cmd/internal/lsp"
	"netlore/store/board"
	"netlore/store/sheet"
)

// FuzzFrames sends any bytes. The server ends, and what it has said until then
// is whole messages.
func FuzzFrames(f *testing.F) {
	f.Add([]byte("Content-Length: 2\r\n\r\n{}"))
	f.Add([]byte("Content-Length: 58\r\n\r\n" + `{"jsonrpc":"2.0","id":1,"method":"initialize","params":{}}`))
	f.Add([]byte("content-length:0\n\nContent-Length: -7\r\n\r\n"))
	f.Fuzz(func(t *testing.T, in []byte) { talk(t, string(in)) })
}

// talk lets the server read all of in, and reads what it said.
func talk(t *testing.T, in string) {
	var out bytes.Buffer
	lsp.Serve(t.Context(), strings.NewReader(in), &out, lsp.Options{})
	c := &client{t: t, in: bufio.NewReader(&out)}
	for {
		m, err := c.next()
		switch {
		case err == io.EOF:
			return
		case err != nil, m.Error != nil && m.Error.Code == internalError:
			t.Fatalf("after %q: %v %+v", in, err, m.Error)
		}
	}
}

// methods are all that a client can say, with parameters to be filled in.
var methods = []string{"textDocument/completion", "textDocument/hover", "textDocument/definition", "textDocument/references",
	"textDocument/documentHighlight", "textDocument/prepareRename", "textDocument/rename", "textDocument/formatting",
	"textDocument/documentSymbol", "textDocument/foldingRange", "textDocument/codeAction"}

// FuzzConversation opens any text, changes it anywhere, and asks everything at
// every kind of place. Nothing is answered with an internal error.
func FuzzConversation(f *testing.F) {
	f.Add(wren, uint32(2), uint32(3), uint32(9), uint32(1), "net X\n", "V1")
	f.Add(stackFiles, uint32(4), uint32(12), uint32(4), uint32(13), "\"", "a b")
	f.Add("netlore 1\njob 1\n  1 tape lower:P1..P3,\"a\".\"b\"\n", uint32(2), uint32(9), uint32(2), uint32(9), "𝄞\r", "pad")
	f.Fuzz(func(t *testing.T, text string, line, char, line2, char2 uint32, insert, name string) {
		if len(text)+len(insert)+len(name) > 4000 {
			return
		}
		r := fmt.Sprintf(`{"start":{"line":%d,"character":%d},"end":{"line":%d,"character":%d}}`, line, char, line2, char2)
		var in strings.Builder
		say := func(body string) { fmt.Fprintf(&in, "Content-Length: %d\r\n\r\n%s", len(body), body) }
		say(`{"jsonrpc":"2.0","id":0,"method":"initialize","params":{"capabilities":` + modern + `}}`)
		doc := map[string]any{"uri": "untitled:x", "version": 1, "text": text}
		say(`{"jsonrpc":"2.0","method":"textDocument/didOpen","params":` + toJSON(map[string]any{"textDocument": doc}) + `}`)
		say(fmt.Sprintf(`{"jsonrpc":"2.0","method":"textDocument/didChange","params":{"textDocument":{"uri":"untitled:x","version":2},"contentChanges":[{"range":%s,"text":%s}]}}`, r, toJSON(insert)))
		for i, method := range methods {
			say(fmt.Sprintf(`{"jsonrpc":"2.0","id":%d,"method":%q,"params":{"textDocument":{"uri":"untitled:x"},"range":%s,"position":{"line":%d,"character":%d},"newName":%s,"context":{}}}`,
				i+1, method, r, line2, char2, toJSON(name)))
		}
		say(`{"jsonrpc":"2.0","id":99,"method":"shutdown"}`)
		say(`{"jsonrpc":"2.0","method":"exit"}`)
		talk(t, in.String())
	})
}

// FuzzRename renames any of the names in any canonical sheet, and back again: if
// the first is not refused, neither is the second, and the sheet is what it was.
func FuzzRename(f *testing.F) {
	for i := range uint8(12) {
		f.Add(wren, i, "V BUS")
		f.Add("netlore 1\nnet pad\n  \"pad\" 1 a.b\nnote on pin pad.\"a.b\",\"net\" \"x\"\n", i, "C1.")
		f.Add("netlore 1\nstack S\n  net A\n  up A\njoin net:P1 up:P1\nreading volts net:\"on\" open\n", i, "pin")
	}
	f.Fuzz(func(t *testing.T, text string, which uint8, name string) {
		file, found := sheet.Parse("", []byte(text))
		if len(text) > 4000 || found.HasErrors() || strings.Contains(text, name) {
			return // of two names that are one, nobody can tell which it was
		}
		text = string(file.Canonical())
		file, _ = sheet.Parse("", []byte(text))
		var places []int
		for m := range file.Mentions(func(board.Target) board.TargetKind { return board.AnyTarget }) {
			places = append(places, m.At.Start)
		}
		if len(places) == 0 {
			return
		}
		offset := places[int(which)%len(places)]
		d := &desk{beginWith(t, lsp.Options{}, `{}`), map[string]string{"untitled:x": text}}
		d.open("untitled:x", text)
		place := strings.TrimSuffix(at(t, "untitled:x", text, text[:offset]), "}")
		old := oldName(d, place)
		if refused := d.renameAt(place, name); old == "" || refused != "" {
			return
		}
		was := d.texts["untitled:x"]
		if refused := d.renameAt(startOf(t, was, text, offset), old); refused != "" || d.texts["untitled:x"] != text {
			t.Errorf("%q at %d to %q:\n%q\nand back to %q:\n%q\n%s", text, offset, name, was, old, d.texts["untitled:x"], refused)
		}
		d.out.Close()
		d.gone()
	})
}

// oldName is what stands at a place, or "".
func oldName(d *desk, place string) string {
	var got struct{ Placeholder string }
	m := d.call("textDocument/prepareRename", place+"}")
	if m.Error == nil {
		json.Unmarshal(m.Result, &got)
	}
	return got.Placeholder
}

// startOf is a place in the new name. Both texts are the same up to where the
// name at the offset starts, or to another place of the name before it.
func startOf(t *testing.T, is, was string, offset int) string {
	n := 0
	for n < len(is) && n < len(was) && is[n] == was[n] {
		n++
	}
	n = min(n, len(is))
	for !utf8.ValidString(is[:n]) {
		n--
	}
	return strings.TrimSuffix(at(t, "untitled:x", is, is[:n]), "}")
}
