package exchange

import (
	"crypto/sha256"
	"fmt"
	"slices"
	"strings"
	"time"

	"netlore/store/sheet"
)

// Batch is entries of one shop on one subject, with the signature on all of them.
type Batch struct {
	Manifest

	Signer    Signer
	Signed    []byte // the manifest as it was signed
	Signature []byte
	Entries   []Entry // those at hand: all that the manifest lists, or a part
}

// Entry is one shared statement.
type Entry struct {
	ID   ID
	Text string // one canonical block
}

// Hash names the batch.
func (b *Batch) Hash() ID { return sha256.Sum256(b.Signed) }

// Whole reports whether all entries are at hand.
func (b *Batch) Whole() bool { return len(b.Entries) == len(b.Manifest.Entries) }

// sheet is the entries at hand as a sheet.
func (b *Batch) sheet() []byte {
	texts := make([]string, len(b.Entries))
	for i := range b.Entries {
		texts[i] = b.Entries[i].Text
	}
	return sheetOf(b.Of, texts)
}

// Only is the batch with those of its entries that keep names.
func (b *Batch) Only(keep func(ID) bool) *Batch {
	part := *b
	part.Entries = nil
	for _, e := range b.Entries {
		if keep(e.ID) {
			part.Entries = append(part.Entries, e)
		}
	}
	return &part
}

// Batches makes batches of canonical blocks on one subject, and signs them. What
// is retracted goes with them. A block that is longer than a batch can be is an error:
// Blocks gives none.
func (i *Identity) Batches(about About, blocks []string, retracts []ID, now time.Time) (all []*Batch, err error) {
	about.By = i.Shop.String()
	for len(blocks) > 0 || len(retracts) > 0 {
		n := fit(blocks)
		r := min(len(retracts), MostEntries-n)
		b, err := i.batch(about, blocks[:n], retracts[:r], now)
		if err != nil {
			return nil, err
		}
		all = append(all, b)
		blocks, retracts = blocks[n:], retracts[r:]
	}
	return all, nil
}

// fit is how many of the first blocks go into a batch.
func fit(blocks []string) int {
	size := 0
	for n, b := range blocks {
		if size += len(b) + 1; n == MostEntries || n > 0 && size > MostSheet/2 {
			return n
		}
	}
	return len(blocks)
}

func (i *Identity) batch(about About, blocks []string, retracts []ID, now time.Time) (*Batch, error) {
	b := &Batch{Manifest: Manifest{About: about, Time: now.UTC().Truncate(time.Second), Retracts: retracts}, Signer: i.Signer}
	ids := about.ids()
	for _, text := range blocks {
		e := Entry{ids.of(text), text}
		b.Entries, b.Manifest.Entries = append(b.Entries, e), append(b.Manifest.Entries, e.ID)
	}
	written := b.sheet()
	if len(written) > MostSheet {
		return nil, complaint("X215", "", fmt.Sprintf("a statement on %s has %d bytes, and what is shared may have %d: %s", about.Of, len(written), MostSheet, firstLine(blocks[0])),
			"name the boards to share, without this one", "--kinds expected,notes leaves out what boards are made of")
	}
	b.Sheet = sha256.Sum256(written)
	b.Signed = b.text()
	var err error
	b.Signature, err = sign(b.Signed, i.signer, BatchNamespace)
	return b, err
}

// ReadBatch checks a batch: the signature on the manifest, that who signs speaks
// for himself only, and that each entry is one that was signed. The sheet may hold
// a part of the entries. Entries that were not signed are an error, and so is
// an entry that claims to be another shop's.
func ReadBatch(manifest, signature, written []byte, now time.Time) (*Batch, error) {
	signer, err := verify(manifest, signature, BatchNamespace)
	if err != nil {
		return nil, complaint("X204", "", err.Error())
	}
	m, err := parseManifest(manifest)
	if err != nil {
		return nil, complaint("X203", "", err.Error())
	}
	if m.By != signer.Shop.String() {
		return nil, complaint("X205", "", fmt.Sprintf("the batch says that the shop %s speaks, and the shop %s has signed it", m.By, signer.Shop))
	}
	if m.Licence == "" && len(m.Entries) > 0 {
		return nil, complaint("X213", "", "the batch does not say under which licence it may be used")
	}
	if m.Time.After(now.Add(mostAhead)) {
		return nil, complaint("X211", "", "the batch was signed on "+m.Time.Format(time.DateOnly)+", which is still to come", whatTime)
	}
	b := &Batch{Manifest: *m, Signer: signer, Signed: manifest, Signature: signature}
	return b, b.take(written, now.Add(mostAhead))
}

