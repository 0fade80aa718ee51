package lsp_test

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strings"
	"testing"

	"netlore/cmd/internal/lsp"
	"netlore/store"
)

// The numbers of the sections Response Message (Error Codes) of the protocol
// and 5.1 of JSON-RPC 2.0.
const (
	parseError       = -32700
	invalidRequest   = -32600
	methodNotFound   = -32601
	invalidParams    = -32602
	internalError    = -32603
	notInitialized   = -32002
	requestFailed    = -32803
	requestCancelled = -32800
)

// TestErrorCodes sends what is wrong and looks at the code of the answer; the
// conversation goes on after each of them.
func TestErrorCodes(t *testing.T) {
	for _, test := range []struct {
		name, body string
		id         string // of the answer
		code       int
	}{
		{"no JSON", `{"jsonrpc":"2.0",`, "null", parseError},
		{"not even text", "\xff\x00", "null", parseError},
		{"empty", ``, "null", parseError},
		{"a number", `7`, "null", invalidRequest},
		{"a batch, which the protocol does not have", `[{"jsonrpc":"2.0","id":1,"method":"shutdown"}]`, "null", invalidRequest},
		{"another version", `{"jsonrpc":"1.0","id":1,"method":"shutdown"}`, "1", invalidRequest},
		{"neither method nor id", `{"jsonrpc":"2.0"}`, "null", invalidRequest},
		{"id of another kind", `{"jsonrpc":"2.0","id":{},"method":"shutdown"}`, "null", invalidRequest},
		{"id with a fraction", `{"jsonrpc":"2.0","id":1.5,"method":"shutdown"}`, "null", invalidRequest},
		{"method of another kind", `{"jsonrpc":"2.0","id":1,"method":7}`, "null", invalidRequest},
		{"unknown method", `{"jsonrpc":"2.0","id":5,"method":"textDocument/inlayHint","params":{}}`, "5", methodNotFound},
		{"unknown method with $/", `{"jsonrpc":"2.0","id":"a","method":"$/other"}`, `"a"`, methodNotFound},
		{"negative id", `{"jsonrpc":"2.0","id":-3,"method":"x"}`, "-3", methodNotFound},
		{"id with odd letters", `{"jsonrpc":"2.0","id":"\"<ä","method":"x"}`, `"\"<ä"`, methodNotFound},
		{"parameters of another kind", `{"jsonrpc":"2.0","id":6,"method":"textDocument/hover","params":[1]}`, "6", invalidParams},
		{"no parameters", `{"jsonrpc":"2.0","id":7,"method":"textDocument/hover"}`, "7", invalidParams},
		{"negative line", `{"jsonrpc":"2.0","id":8,"method":"textDocument/hover","params":{"textDocument":{"uri":"x"},"position":{"line":-1,"character":0}}}`, "8", invalidParams},
		{"not open", `{"jsonrpc":"2.0","id":9,"method":"textDocument/hover","params":{"textDocument":{"uri":"file:///x.lore"},"position":{"line":0,"character":0}}}`, "9", requestFailed},
		{"initialize twice", `{"jsonrpc":"2.0","id":10,"method":"initialize","params":{"capabilities":{}}}`, "10", invalidRequest},
	} {
		t.Run(test.name, func(t *testing.T) {
			c := begin(t)
			c.send(test.body)
			m := c.answer(test.id)
			if m.Error == nil || m.Error.Code != test.code {
				t.Errorf("answered %s %+v, not %d", m.Result, m.Error, test.code)
			}
			if err := c.finish(); err != nil {
				t.Error(err)
			}
		})
	}
}

// TestNotificationsAreNotAnswered sends what nobody is told is wrong.
func TestNotificationsAreNotAnswered(t *testing.T) {
	c := begin(t)
	for _, body := range []string{
		`{"jsonrpc":"2.0","method":"$/setTrace","params":{"value":"off"}}`,
		`{"jsonrpc":"2.0","method":"textDocument/didOpen"}`,
		`{"jsonrpc":"2.0","method":"textDocument/didOpen","params":{"textDocument":{"uri":""}}}`,
		`{"jsonrpc":"2.0","method":"textDocument/didChange","params":{"textDocument":{"uri":"file:///never.lore","version":2},"contentChanges":[{"text":"x"}]}}`,
		`{"jsonrpc":"2.0","method":"textDocument/didClose","params":{"textDocument":{"uri":"file:///never.lore"}}}`,
		`{"jsonrpc":"2.0","method":"$/cancelRequest","params":{"id":99}}`,
		`{"jsonrpc":"2.0","method":"initialize","params":{}}`,
		`{"jsonrpc":"2.0","id":77,"result":null}`, // an answer to nothing
	} {
		c.send(body)
	}
	if err := c.finish(); err != nil || len(c.told) > 0 {
		t.Error(err, c.told)
	}
}

