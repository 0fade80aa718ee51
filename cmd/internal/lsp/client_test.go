package lsp_test

import (
	"bufio"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"net/textproto"
	"strconv"
	"strings"
	"testing"
	"time"

	"netlore/cmd/internal/lsp"
)

// A client is the other end of a conversation. It is written from the
// specification alone: it shares no code with the server.
type client struct {
	t    testing.TB
	out  io.WriteCloser
	in   *bufio.Reader
	done chan error // of the server
	id   int
	told []wire // notifications and requests of the server
}

// wire is any message, by the sections Base Protocol and JSON-RPC.
type wire struct {
	Version string          `json:"jsonrpc"`
	ID      json.RawMessage `json:"id"`
	Method  string          `json:"method"`
	Params  json.RawMessage `json:"params"`
	Result  json.RawMessage `json:"result"`
	Error   *wireError      `json:"error"`
}

type wireError struct {
	Code    int    `json:"code"`
	Message string `json:"message"`
}

// connect starts a server in this process.
func connect(t testing.TB, opt lsp.Options) *client {
	t.Helper()
	fromClient, toServer := io.Pipe()
	fromServer, toClient := io.Pipe()
	c := &client{t: t, out: toServer, in: bufio.NewReader(fromServer), done: make(chan error, 1)}
	go func() {
		err := lsp.Serve(context.Background(), fromClient, toClient, opt)
		toClient.Close()
		fromClient.Close()
		c.done <- err
	}()
	t.Cleanup(func() {
		toServer.Close()
		go io.Copy(io.Discard, fromServer)
	})
	return c
}

// begin starts a server and says what a modern client says.
func begin(t *testing.T) *client {
	return beginWith(t, lsp.Options{}, modern)
}

const modern = `{"general":{"positionEncodings":["utf-16"]},
	"textDocument":{"hover":{"contentFormat":["plaintext"]},"documentSymbol":{"hierarchicalDocumentSymbolSupport":true},
		"codeAction":{"codeActionLiteralSupport":{"codeActionKind":{"valueSet":["quickfix"]}}},
		"publishDiagnostics":{"relatedInformation":true,"versionSupport":true},"rename":{"prepareSupport":true}},
	"workspace":{"workspaceEdit":{"documentChanges":true}}}`

func beginWith(t *testing.T, opt lsp.Options, capabilities string) *client {
	c := connect(t, opt)
	c.ask("initialize", fmt.Sprintf(`{"processId":null,"rootUri":null,"capabilities":%s}`, capabilities))
	c.tell("initialized", `{}`)
	return c
}

// send writes one message with its header.
func (c *client) send(body string) {
	c.t.Helper()
	c.raw(fmt.Sprintf("Content-Length: %d\r\n\r\n%s", len(body), body))
}

func (c *client) raw(s string) {
	c.t.Helper()
	if _, err := io.WriteString(c.out, s); err != nil {
		c.t.Fatalf("the server does not read: %v", err)
	}
}

// receive reads one message.
func (c *client) receive() wire {
	c.t.Helper()
	m, err := c.next()
	if err != nil {
		c.t.Fatal(err)
	}
	return m
}

func (c *client) next() (m wire, err error) {
	header, err := textproto.NewReader(c.in).ReadMIMEHeader()
	if err != nil {
		return m, err
	}
	length, err := strconv.Atoi(header.Get("Content-Length"))
	if err != nil {
		return m, err
	}
	body := make([]byte, length)
	if _, err = io.ReadFull(c.in, body); err != nil {
		return m, err
	}
	if err := json.Unmarshal(body, &m); err != nil {
		return m, fmt.Errorf("%w: %s", err, body)
	}
	return m, conforms(m, body)
}

// conforms holds a message to the sections Response Message and Notification
// Message.
func conforms(m wire, body []byte) error {
	isAnswer := m.Method == ""
	switch {
	case m.Version != "2.0":
		return fmt.Errorf("jsonrpc is not 2.0: %s", body)
	case isAnswer && m.ID == nil:
		return fmt.Errorf("a response without id: %s", body)
	case isAnswer && (m.Result != nil) == (m.Error != nil):
		return fmt.Errorf("a response has either result or error: %s", body)
	case isAnswer && m.Error != nil && (m.Error.Code == 0 || m.Error.Message == ""):
		return fmt.Errorf("an error has code and message: %s", body)
	}
	return nil
}

