package store

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"slices"

	"netlore/store/board"
	"netlore/store/exchange"
)

// The keys, in the order in which they lie on disk. Numbers are big-endian, so
// that they sort. Everything of one subject follows its number, so that reading
// one board reads that board only.
//
//	\x00            generation: counts the changes. It is set in every change:
//	                tables of the store whose key ranges do not overlap are never
//	                merged, and a log of ever growing keys would leave one small
//	                table a change.
//	\x00 \x01       all jobs are subjects of their own
//	\x00 \x02       a purge has begun, and files may still hold what it deleted
//	\x00 \x03 RECEIPT  a pack is being taken back, and what is worked out anew then
//	\x00 \x04 PHOTO  a picture that is being written, or is to be dropped
//	a AUTHOR        the author's last sequence number
//	b SUBJECT BATCH what one addition was; written last, it makes it count
//	e SUBJECT BATCH N  one entry
//	f NAME \x00 REVISION \x00 SIDE  a photo of a side of a board
//	g PHOTO PIECE   a piece of its picture
//	h KIND NAME \x00 REVISION \x00 JOB  a job that is on a board or stack
//	k SHOP KEY      a key that a shop has revoked
//	l LOG \x00 BATCH MESSAGE  a message that was on a shared log; without the two,
//	                how far that log was read
//	m MANIFEST      what another shop has signed, or this one for others
//	n FOLDED \x00 NAME \x00 SUBJECT  what hangs on a net of this name
//	p JOB           the private details of a job
//	r RECEIPT       one pack that was taken, or made
//	s KIND NAME \x00 REVISION  a subject: its number and what lists show of it
//	t SHOP          a shop, and how far it is trusted
//	u BATCH         an addition that has begun and not ended
//	v SUBJECT BATCH PART  the subject as of that addition, ready to read
//	w KIND NAME \x00 REVISION \x00 ID SHOP  a shared entry that its shop has withdrawn
//	x KIND NAME \x00 REVISION \x00 ID  a shared entry
//	y ID            a shared entry that is shunned here
const (
	keyAuthor    = 'a'
	keyBatch     = 'b'
	keyEntry     = 'e'
	keyPhoto     = 'f'
	keyPiece     = 'g'
	keyHome      = 'h'
	keyRevoked   = 'k'
	keyLink      = 'l'
	keyManifest  = 'm'
	keyNet       = 'n'
	keyPrivate   = 'p'
	keyReceipt   = 'r'
	keySubject   = 's'
	keyShop      = 't'
	keyUnderway  = 'u'
	keyView      = 'v'
	keyWithdrawn = 'w'
	keyShared    = 'x'
	keyShunned   = 'y'
	partBoard    = 'b' // view: the columnar snapshot of a board
	partKnown    = 'k' // view: what is known, as a sheet
	kindBoard    = 'b'
	kindChance   = 'c'
	kindJob      = 'j'
	kindStack    = 's'
	kindMeter    = 'm'
	kindQuestion = 'q'
	// 1: records of subjects were JSON, and there was no index of nets.
	// 2: jobs were statements of the board or stack that they are on.
	// 3: there were no meters.
	// 4: nothing of other shops was kept.
	// 5: there were no chances.
	// 6: nothing was shunned.
	// To that photos were added, which an older program lets alone.
	formatNumber = 7
)

var (
	keyGeneration = []byte{0}
	keyJobsApart  = []byte{0, 1}
	keyPurging    = []byte{0, 2}
	keyUndoing    = []byte{0, 3} // and the number of a receipt
	keyLeftPhoto  = []byte{0, 4} // and the number of a picture
)

// Subject is what statements are about: one revision of a board, a stack, a job,
// or, for saved questions, meters and chances, no board at all.
type Subject struct {
	Stack     bool
	Ref       board.Ref // of a stack or job, Name only
	Questions bool
	Meters    bool
	Chances   bool
	Job       bool
}

// BoardSubject names a board.
func BoardSubject(ref board.Ref) Subject { return Subject{Ref: ref} }

// StackSubject names a stack.
func StackSubject(name string) Subject { return Subject{Stack: true, Ref: board.Ref{Name: name}} }

// QuestionsSubject names the saved questions, which are kept for all boards.
func QuestionsSubject() Subject { return Subject{Questions: true} }

// MetersSubject names the meters, which are kept for all boards.
func MetersSubject() Subject { return Subject{Meters: true} }

// ChancesSubject names what the shop states of chances, for all boards.
func ChancesSubject() Subject { return Subject{Chances: true} }

// Shared reports whether the subject is about no board and kept for all.
func (s Subject) Shared() bool { return s.Questions || s.Meters || s.Chances }

// JobSubject names a job by its number.
func JobSubject(id string) Subject { return Subject{Job: true, Ref: board.Ref{Name: id}} }

// String is "board Heron-A rev 3", "stack Heron", "job 1042", "questions",
// "meters" or "chances".
func (s Subject) String() string {
	switch {
	case s.Questions:
		return "questions"
	case s.Meters:
		return "meters"
	case s.Chances:
		return "chances"
	case s.Stack:
		return "stack " + board.QuoteName(s.Ref.Name)
	case s.Job:
		return "job " + board.QuoteName(s.Ref.Name)
	}
	text := "board " + board.QuoteName(s.Ref.Name)
	if s.Ref.Revision != "" {
		text += " rev " + board.QuoteName(s.Ref.Revision)
	}
	return text
}

func (s Subject) kind() byte {
	switch {
	case s.Stack:
		return kindStack
	case s.Questions:
		return kindQuestion
	case s.Meters:
		return kindMeter
	case s.Chances:
		return kindChance
	case s.Job:
		return kindJob
	}
	return kindBoard
}

