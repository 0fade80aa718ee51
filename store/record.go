package store

import (
	"encoding/json"
	"time"
)

// batchRecord is one addition. It is written last: entries whose batch has no
// record do not count.
type batchRecord struct {
	Event
	Number batchID
}

// EventKind is what was done to a subject.
type EventKind string

const (
	Added     EventKind = "added"
	Corrected EventKind = "corrected"
	Replaced  EventKind = "replaced"
	Removed   EventKind = "removed"   // the whole subject
	Withdrawn EventKind = "withdrawn" // a part of it
	MovedOut  EventKind = "moved"     // jobs, to subjects of their own
	Merged    EventKind = "merged"    // with what other shops say

	// Of a job.
	Opened   EventKind = "opened"
	Logged   EventKind = "logged"
	Undone   EventKind = "undone"
	Closed   EventKind = "closed"
	Reopened EventKind = "reopened"
)

// Event is one change to a subject, as its history shows it.
type Event struct {
	Kind      EventKind
	Time      time.Time
	Author    string
	Files     []string `json:",omitempty"` // that it came from
	New       int      // statements that were not held before
	Known     int      `json:",omitempty"` // statements that were
	Withdrawn int      `json:",omitempty"` // statements that no longer hold
	Hash      string   // content hash afterwards
	Step      string   `json:",omitempty"` // of a job: the step that was logged or undone; of several a line each
}

func decodeRecord(value []byte, into any) error {
	if err := json.Unmarshal(value, into); err != nil {
		return errDamaged("a record cannot be read: %v", err)
	}
	return nil
}

func putRecord(w writer, key []byte, record any) error {
	value, err := json.Marshal(record)
	if err != nil {
		return err
	}
	return w.put(key, value)
}

// batches returns the additions to a subject that count, in order.
func batches(r reader, id subjectID) ([]batchRecord, error) {
	var all []batchRecord
	err := r.scan(subjectPrefix(keyBatch, id), func(_, value []byte) error {
		var rec batchRecord
		err := decodeRecord(value, &rec)
		all = append(all, rec)
		return err
	})
	return all, err
}

// live returns the entries of a subject that hold: those of finished additions
// that no other such entry supersedes or retracts.
func live(r reader, id subjectID, done []batchRecord) ([]held, error) {
	counts := map[batchID]bool{}
	for _, b := range done {
		counts[b.Number] = true
	}
	var all []held
	gone := map[ID]bool{}
	err := r.scan(subjectPrefix(keyEntry, id), func(key, value []byte) error {
		batch, err := batchOfKey(key)
		if err != nil || !counts[batch] {
			return err
		}
		h, err := parseHeld(value)
		if err != nil {
			return err
		}
		h.batch = batch
		for _, ids := range [][]ID{h.supersedes, h.retracts} {
			for _, id := range ids {
				gone[id] = true
			}
		}
		all = append(all, h)
		return nil
	})
	kept := all[:0]
	for _, h := range all {
		if !gone[h.id] && h.text != "" {
			kept = append(kept, h)
		}
	}
	return kept, err
}
