package store

import (
	"encoding/binary"
	"encoding/hex"
	"errors"
	"time"

	"netlore/store/board"
)

// subjectRecord is what is kept of a subject besides its entries.
type subjectRecord struct {
	ID      subjectID
	View    batchID // the addition whose view is current; 0: there is none
	Nets    bool    // every name of a net or branch of the view is in the index
	Summary board.Summary
	Job     *JobLine // of a job; nil of anything else
}

// subjectHead is how many bytes stand in front of the summary: what a search
// over all boards of a large base wants of each.
const subjectHead = 1 + 4 + 8

// encode writes the record but for the name, which is in the key.
func (rec subjectRecord) encode() ([]byte, error) {
	value := binary.BigEndian.AppendUint32([]byte{byte(oneIf(rec.Nets))}, uint32(rec.ID))
	value = binary.BigEndian.AppendUint64(value, uint64(rec.View))
	if rec.View == 0 {
		return value, nil
	}
	sum := rec.Summary
	hash, err := hex.DecodeString(sum.Hash)
	value = appendTexts(value, string(hash), sum.Title)
	if rec.Job != nil {
		value[0] = jobRecord
		value = rec.Job.encode(value)
	} else {
		for _, n := range counts(&sum) {
			value = binary.AppendUvarint(value, uint64(*n))
		}
	}
	return binary.AppendVarint(value, sum.Updated.Unix()), err
}

func appendTexts(value []byte, texts ...string) []byte {
	for _, text := range texts {
		value = append(binary.AppendUvarint(value, uint64(len(text))), text...)
	}
	return value
}

// counts are the numbers of a summary, in the order in which they are kept.
func counts(s *board.Summary) [9]*int {
	return [9]*int{&s.Parts, &s.Pins, &s.Nets, &s.Pads, &s.Covers, &s.Readings, &s.Expected, &s.Notes, &s.Links}
}

// oldRecord is how a record of layout 1 begins: it was a JSON object.
const oldRecord = '{'

// jobRecord is how the record of a job begins.
const jobRecord = 2

// decodeOld reads a record of layout 1, which knew of no index of nets. The
// next change to the subject writes it anew.
func decodeOld(value []byte) (rec subjectRecord, err error) {
	return rec, decodeRecord(value, &rec)
}

// decodeHead reads all but the summary.
func decodeHead(value []byte) (subjectRecord, error) {
	if len(value) > 0 && value[0] == oldRecord {
		return decodeOld(value)
	}
	if len(value) < subjectHead || value[0] > jobRecord {
		return subjectRecord{}, errBadSubject
	}
	return subjectRecord{
		Nets: value[0] == 1,
		ID:   subjectID(binary.BigEndian.Uint32(value[1:])),
		View: batchID(binary.BigEndian.Uint64(value[5:])),
	}, nil
}

var errBadSubject = errDamaged("the record of a board or stack cannot be read")

// decodeSubject reads the record of a subject.
func decodeSubject(ref board.Ref, value []byte) (subjectRecord, error) {
	rec, err := decodeHead(value)
	if err != nil || rec.View == 0 || value[0] == oldRecord {
		return rec, err
	}
	c := columnReader{buf: value[subjectHead:]}
	rec.Summary.Ref = ref
	rec.Summary.Hash = hex.EncodeToString(c.bytes())
	rec.Summary.Title = string(c.bytes())
	if value[0] == jobRecord {
		rec.Job = decodeJob(&c)
		rec.Job.ID, rec.Job.Symptom = ref.Name, rec.Summary.Title
	} else {
		for _, n := range counts(&rec.Summary) {
			*n = int(c.uint())
		}
	}
	rec.Summary.Updated = time.Unix(c.int(), 0).UTC()
	if c.err != nil || len(c.buf) > 0 {
		return rec, errBadSubject
	}
	return rec, nil
}

// subject returns the record of a subject, or ErrUnknownSubject.
func subject(r reader, s Subject) (subjectRecord, error) {
	value, err := r.get(s.key())
	if errors.Is(err, errNoKey) {
		return subjectRecord{}, ErrUnknownSubject
	}
	if err != nil {
		return subjectRecord{}, err
	}
	return decodeSubject(s.Ref, value)
}