// TestLifecycle follows the section Server lifecycle.
func TestLifecycle(t *testing.T) {
	t.Run("before initialize", func(t *testing.T) {
		c := connect(t, lsp.Options{})
		c.open("file:///x.lore", "part C1")
		if m := c.call("textDocument/hover", `{}`); m.Error == nil || m.Error.Code != notInitialized {
			t.Errorf("answered %+v", m)
		}
		c.ask("initialize", `{"capabilities":{}}`)
		if err := c.finish(); err != nil || len(c.told) > 0 {
			t.Error(err, c.told)
		}
	})
	t.Run("after shutdown", func(t *testing.T) {
		c := begin(t)
		c.ask("shutdown", "null")
		for _, method := range []string{"shutdown", "textDocument/hover", "initialize"} {
			if m := c.call(method, `{}`); m.Error == nil || m.Error.Code != invalidRequest {
				t.Errorf("%s is answered %+v", method, m)
			}
		}
		c.tell("exit", "null")
		if err := c.gone(); err != nil {
			t.Error(err)
		}
	})
	for name, end := range map[string]func(c *client){
		"exit without shutdown":    func(c *client) { c.tell("exit", "null") },
		"end without shutdown":     func(c *client) { c.out.Close() },
		"exit before all else":     func(c *client) { c.tell("exit", "null") },
		"end in place of shutdown": func(c *client) { c.open("file:///x.lore", "part C1"); c.out.Close() },
	} {
		t.Run(name, func(t *testing.T) {
			c := connect(t, lsp.Options{})
			if !strings.Contains(name, "before") {
				c.ask("initialize", `{"capabilities":{}}`)
			}
			end(c)
			if err := c.gone(); !errors.Is(err, lsp.ErrNoShutdown) {
				t.Error(err)
			}
		})
	}
}

// TestFrames holds the server to the section Base Protocol, and a little
// beyond: what can be understood is.
func TestFrames(t *testing.T) {
	const body = `{"jsonrpc":"2.0","id":"f","method":"nothing"}`
	for name, frame := range map[string]string{
		"with a content type": fmt.Sprintf("Content-Length: %d\r\nContent-Type: application/vscode-jsonrpc; charset=utf-8\r\n\r\n%s", len(body), body),
		"in small letters":    fmt.Sprintf("content-length:%d\r\n\r\n%s", len(body), body),
		"bare line feeds":     fmt.Sprintf("Content-Length: %d\n\n%s", len(body), body),
		"two at once":         fmt.Sprintf("Content-Length: 4\r\n\r\nnullContent-Length: %d\r\n\r\n%s", len(body), body),
	} {
		t.Run(name, func(t *testing.T) {
			c := begin(t)
			c.raw(frame)
			for m := c.receive(); string(m.ID) != `"f"`; m = c.receive() {
				if m.Error == nil {
					t.Errorf("%+v", m)
				}
			}
			if err := c.finish(); err != nil {
				t.Error(err)
			}
		})
	}
	for name, frame := range map[string]string{
		"no length":          "Content-Type: x\r\n\r\n{}",
		"negative length":    "Content-Length: -1\r\n\r\n{}",
		"length in letters":  "Content-Length: two\r\n\r\n{}",
		"huge length":        "Content-Length: 99999999999999999999\r\n\r\n{}",
		"no header at all":   strings.Repeat("{", 10000),
		"endless header":     strings.Repeat("X: y\r\n", 1000),
		"cut in the header":  "Content-Le",
		"cut in the message": "Content-Length: 10\r\n\r\n{}",
		"cut in a large one": "Content-Length: 99999999999\r\n\r\n{}",
	} {
		t.Run(name, func(t *testing.T) {
			c := begin(t)
			go func() { io.WriteString(c.out, frame); c.out.Close() }() // it may hang up before it has read all
			if err := c.gone(); err == nil || errors.Is(err, lsp.ErrNoShutdown) {
				t.Errorf("ends with %v", err)
			}
		})
	}
}

