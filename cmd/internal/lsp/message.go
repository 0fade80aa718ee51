package lsp

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
)

// A message is what comes in: a request if it has method and id, a
// notification if it has only a method, else an answer to a request of ours.
type message struct {
	Version string          `json:"jsonrpc"`
	ID      json.RawMessage `json:"id"`
	Method  *string         `json:"method"`
	Params  json.RawMessage `json:"params"`
}

// Error codes of JSON-RPC and of the protocol (section Response Message).
const (
	codeParse          = -32700
	codeInvalidRequest = -32600
	codeNoMethod       = -32601
	codeInvalidParams  = -32602
	codeInternal       = -32603
	codeNotInitialized = -32002
	codeFailed         = -32803
	codeCancelled      = -32800
)

// A failure is an error with its code.
type failure struct {
	Code    int    `json:"code"`
	Message string `json:"message"`
}

func (f *failure) Error() string { return f.Message }

// refuse is the failure of a request that was understood and cannot be done.
func refuse(format string, args ...any) error {
	return &failure{codeFailed, fmt.Sprintf(format, args...)}
}

// failureOf gives any error a code.
func failureOf(err error) *failure {
	var f *failure
	switch {
	case errors.As(err, &f):
		return f
	case errors.Is(err, context.Canceled):
		return &failure{codeCancelled, "the request was cancelled"}
	}
	return &failure{codeInternal, err.Error()}
}

// decode reads a message. The failure says what to answer if it is none.
func decode(body []byte) (m message, f *failure) {
	if err := json.Unmarshal(body, &m); err != nil {
		if json.Valid(body) {
			return message{}, &failure{codeInvalidRequest, "this is no message of JSON-RPC 2.0"}
		}
		return message{}, &failure{codeParse, "this is no JSON: " + err.Error()}
	}
	if !m.hasID() && len(m.ID) > 0 {
		return message{}, &failure{codeInvalidRequest, "the id is neither a number nor a text"}
	}
	if m.Version != "2.0" {
		return m, &failure{codeInvalidRequest, `jsonrpc is not "2.0"`}
	}
	return m, nil
}

// hasID reports whether the message has an id: a whole number or a text.
func (m *message) hasID() bool {
	if len(m.ID) == 0 {
		return false
	}
	return m.ID[0] == '"' || (m.ID[0] == '-' || '0' <= m.ID[0] && m.ID[0] <= '9') && !bytes.ContainsAny(m.ID, ".eE")
}

// An answer is the response to a request. One of Result and Error is there.
type answer struct {
	Version string          `json:"jsonrpc"`
	ID      json.RawMessage `json:"id"`
	Result  json.RawMessage `json:"result,omitempty"`
	Error   *failure        `json:"error,omitempty"`
}

// A call is a request or notification of ours.
type call struct {
	Version string `json:"jsonrpc"`
	ID      *int   `json:"id,omitempty"`
	Method  string `json:"method"`
	Params  any    `json:"params"`
}

// answer sends the response to a request.
func (s *server) answer(id json.RawMessage, result any, err error) {
	a := answer{Version: "2.0", ID: id}
	if id == nil {
		a.ID = json.RawMessage("null")
	}
	if err == nil {
		a.Result, err = encode(result)
	}
	if err != nil {
		a.Result, a.Error = nil, failureOf(err)
	}
	s.send(a)
}

// notify sends a notification.
func (s *server) notify(method string, params any) {
	s.send(call{Version: "2.0", Method: method, Params: params})
}

// request sends a request of which the answer does not matter.
func (s *server) request(method string, params any) {
	s.asked++
	id := s.asked
	s.send(call{Version: "2.0", ID: &id, Method: method, Params: params})
}

// send writes a message. If that fails the reader of our output has gone, and
// the input will end as well.
func (s *server) send(m any) {
	if body, err := encode(m); err == nil {
		s.out.write(body)
	}
}

// encode writes JSON with the signs of comparison as they are.
func encode(v any) ([]byte, error) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	err := e.Encode(v)
	return bytes.TrimSuffix(b.Bytes(), []byte("\n")), err
}
