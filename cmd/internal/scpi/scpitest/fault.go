package scpitest

import (
	"io"
	"net"
	"strings"
)

// A Fault sends an answer in its own way. It reports whether the connection
// goes on.
type Fault func(conn net.Conn, answer string) bool

// plain sends the answer as it should be; a command has none.
func plain(conn net.Conn, answer string) bool {
	if answer == "" {
		return true
	}
	return send(conn, answer+"\n")
}

func send(w io.Writer, text string) bool {
	_, err := io.WriteString(w, text)
	return err == nil
}

// Well sends the answer as it should be, to let some answers pass before a
// fault.
func Well() Fault { return plain }

// Silent sends nothing.
func Silent() Fault { return func(net.Conn, string) bool { return true } }

// Late sends the answer once release is closed, and closes done after that.
func Late(release <-chan struct{}, done chan<- struct{}) Fault {
	return func(conn net.Conn, answer string) bool {
		defer close(done)
		<-release
		return plain(conn, answer)
	}
}

// Instead sends another text, whatever it holds.
func Instead(text string) Fault {
	return func(conn net.Conn, _ string) bool { return send(conn, text) }
}

// Twice sends the answer and a second line behind it.
func Twice(second string) Fault {
	return func(conn net.Conn, answer string) bool { return send(conn, answer+"\n"+second+"\n") }
}

// HangUp ends the connection without an answer.
func HangUp() Fault { return func(net.Conn, string) bool { return false } }

// Cut sends the first n bytes of the answer and ends the connection.
func Cut(n int) Fault {
	return func(conn net.Conn, answer string) bool { send(conn, answer[:min(n, len(answer))]); return false }
}

// Flood sends n bytes without a line end, or until nobody takes them.
func Flood(n int) Fault {
	return func(conn net.Conn, _ string) bool {
		piece := strings.Repeat("7", 1024)
		for left := n; left > 0 && send(conn, piece[:min(left, len(piece))]); left -= len(piece) {
		}
		return true
	}
}

// Bytewise sends the answer byte by byte, with a line end of two characters.
func Bytewise() Fault {
	return func(conn net.Conn, answer string) bool {
		for _, b := range []byte(answer + "\r\n") {
			if !send(conn, string(b)) {
				return false
			}
		}
		return true
	}
}