// TestTooLarge passes over a message that is larger than the server reads.
func TestTooLarge(t *testing.T) {
	c := begin(t)
	const size = 65 << 20
	c.raw(fmt.Sprintf("Content-Length: %d\r\n\r\n", size))
	block := strings.Repeat(" ", 1<<20)
	for range size >> 20 {
		c.raw(block)
	}
	if m := c.answer("null"); m.Error == nil || m.Error.Code != invalidRequest || !strings.Contains(m.Error.Message, "64 MiB") {
		t.Errorf("answered %+v", m)
	}
	if err := c.finish(); err != nil {
		t.Error(err)
	}
}

// TestCapabilities agrees with clients of several kinds.
func TestCapabilities(t *testing.T) {
	for _, test := range []struct{ client, want string }{
		{`{}`, `"positionEncoding":"utf-16"`},
		{`{"general":{"positionEncodings":["utf-8","utf-16"]}}`, `"positionEncoding":"utf-8"`},
		{`{"general":{"positionEncodings":["utf-32","utf-16"]}}`, `"positionEncoding":"utf-32"`},
		{`{"general":{"positionEncodings":["latin-1"]}}`, `"positionEncoding":"utf-16"`},
		{`{}`, `"renameProvider":true`},
		{`{"textDocument":{"rename":{"prepareSupport":true}}}`, `"renameProvider":{"prepareProvider":true}`},
		{`{}`, `"codeActionProvider":true`},
		{`{}`, `"textDocumentSync":{"change":2,"openClose":true,"save":true}`},
	} {
		c := connect(t, lsp.Options{Version: "1.2"})
		got := string(c.ask("initialize", `{"capabilities":`+test.client+`}`))
		if !strings.Contains(got, test.want) || !strings.Contains(got, `"version":"1.2"`) {
			t.Errorf("%s: %s", test.client, got)
		}
	}
}

// TestWatching asks a client that can to tell of sheets that change on disk
// (section Register Capability).
func TestWatching(t *testing.T) {
	c := beginWith(t, lsp.Options{}, `{"workspace":{"didChangeWatchedFiles":{"dynamicRegistration":true}}}`)
	m := c.receive()
	if m.Method != "client/registerCapability" || m.ID == nil || !strings.Contains(string(m.Params), "**/*.lore") {
		t.Errorf("%s %s", m.Method, m.Params)
	}
	c.send(fmt.Sprintf(`{"jsonrpc":"2.0","id":%s,"result":null}`, m.ID))
	if err := c.finish(); err != nil {
		t.Error(err)
	}
}

// TestCancel stops a request that waits for the knowledge base (section
// Cancellation Support): it is answered, with its own code.
func TestCancel(t *testing.T) {
	asked := make(chan struct{})
	c := beginWith(t, lsp.Options{Base: func(ctx context.Context) (*store.Base, error) {
		close(asked)
		<-ctx.Done()
		return nil, ctx.Err()
	}}, modern)
	const uri = "file:///no/such/folder/wren.lore"
	c.open(uri, wren)
	c.send(`{"jsonrpc":"2.0","id":"slow","method":"textDocument/hover","params":` + at(t, uri, wren, "net VM") + `}`)
	<-asked
	c.tell("$/cancelRequest", `{"id":"slow"}`)
	if m := c.answer(`"slow"`); m.Error == nil || m.Error.Code != requestCancelled {
		t.Errorf("answered %s %+v", m.Result, m.Error)
	}
	if err := c.finish(); err != nil {
		t.Error(err)
	}
}

// TestInterrupted ends when the process is told to.
func TestInterrupted(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	in, out := io.Pipe()
	done := make(chan error)
	go func() { done <- lsp.Serve(ctx, in, io.Discard, lsp.Options{}) }()
	cancel()
	out.CloseWithError(context.Canceled)
	if err := <-done; !errors.Is(err, context.Canceled) {
		t.Error(err)
	}
}

const wren = `netlore 1
board Wren rev 1

cover SH1 shield top box 0,0 5,5 lift hot-air 3min risk low

part C1 10uF 0402 top at 1,1
part U1 regulator top at 2,2 5x5mm

net GND ground
  C1 2
net VMAIN power 3.3V also VSYS
  C1 1
  U1 A1..A3

pad P1 on VMAIN top at 9,9

expect diode VMAIN 0.412V ±8% by bench-2
`
