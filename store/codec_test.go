package store

import (
	"bytes"
	"encoding/hex"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"netlore/store/board"
	"netlore/store/exchange"
)

var update = flag.Bool("update", false, "write the golden files anew")

// golden compares with a file under testdata. What is on disk outlives the
// program: a change here needs a new layout number and a way from the old one.
func golden(t *testing.T, name, got string) {
	t.Helper()
	file := filepath.Join("testdata", name)
	if *update {
		if err := os.MkdirAll("testdata", 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(string(want), got); d != "" {
		t.Error(d)
	}
}

// keySubjects are subjects whose names have what keys are made of.
var keySubjects = []Subject{
	BoardSubject(board.Ref{Name: "Heron-A", Revision: "3"}),
	BoardSubject(board.Ref{Name: "Heron-A"}),
	BoardSubject(board.Ref{Name: "Heron-A rev 3"}),
	BoardSubject(board.Ref{Name: "Ü", Revision: "a b"}),
	StackSubject("Heron"),
	JobSubject("1042"),
}

func TestKeysOnDisk(t *testing.T) {
	var s strings.Builder
	line := func(what string, key []byte) { fmt.Fprintf(&s, "%-12s %s\n", what, hex.EncodeToString(key)) }
	line("generation", keyGeneration)
	line("jobs apart", keyJobsApart)
	line("numbers", keyNumbers)
	line("purging", keyPurging)
	line("undoing", undoingKey(7))
	line("left photo", leftPhotoKey(7))
	for _, subject := range keySubjects {
		line(subject.String(), subject.key())
	}
	line("batch", batchPrefix(keyBatch, 7, 0x0102030405))
	line("entry", entryKey(7, 0x0102030405, 9))
	line("home", homeKey(keySubjects[0], "1042"))
	line("net", netKey("Vbat/Ω", 7))
	line("private", privateKey("1042"))
	line("photo", photoKey(keySubjects[0].Ref, board.Bottom))
	line("piece", pieceKey(7))
	line("view board", viewKey(7, 0x0102030405, partBoard))
	line("view known", viewKey(7, 0x0102030405, partKnown))
	line("shared", sharedKey(keySubjects[0], exchange.ID{1}))
	line("withdrawn", withdrawnKey(keySubjects[0], exchange.ID{1}, exchange.Key{2}))
	line("manifest", manifestKey(exchange.ID{1}))
	line("shop", shopKey(exchange.Key{2}))
	line("revoked", revokedKey(exchange.Key{2}, exchange.Key{3}))
	line("shunned", shunnedKey(exchange.ID{1}))
	line("receipt", receiptKey(7))
	line("under way", underwayKey(0x0102030405))
	golden(t, "keys.golden", s.String())
}

// The id at the end of the golden file is what sha256sum says of the text
// above it.
func TestEntryOnDisk(t *testing.T) {
	e := Entry{Subject: keySubjects[0], Author: "bench 1", Sequence: 42, Licence: "CC0-1.0", Source: "heron a.lore:12", Text: "net VMAIN power 3.8V\n  C1201 1\n",
		Time: time.Date(2026, 3, 16, 10, 0, 0, 0, time.FixedZone("", 3600)), Supersedes: []ID{{1}}, Retracts: []ID{{2}, {3}}}
	id, stored := e.stored()
	golden(t, "entry.golden", string(stored[len(id):])+id.String()+"\n")
	h, err := parseHeld(stored)
	if err != nil {
		t.Fatal(err)
	}
	want := held{id: id, author: e.Author, when: "2026-03-16T09:00:00Z", source: e.Source, licence: e.Licence, supersedes: e.Supersedes, retracts: e.Retracts, text: e.Text}
	if d := cmp.Diff(want, h, cmp.AllowUnexported(held{})); d != "" {
		t.Error(d)
	}
}

func TestVerifyFindsEveryChangedByte(t *testing.T) {
	e := Entry{Subject: keySubjects[0], Author: "bench-1", Sequence: 1, Time: noon, Text: "net GND ground\n"}
	_, stored := e.stored()
	if err := verify(stored); err != nil {
		t.Fatal(err)
	}
	for i := range stored {
		bad := bytes.Clone(stored)
		bad[i] ^= 0x20
		if verify(bad) == nil {
			t.Errorf("byte %d may change", i)
		}
	}
	if verify(stored[:20]) == nil {
		t.Error("an entry may be cut")
	}
}

// Keys of one subject's batches must come in the order of their numbers, and
// after no other subject's.
func TestKeysSortAsNumbers(t *testing.T) {
	var last []byte
	for _, s := range []subjectID{0, 1, 255, 256, 1 << 24, 1<<32 - 1} {
		for _, b := range []batchID{0, 1, 255, 256, 1 << 40, 1<<64 - 1} {
			for _, n := range []uint32{0, 1, 255, 256, 1<<32 - 1} {
				key := entryKey(s, b, n)
				if bytes.Compare(last, key) >= 0 {
					t.Fatalf("%x does not come after %x", key, last)
				}
				if got, err := batchOfKey(key); got != b || err != nil {
					t.Errorf("batch of %x: %d, %v", key, got, err)
				}
				last = key
			}
		}
	}
}

func FuzzSubjectKey(f *testing.F) {
	for _, s := range keySubjects {
		f.Add(s.key())
	}
	f.Add([]byte("sx\x00"))
	f.Add([]byte("sbname without an end"))
	f.Fuzz(func(t *testing.T, key []byte) {
		s, err := subjectOfKey(key)
		if err == nil && !bytes.Equal(s.key(), key) {
			t.Errorf("%x is read as %s, which has key %x", key, s, s.key())
		}
	})
}

func FuzzSubject(f *testing.F) {
	for _, s := range keySubjects {
		f.Add(s.Stack, s.Ref.Name, s.Ref.Revision)
	}
	f.Fuzz(func(t *testing.T, stack bool, name, revision string) {
		name = strings.ReplaceAll(name, "\x00", "") // which no sheet can have
		s := Subject{Stack: stack, Ref: board.Ref{Name: name, Revision: revision}}
		if got, err := subjectOfKey(s.key()); got != s || err != nil {
			t.Errorf("%+v comes back as %+v, %v", s, got, err)
		}
	})
}

func FuzzHeld(f *testing.F) {
	e := Entry{Subject: keySubjects[0], Author: "bench-1", Time: noon, Retracts: []ID{{2}}, Text: "net GND\n"}
	_, stored := e.stored()
	f.Add(stored)
	f.Add(stored[:40])
	f.Fuzz(func(t *testing.T, stored []byte) {
		if h, err := parseHeld(stored); err == nil && len(h.text) > len(stored) {
			t.Error("a text longer than the entry")
		}
	})
}
