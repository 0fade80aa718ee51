package link

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"time"

	"netlore/store/exchange"
)

// MostBytes is how large a message may be.
const MostBytes = 512 << 10

// A message is two lines, then parts one after the other, whose lengths the second
// line tells:
//
//	netlore message 1
//	batch 812 1204 5120
//
// are a manifest, the signature on it, and the sheet with its entries;
//
//	netlore message 1
//	key 903
//
// is what a shop says about its keys, with the signatures.
const (
	messageHead = "netlore message 1\n"
	wordBatch   = "batch"
	wordKey     = "key"
	partsOf     = 3 // of a batch
)

// message is one message of a log, which nobody has checked yet.
type message struct {
	id    exchange.ID // hash of all of it
	batch exchange.ID // hash of the manifest, or of the word about keys
	parts [][]byte
}

// encode is a batch as a message. The same entries of the same batch make the same
// message on every bench.
func encode(b *exchange.Batch) ([]byte, error) {
	texts := make([]string, len(b.Entries))
	for i := range b.Entries {
		texts[i] = b.Entries[i].Text
	}
	return join(wordBatch, b.Signed, b.Signature, exchange.Sheet(b.Of, texts))
}

// encodeWord is what a shop says about its keys as a message.
func encodeWord(w *exchange.Word) ([]byte, error) { return join(wordKey, w.Text()) }

func join(word string, parts ...[]byte) ([]byte, error) {
	text := []byte(messageHead + word)
	for _, p := range parts {
		text = strconv.AppendInt(append(text, ' '), int64(len(p)), 10)
	}
	text = append(append(text, '\n'), bytes.Join(parts, nil)...)
	if len(text) > MostBytes {
		return nil, fmt.Errorf("a message would have %d bytes, and may have %d", len(text), MostBytes)
	}
	return text, nil
}

// parse takes a message apart. There is one way of writing it, so that two messages
// that say the same are the same.
func parse(text []byte) (*message, error) {
	if len(text) > MostBytes {
		return nil, fmt.Errorf("it has %d bytes, and may have %d", len(text), MostBytes)
	}
	rest, ok := bytes.CutPrefix(text, []byte(messageHead))
	if !ok {
		return nil, errors.New("it does not begin with \"netlore message 1\"")
	}
	line, body, ok := bytes.Cut(rest[:], []byte("\n"))
	words := strings.Split(string(line[:min(len(line), maxLine)]), " ")
	if !ok || !(words[0] == wordBatch && len(words) == 1+partsOf || words[0] == wordKey && len(words) == 2) {
		return nil, errors.New("its second line is none that a message has")
	}
	m := &message{id: sum(text)}
	for _, word := range words[1:] {
		n, err := strconv.ParseUint(word, 10, 32)
		if err != nil || strconv.FormatUint(n, 10) != word || n > uint64(len(body)) {
			return nil, errors.New("it does not have the length that it says")
		}
		m.parts, body = append(m.parts, body[:n]), body[n:]
	}
	if len(body) > 0 {
		return nil, errors.New("it is longer than it says")
	}
	m.batch = sum(m.parts[0])
	return m, nil
}

// maxLine is far more than the second line of a message has.
const maxLine = 100

// item checks what a message holds, by the rules of a pack. Now is when it has come
// in, by the clock of this machine.
func (m *message) item(now time.Time) (exchange.Item, error) {
	if len(m.parts) < partsOf {
		w, err := exchange.ParseWord(m.parts[0])
		return exchange.Item{Word: w}, err
	}
	b, err := exchange.ReadBatch(m.parts[0], m.parts[1], m.parts[2], now)
	return exchange.Item{Batch: b}, err
}

func sum(text []byte) exchange.ID { return sha256.Sum256(text) }