func (s Subject) key() []byte {
	key := append([]byte{keySubject, s.kind()}, s.Ref.Name...)
	key = append(key, 0)
	return append(key, s.Ref.Revision...)
}

var kinds = []byte{kindBoard, kindChance, kindJob, kindMeter, kindQuestion, kindStack}

// subjectOfKey is the inverse of Subject.key.
func subjectOfKey(key []byte) (Subject, error) {
	if len(key) < 3 || key[0] != keySubject || bytes.IndexByte(kinds, key[1]) < 0 {
		return Subject{}, errors.New("not the key of a subject")
	}
	for i := 2; i < len(key); i++ {
		if key[i] == 0 {
			ref := board.Ref{Name: string(key[2:i]), Revision: string(key[i+1:])}
			return Subject{Stack: key[1] == kindStack, Ref: ref, Questions: key[1] == kindQuestion, Meters: key[1] == kindMeter, Chances: key[1] == kindChance, Job: key[1] == kindJob}, nil
		}
	}
	return Subject{}, errors.New("the key of a subject has no end of name")
}

type (
	subjectID uint32
	batchID   uint64
)

func subjectPrefix(kind byte, s subjectID) []byte {
	return binary.BigEndian.AppendUint32([]byte{kind}, uint32(s))
}

func batchPrefix(kind byte, s subjectID, b batchID) []byte {
	return binary.BigEndian.AppendUint64(subjectPrefix(kind, s), uint64(b))
}

func entryKey(s subjectID, b batchID, n uint32) []byte {
	return binary.BigEndian.AppendUint32(batchPrefix(keyEntry, s, b), n)
}

func viewKey(s subjectID, b batchID, part byte) []byte {
	return append(batchPrefix(keyView, s, b), part)
}

// homePrefix is what the keys of all jobs on a board or stack begin with.
func homePrefix(home Subject) []byte {
	key := append([]byte{keyHome}, home.key()[1:]...)
	return append(key, 0)
}

func homeKey(home Subject, job string) []byte { return append(homePrefix(home), job...) }

// sharedPrefix is what the keys of shared entries on a subject begin with; the
// sort of key is keyShared or keyWithdrawn.
func sharedPrefix(sort byte, s Subject) []byte {
	key := append([]byte{sort}, s.key()[1:]...)
	return append(key, 0)
}

func sharedKey(s Subject, id exchange.ID) []byte { return append(sharedPrefix(keyShared, s), id[:]...) }

func withdrawnKey(s Subject, id exchange.ID, shop exchange.Key) []byte {
	return append(append(sharedPrefix(keyWithdrawn, s), id[:]...), shop[:]...)
}

func shunnedKey(id exchange.ID) []byte { return append([]byte{keyShunned}, id[:]...) }

func manifestKey(id exchange.ID) []byte { return append([]byte{keyManifest}, id[:]...) }

func shopKey(shop exchange.Key) []byte { return append([]byte{keyShop}, shop[:]...) }

func undoingKey(receipt uint64) []byte {
	return binary.BigEndian.AppendUint64(slices.Clone(keyUndoing), receipt)
}

func revokedKey(shop, key exchange.Key) []byte {
	return append(append([]byte{keyRevoked}, shop[:]...), key[:]...)
}

func receiptKey(n uint64) []byte { return binary.BigEndian.AppendUint64([]byte{keyReceipt}, n) }

func privateKey(job string) []byte { return append([]byte{keyPrivate}, job...) }

func photoKey(ref board.Ref, side board.Side) []byte {
	key := append([]byte{keyPhoto}, BoardSubject(ref).key()[2:]...)
	return append(key, 0, byte(side))
}

// pieceKey is what the keys of the pieces of a picture begin with.
func pieceKey(photo uint64) []byte { return binary.BigEndian.AppendUint64([]byte{keyPiece}, photo) }

// photoOfPiece takes the number of the photo out of the key of a piece.
func photoOfPiece(key []byte) (uint64, error) {
	if len(key) != 13 {
		return 0, errDamaged("the key of a piece of a picture has %d bytes, want 13", len(key))
	}
	return binary.BigEndian.Uint64(key[1:]), nil
}

func underwayKey(b batchID) []byte {
	return binary.BigEndian.AppendUint64([]byte{keyUnderway}, uint64(b))
}

// batchOfKey takes the batch out of a key of a batch, entry or view.
func batchOfKey(key []byte) (batchID, error) {
	if len(key) < 13 {
		return 0, fmt.Errorf("key of %d bytes, want 13 or more", len(key))
	}
	return batchID(binary.BigEndian.Uint64(key[5:])), nil
}

// bumpGeneration counts a change, and says which layout it is written in.
func bumpGeneration(w writer) error {
	value, err := w.get(keyGeneration)
	if err != nil && !errors.Is(err, errNoKey) {
		return err
	}
	count := uint64(0)
	if len(value) == 16 {
		count = binary.BigEndian.Uint64(value[8:])
	}
	next := binary.BigEndian.AppendUint64(nil, formatNumber)
	return w.put(keyGeneration, binary.BigEndian.AppendUint64(next, count+1))
}

// checkFormat refuses a base that a newer program has written.
func checkFormat(r reader) error {
	value, err := r.get(keyGeneration)
	if errors.Is(err, errNoKey) {
		return nil
	}
	if err != nil {
		return err
	}
	if len(value) != 16 {
		return errDamaged("the first record has %d bytes, want 16", len(value))
	}
	if f := binary.BigEndian.Uint64(value); f > formatNumber {
		return &NewerError{Format: f}
	}
	return nil
}
