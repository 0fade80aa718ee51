package mirror

import (
	"errors"
	"fmt"
	"path"
	"slices"
	"strings"

	"netlore/query/diag"
	"netlore/store/exchange"
)

// Limits of what is read. What is read of one subject of a shop is held as a whole, so
// there is an end to that, too; and each statement is looked for under each licence
// and origin. A shop of a hundred thousand statements on one board has 7 MB of
// manifests and 8 MB of sheets there.
const (
	mostManifest = 160 << 10
	mostSig      = 16 << 10
	mostSigned   = 16 << 20 // bytes of manifests on one subject
	mostAbouts   = 256
	mostSheets   = 32 << 20 // bytes of the sheets on one subject
	spareSheet   = 1 << 20  // that a sheet may have beyond all that was signed
	mostHashed   = 8 << 30  // bytes that are hashed to find out whose statements are
	mostUnsigned = 1000     // statements that nobody has signed, kept of one sheet
	mostLeft     = 1 << 20  // bytes of these
)

// seal is a batch as it lies in the folder: what was signed, the signature, and
// which of its entries are in the sheets.
type seal struct {
	name                string // without ending
	manifest, signature []byte
	lists               *exchange.Manifest
	found               map[exchange.ID]string
}

// subject is what is read of one subject of a shop.
type subject struct {
	r       *Reader
	dir     string
	seals   []*seal
	lists   map[exchange.ID][]*seal // who lists an entry
	gone    map[exchange.ID]bool    // withdrawn by its shop
	abouts  []exchange.About
	ids     []func(text string) exchange.ID // by abouts
	named   map[string]bool                 // lines that only name what the sheets are about
	size    int                             // of the manifests
	read    int                             // bytes of sheets
	hashed  int
	own     bool // of this shop
	failed  bool // a signature is missing or does not fit
	found   map[exchange.ID]bool
	sheets  []*Sheet
	held    map[exchange.ID]string // of the entries that are listed and in no sheet
	inOrder []heldText             // the same, as was wants it
	changed map[string]bool        // of these, what is told to have been changed by hand
}

// subject reads the sheets on one subject of a shop, and tells whose word they are.
func (r *Reader) subject(dir string) error {
	shop, _, _ := strings.Cut(dir, "/")
	own := slices.ContainsFunc(r.opt.Ours, func(k exchange.Key) bool { return strings.HasSuffix("-"+shop, keyEnd(k)) })
	s := &subject{r: r, dir: dir, own: own, lists: map[exchange.ID][]*seal{}, gone: map[exchange.ID]bool{}, found: map[exchange.ID]bool{}, named: map[string]bool{}, changed: map[string]bool{}}
	for _, name := range r.in(dir, aManifest) {
		s.seal(strings.TrimSuffix(name, endManifest))
	}
	for _, name := range r.in(dir, aSignature) {
		base := strings.TrimSuffix(name, endSignature)
		if _, there := r.list.Files[base+endManifest]; !there && !own { // of an own one, the run that wrote it was cut short
			r.odd(r.folder.complaint("X305", name, "the manifest is missing to which this signature belongs", "git checkout brings "+path.Base(base)+endManifest+" back"))
			s.failed = true
		}
	}
	s.withdraw()
	for _, name := range r.in(dir, aSheet) {
		if err := r.ctx.Err(); err != nil {
			return err
		}
		if err := s.sheet(name); err != nil {
			return err
		}
	}
	if err := s.missing(); err != nil {
		return err
	}
	for _, sheet := range s.sheets {
		s.judge(sheet)
	}
	s.batches()
	return nil
}

// seal reads a manifest and the signature on it.
func (s *subject) seal(name string) {
	if _, there := s.r.list.Files[name+endSignature]; !there && s.own {
		return // the run that wrote it was cut short
	}
	manifest, signature, lists, err := s.checked(name)
	if err != nil {
		s.failed = true
		s.r.odd(err)
		return
	}
	one := &seal{name, manifest, signature, lists, map[exchange.ID]string{}}
	s.seals = append(s.seals, one)
	for _, id := range lists.Entries {
		s.lists[id] = append(s.lists[id], one)
		if s.own {
			s.r.listed[id] = true
		}
	}
	if !slices.Contains(s.abouts, lists.About) {
		s.abouts = append(s.abouts, lists.About)
		s.ids = append(s.ids, lists.About.IDs())
		s.named[exchange.Naming(lists.Of)] = true
	}
}