// Kept puts a batch together again that was checked when it came in, of its
// manifest and those of its entries that are at hand.
func Kept(manifest, signature []byte, texts map[ID]string) (*Batch, error) {
	m, err := parseManifest(manifest)
	if err != nil {
		return nil, err
	}
	parsed, err := parseSignature(signature)
	if err != nil {
		return nil, err
	}
	b := &Batch{Manifest: *m, Signed: manifest, Signature: signature}
	if b.Signer, err = signerOf(parsed.PublicKey); err != nil {
		return nil, err
	}
	for _, id := range m.Entries {
		if text, ok := texts[id]; ok {
			b.Entries = append(b.Entries, Entry{id, text})
		}
	}
	return b, nil
}

// CheckSignature checks the signature on a manifest once more.
func CheckSignature(manifest, signature []byte) error {
	_, err := verify(manifest, signature, BatchNamespace)
	return err
}

// AboutOf is what the entries have in common that a manifest lists.
func AboutOf(manifest []byte) (About, error) {
	m, err := parseManifest(manifest)
	if err != nil {
		return About{}, err
	}
	return m.About, nil
}

// take checks the sheet against the manifest, and takes its entries.
func (b *Batch) take(written []byte, latest time.Time) error {
	if len(written) > MostSheet {
		return complaint("X207", "", fmt.Sprintf("the sheet of the batch has %d bytes, and may have %d", len(written), MostSheet))
	}
	blocks, ok := blocksOf(string(written))
	if !ok {
		return complaint("X206", "", "the sheet of the batch is no sheet, or was cut short")
	}
	if _, list := sheet.Parse("the batch", written); list.HasErrors() {
		return complaint("X214", "", "a statement of the batch cannot be read: "+list.Error())
	}
	listed := make(map[ID]bool, len(b.Manifest.Entries))
	for _, id := range b.Manifest.Entries {
		listed[id] = true
	}
	ids, label := b.ids(), b.Signer.Label()
	for _, text := range blocks {
		id := ids.of(text)
		switch {
		case listed[id]:
			delete(listed, id)
		case text == named(b.Of):
			continue // only names what the sheet is about
		default:
			return complaint("X206", "", "a statement of the batch is none of those that were signed: "+firstLine(text), "somebody has changed the pack after it was signed; ask for it again")
		}
		if err := b.mayStand(text, label); err != nil {
			return err
		}
		if KindOf(text).attributed() && saysWhen(text) > latest.Format(time.DateOnly) {
			return complaint("X211", "", "a statement is of a day that is still to come: "+firstLine(text), whatTime)
		}
		b.Entries = append(b.Entries, Entry{id, text})
	}
	if b.Whole() && len(b.Entries) > 0 && sha256.Sum256(b.sheet()) != b.Sheet {
		return complaint("X206", "", "the sheet of the batch is not the one that was signed")
	}
	return nil
}

// mostAhead is how far the clock of another bench, or its place on the earth, may
// be ahead of ours.
const mostAhead = 48 * time.Hour

const whatTime = "its clock is wrong, or that of this machine"

// mayStand refuses statements that have no place in a pack, whoever signs them.
func (b *Batch) mayStand(text, label string) error {
	kind := firstWord(text)
	switch {
	case kind == "job":
		return complaint("X210", "", "a job is in the pack, and jobs are not shared")
	case !subjectTakes(b.Of, kind):
		return complaint("X206", "", fmt.Sprintf("a statement %q has no place in a batch about %s", kind, b.Of))
	case (kind == "board" || kind == "stack") && !names(text, b.Of):
		return complaint("X206", "", "the batch is about "+b.Of+", and names something else: "+firstLine(text))
	case KindOf(text).attributed() && !saysBy(text, label):
		return complaint("X205", "", fmt.Sprintf("a statement is in the name of another than %s, who has signed: %s", label, firstLine(text)))
	}
	return nil
}

// subjectTakes reports whether statements of a kind can be about a subject.
func subjectTakes(of, kind string) bool {
	switch firstWord(of) {
	case "board", "stack":
		return !slices.Contains([]string{"question", "meter", "chance"}, kind)
	case "questions":
		return kind == "question"
	case "meters":
		return kind == "meter"
	case "chances":
		return kind == "chance"
	}
	return false
}

// firstLine is the first line of a statement, for a message.
func firstLine(text string) string {
	line, _, _ := strings.Cut(text, "\n")
	const most = 100
	if len(line) > most {
		line = strings.ToValidUTF8(line[:most], "") + "…"
	}
	return line
}
