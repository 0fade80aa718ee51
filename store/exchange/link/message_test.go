package link

import (
	"bytes"
	"strings"
	"testing"

	"netlore/store/exchange"
)

// TestMessages writes a batch and a word about keys as messages, and reads them back.
func TestMessages(t *testing.T) {
	b := newBench(t, "Heron Repair")
	batch := b.says("part C1 10uF", "part C2 1uF")[0]
	text, err := encode(batch)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.HasPrefix(text, []byte("netlore message 1\nbatch ")) {
		t.Errorf("%.60q", text)
	}
	m, err := parse(text)
	if err != nil || m.batch != batch.Hash() {
		t.Fatalf("%+v, %v", m, err)
	}
	item, err := m.item(noon)
	if err != nil || item.Batch == nil || item.Batch.Hash() != batch.Hash() || !item.Batch.Whole() {
		t.Fatalf("%+v, %v", item, err)
	}
	word, err := exchange.Revoke(b.dir, b.identity.Key, "lost", noon, nil)
	if err != nil {
		t.Fatal(err)
	}
	if text, err = encodeWord(word); err != nil {
		t.Fatal(err)
	}
	if m, err = parse(text); err != nil {
		t.Fatal(err)
	}
	if item, err = m.item(noon); err != nil || item.Word == nil || item.Word.Key != word.Key {
		t.Errorf("%+v, %v", item, err)
	}
}

// TestNoMessages reads what is none.
func TestNoMessages(t *testing.T) {
	for text, want := range map[string]string{
		"":                                               "does not begin",
		"netlore message 2\nkey 1\nx":                    "does not begin",
		"netlore message 1\nkey 1":                       "second line",
		"netlore message 1\nkey\n":                       "second line",
		"netlore message 1\nkey 1 1\nxy":                 "second line",
		"netlore message 1\nbatch 1\nx":                  "second line",
		"netlore message 1\nkey 2\nx":                    "length",
		"netlore message 1\nkey 01\nx":                   "length",
		"netlore message 1\nkey +1\nx":                   "length",
		"netlore message 1\nkey 1\nxy":                   "longer",
		"netlore message 1\nkey 99999999999999999999\nx": "length",
		"netlore message 1\nkey 1\n" + strings.Repeat("x", MostBytes):      "bytes",
		"netlore message 1\nkey 1" + strings.Repeat("0", 2*maxLine) + "\n": "length",
	} {
		if _, err := parse([]byte(text)); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%.40q: %v, want %q", text, err, want)
		}
	}
}

// FuzzMessage reads messages: what is taken reads back to itself, and what comes out of
// it was signed.
func FuzzMessage(f *testing.F) {
	b := newBench(f, "Heron Repair")
	for _, batch := range b.says("part C1 10uF", "note on C1 \"odd\" by LABEL") {
		text, err := encode(batch)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(text)
		f.Add(text[:len(text)/2])
	}
	f.Add([]byte("netlore message 1\nkey 1\nx"))
	f.Add([]byte("netlore message 1\nbatch 1 1 1\nxyz"))
	f.Fuzz(func(t *testing.T, text []byte) {
		m, err := parse(text)
		if err != nil {
			return
		}
		word := wordBatch
		if len(m.parts) == 1 {
			word = wordKey
		}
		if again, err := join(word, m.parts...); err != nil || !bytes.Equal(again, text) {
			t.Errorf("%.100q was read, and is written %.100q, %v", text, again, err)
		}
		item, err := m.item(noon)
		if err == nil && item.Batch != nil && exchange.CheckSignature(m.parts[0], m.parts[1]) != nil {
			t.Error("it was taken without a signature that holds")
		}
	})
}