// tell sends a notification.
func (c *client) tell(method, params string) {
	c.t.Helper()
	c.send(fmt.Sprintf(`{"jsonrpc":"2.0","method":%q,"params":%s}`, method, params))
}

// call sends a request and returns its answer.
func (c *client) call(method, params string) wire {
	c.t.Helper()
	c.id++
	c.send(fmt.Sprintf(`{"jsonrpc":"2.0","id":%d,"method":%q,"params":%s}`, c.id, method, params))
	return c.answer(strconv.Itoa(c.id))
}

// answer waits for the answer to a request, and keeps what comes in between.
func (c *client) answer(id string) wire {
	c.t.Helper()
	for {
		m := c.receive()
		if m.Method == "" && m.ID != nil && string(m.ID) == id {
			return m
		}
		if m.Method == "" {
			c.t.Fatalf("an answer to nothing asked: %+v", m)
		}
		c.told = append(c.told, m)
	}
}

// ask is call for requests that are answered without an error.
func (c *client) ask(method, params string) json.RawMessage {
	c.t.Helper()
	m := c.call(method, params)
	if m.Error != nil {
		c.t.Fatalf("%s %s: %d %s", method, params, m.Error.Code, m.Error.Message)
	}
	return m.Result
}

// open opens a document.
func (c *client) open(uri, text string) {
	c.t.Helper()
	c.tell("textDocument/didOpen", toJSON(map[string]any{"textDocument": map[string]any{"uri": uri, "languageId": "netlore", "version": 1, "text": text}}))
}

func toJSON(v any) string {
	text, err := json.Marshal(v)
	if err != nil {
		panic(err)
	}
	return string(text)
}

// fromJSON reads a result.
func fromJSON[T any](t testing.TB, text json.RawMessage) (v T) {
	t.Helper()
	if err := json.Unmarshal(text, &v); err != nil {
		t.Fatalf("%v: %s", err, text)
	}
	return v
}

// complaints waits until the server says what is wrong with a document in a
// version.
func (c *client) complaints(uri string, version int) []complaint {
	c.t.Helper()
	type published struct {
		URI         string      `json:"uri"`
		Version     int         `json:"version"`
		Diagnostics []complaint `json:"diagnostics"`
	}
	for {
		for i, m := range c.told {
			if m.Method != "textDocument/publishDiagnostics" {
				continue
			}
			if p := fromJSON[published](c.t, m.Params); p.URI == uri && p.Version == version {
				c.told = append(c.told[:i:i], c.told[i+1:]...)
				return p.Diagnostics
			}
		}
		c.told = append(c.told, c.receive())
	}
}

type complaint struct {
	Range    span
	Severity int
	Code     string
	Source   string
	Message  string
	Related  []struct {
		Location place
		Message  string
	} `json:"relatedInformation"`
}

type span struct{ Start, End spot }

type spot struct{ Line, Character int }

type place struct {
	URI   string
	Range span
}

func (s span) String() string {
	return fmt.Sprintf("%d:%d-%d:%d", s.Start.Line, s.Start.Character, s.End.Line, s.End.Character)
}

// at is the parameters of a request about the place after a text in a
// document, in UTF-16.
func at(t testing.TB, uri, text, after string) string {
	t.Helper()
	i := strings.Index(text, after)
	if i < 0 {
		t.Fatalf("%q is not in the document", after)
	}
	head := text[:i+len(after)]
	line := strings.Count(head, "\n")
	units := 0
	for _, r := range head[strings.LastIndexByte(head, '\n')+1:] {
		if units++; r > 0xffff {
			units++
		}
	}
	return fmt.Sprintf(`{"textDocument":{"uri":%q},"position":{"line":%d,"character":%d}}`, uri, line, units)
}

// finish ends the conversation as it should be, and returns what Serve says.
func (c *client) finish() error {
	c.t.Helper()
	c.ask("shutdown", "null")
	c.tell("exit", "null")
	return c.gone()
}

// gone waits until the server has ended.
func (c *client) gone() error {
	c.t.Helper()
	go func() {
		for {
			if _, err := c.next(); err != nil {
				return
			}
		}
	}()
	select {
	case err := <-c.done:
		return err
	case <-time.After(20 * time.Second):
		c.t.Fatal("the server does not end")
		return nil
	}
}