// checked reads a manifest that is signed as it stands.
func (s *subject) checked(name string) (manifest, signature []byte, lists *exchange.Manifest, err error) {
	f := s.r.folder
	if manifest, err = f.signed(name+endManifest, mostManifest); err != nil {
		return nil, nil, nil, err
	}
	if lists, err = exchange.ParseManifest(manifest); err != nil {
		return nil, nil, nil, f.complaint("X203", name+endManifest, err.Error())
	}
	if _, there := s.r.list.Files[name+endSignature]; !there {
		return nil, nil, nil, f.complaint("X305", name+endManifest, "the signature on it is missing, so nobody has signed what it lists", "git checkout brings "+path.Base(name)+endSignature+" back")
	}
	if signature, err = f.signed(name+endSignature, mostSig); err != nil {
		return nil, nil, nil, err
	}
	if s.size += len(manifest); s.size > mostSigned || len(s.abouts) == mostAbouts && !slices.Contains(s.abouts, lists.About) {
		return nil, nil, nil, f.complaint("X307", name+endManifest, "there are too many batches here, and this one is not read")
	}
	if err = exchange.CheckSignature(manifest, signature); err != nil {
		return nil, nil, nil, f.complaint("X204", name+endManifest, err.Error())
	}
	return manifest, signature, lists, nil
}

// withdraw notes what shops have withdrawn of their own.
func (s *subject) withdraw() {
	for _, by := range s.seals {
		for _, id := range by.lists.Retracts {
			for _, of := range s.lists[id] {
				s.gone[id] = s.gone[id] || of.lists.By == by.lists.By
			}
		}
	}
}

// signed finds the entries that a block is, and reports whether any manifest lists one.
func (s *subject) signed(text string) bool {
	listed := false
	if len(text) > exchange.MostSheet {
		return false // no batch can hold it
	}
	for _, of := range s.ids {
		id := of(text)
		s.hashed += hashedHead + len(text)
		for _, one := range s.lists[id] {
			listed = true
			s.found[id] = true
			if !s.gone[id] {
				one.found[id] = text
			}
		}
	}
	return listed
}

// hashedHead is about as much as is hashed before each statement.
const hashedHead = 200

// missing finds out what the base holds of the entries that are in no sheet.
func (s *subject) missing() error {
	var ids []exchange.ID
	of := ""
	for _, one := range s.seals {
		of = one.lists.Of
		for _, id := range one.lists.Entries {
			if !s.found[id] && !s.gone[id] {
				ids = append(ids, id)
			}
		}
	}
	if len(ids) == 0 || s.r.opt.Held == nil {
		return nil
	}
	var err error
	s.held, err = s.r.opt.Held(of, ids)
	return err
}

// batches puts the batches together and checks the signatures.
func (s *subject) batches() {
	left := map[exchange.ID]bool{} // in no sheet
	for _, one := range s.seals {
		var blocks []string
		for _, id := range one.lists.Entries {
			text, ok := one.found[id]
			if ok {
				blocks = append(blocks, text)
			} else if !s.found[id] && !s.gone[id] {
				left[id] = true
			}
		}
		b, err := exchange.ReadBatch(one.manifest, one.signature, exchange.Sheet(one.lists.Of, blocks), s.r.opt.Now)
		if err != nil {
			s.refuse(one, err)
			continue
		}
		s.r.sealed[one.name] = b.Signer
		if len(b.Entries)+len(b.Retracts) > 0 {
			s.r.queue = append(s.r.queue, exchange.Item{Batch: b})
		}
	}
	s.tellLeft(len(left)-len(s.changed), len(s.held)-len(s.changed))
}

// tellLeft tells of signed statements that are in no sheet, some of which the base
// holds. Those of this shop are written anew.
func (s *subject) tellLeft(n, held int) {
	if n > 0 && !s.own {
		d := s.r.folder.complaint("X308", s.dir, fmt.Sprintf("%d signed %s here in no sheet", n, areStatements(n)))
		d.Severity = diag.Note
		if held > 0 {
			d.Help = []string{fmt.Sprintf("the base holds %d of them, and keeps them", held)}
		}
		s.r.odd(d)
	}
}

func areStatements(n int) string {
	if n == 1 {
		return "statement is"
	}
	return "statements are"
}

// refuse tells why a batch is not taken.
func (s *subject) refuse(one *seal, err error) {
	var d diag.Diagnostic
	if errors.As(err, &d) {
		d.File = s.r.folder.called(one.name + endManifest)
		s.r.odd(d)
	}
}
