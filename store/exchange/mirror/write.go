package mirror

import (
	"context"
	"crypto/sha256"
	"maps"
	"path"
	"slices"
	"strings"

	"netlore/query/diag"
	"netlore/store/exchange"
	"netlore/store/sheet"
)

// Writing says how a folder is written.
type Writing struct {
	Identity *exchange.Identity
	Look     bool // tell what would be written, and write nothing
}

// Writer writes what this shop shares into its own folders. Of a file there is the old
// or the new one, whatever comes between.
type Writer struct {
	Added, Removed []string       // statements, a block each
	Files          int            // written or removed
	Revoked        []exchange.Key // by this shop; what they have signed is removed, and written again if it was signed again

	ctx    context.Context
	folder *Folder
	r      *Reader
	opt    Writing
	shops  map[exchange.Key]string // folders
	done   map[string]bool         // files that were written or removed
}

// Write begins to write what a folder is to hold, after it was read to the end.
func (f *Folder) Write(ctx context.Context, r *Reader, opt Writing) *Writer {
	return &Writer{ctx: ctx, folder: f, r: r, opt: opt, shops: map[exchange.Key]string{}, done: map[string]bool{}}
}

// Has reports whether a sheet of this shop says a statement on a subject already.
func (w *Writer) Has(shop exchange.Key, of, text string) bool {
	name := path.Join(w.shop(shop), subjectFolder(of), sheetName(exchange.KindOf(text)))
	s := w.r.Sheets[name]
	return s != nil && s.texts[text]
}

// Belongs reports whether a batch of this shop is in the folder already, or withdraws
// what is.
func (w *Writer) Belongs(of string, b *exchange.Batch) bool {
	dir := path.Join(w.shop(b.Signer.Shop), subjectFolder(of))
	return w.r.sealed[path.Join(dir, dirSigned, batchName(b.Hash()))].Key.Known() || slices.ContainsFunc(b.Retracts, func(id exchange.ID) bool { return w.r.listed[id] })
}

// shop is the folder of a key of this shop: the one that is there, whatever the shop
// called itself then.
func (w *Writer) shop(key exchange.Key) string {
	if dir, known := w.shops[key]; known {
		return dir
	}
	dir := shopFolder(w.opt.Identity.Name, key)
	from, _ := slices.BinarySearch(w.r.list.names, dir+"/")
	if from == len(w.r.list.names) || !strings.HasPrefix(w.r.list.names[from], dir+"/") {
		for _, name := range w.r.list.names {
			if there, _, _ := strings.Cut(name, "/"); strings.HasSuffix("-"+there, keyEnd(key)) {
				dir = there
				break
			}
		}
	}
	w.shops[key] = dir
	return dir
}

// Shop writes what the shop says of its keys, and by what its signatures can be
// checked.
func (w *Writer) Shop() error {
	i := w.opt.Identity
	dir := w.shop(i.Shop)
	var files []output
	for _, word := range i.Words {
		sum := sha256.Sum256(word.Text())
		name := path.Join(dir, dirKeys, batchName(sum)+endKey)
		if _, there := w.r.list.Files[name]; !there {
			files = append(files, output{name, word.Text()})
		}
	}
	signers := output{path.Join(dir, fileSigners), []byte(i.SignersLines())}
	if at, there := w.r.list.Files[signers.name]; !there || at.Size != int64(len(signers.text)) || !w.folder.holds(signers) {
		files = append(files, signers)
	}
	return w.put(files)
}

// holds reports whether a file says that already.
func (f *Folder) holds(o output) bool {
	text, err := f.text(o.name, int64(len(o.text)))
	return err == nil && string(text) == string(o.text)
}

// Subject writes what this shop shares on one subject: all of it, with the batches
// in which it was signed.
func (w *Writer) Subject(of string, batches []*exchange.Batch) error {
	if err := w.ctx.Err(); err != nil {
		return err
	}
	byShop := map[exchange.Key][]*exchange.Batch{}
	for _, b := range batches {
		byShop[b.Signer.Shop] = append(byShop[b.Signer.Shop], b)
	}
	for _, key := range w.opt.Identity.Keys() {
		if err := w.subject(path.Join(w.shop(key), subjectFolder(of)), of, byShop[key]); err != nil {
			return err
		}
	}
	return nil
}

func (w *Writer) subject(dir, of string, batches []*exchange.Batch) error {
	seals, texts := w.gather(dir, batches)
	var sheets []output
	var gone []string
	for _, kind := range exchange.Kinds() {
		name := path.Join(dir, sheetName(kind))
		was, text := w.r.Sheets[name], arranged(of, texts[kind])
		switch {
		case was == nil && len(texts[kind]) == 0:
			continue
		case was != nil && !was.mayReplace(w.folder, texts[kind], text):
			continue
		case len(texts[kind]) == 0:
			gone = append(gone, name)
		default:
			sheets = append(sheets, output{name, text})
		}
		w.tell(was, texts[kind])
	}
	// A sheet never says what nobody has signed yet.
	if err := w.put(seals); err != nil {
		return err
	}
	if err := w.put(sheets); err != nil {
		return err
	}
	return w.remove(append(gone, w.lapsed(dir, batches)...))
}

// revoked reports whether the shop has revoked the key that has signed something.
func (w *Writer) revoked(by exchange.Signer) bool {
	return slices.Contains(w.Revoked, by.Key) || slices.Contains(w.Revoked, by.Shop)
}

// lapsed are the files of batches in a folder of this shop that were signed with a key
// which it has revoked, but for those that were signed again and written in their place.
// Nobody takes the others any more.
func (w *Writer) lapsed(dir string, batches []*exchange.Batch) (names []string) {
	anew := map[string]bool{}
	for _, b := range batches {
		anew[path.Join(dir, dirSigned, batchName(b.Hash()))] = true
	}
	from, _ := slices.BinarySearch(w.r.list.names, path.Join(dir, dirSigned)+"/")
	for _, name := range w.r.list.names[from:] {
		if path.Dir(name) != path.Join(dir, dirSigned) {
			break
		}
		seal := strings.TrimSuffix(strings.TrimSuffix(name, endManifest), endSignature)
		by := w.r.sealed[seal]
		if !anew[seal] && w.revoked(by) {
			names = append(names, name)
		}
	}
	return names
}

// gather finds what is to be in a folder: the files of the batches that are not there
// yet, and the statements of each kind.
func (w *Writer) gather(dir string, batches []*exchange.Batch) (seals []output, texts map[exchange.Kind]map[string]bool) {
	texts = map[exchange.Kind]map[string]bool{}
	for _, b := range batches {
		name := path.Join(dir, dirSigned, batchName(b.Hash()))
		if by := w.r.sealed[name]; !by.Key.Known() || w.revoked(by) {
			seals = append(seals, output{name + endSignature, b.Signature}, output{name + endManifest, b.Signed})
		}
		for _, e := range b.Entries {
			kind := exchange.KindOf(e.Text)
			if texts[kind] == nil {
				texts[kind] = map[string]bool{}
			}
			texts[kind][e.Text] = true
		}
	}
	return seals, texts
}

// tell notes what changes in a sheet.
func (w *Writer) tell(was *Sheet, texts map[string]bool) {
	for text := range texts {
		if was == nil || !was.texts[text] {
			w.Added = append(w.Added, text)
		}
	}
	if was == nil {
		return
	}
	for text := range was.texts {
		if !texts[text] {
			w.Removed = append(w.Removed, text)
		}
	}
}

// mayReplace reports whether a sheet is to be replaced. One in which somebody has
// written something that would be lost stays as it is, and that is told.
func (s *Sheet) mayReplace(f *Folder, texts map[string]bool, by []byte) bool {
	s.unsigned = slices.DeleteFunc(s.unsigned, func(p piece) bool { return texts[p.text] }) // signed meanwhile
	if sha256.Sum256(by) == s.sum {
		return false
	}
	if len(s.unsigned) == 0 && s.more == 0 && !s.broken {
		return true
	}
	s.odd = append(s.odd, f.complaint("X309", s.name, "the sheet was not brought up to date, for what stands in it unsigned would be lost",
		"netlore add takes that on your own word; or delete the sheet, and it is written anew"))
	return false
}

// arranged is the sheet of statements: in canonical order, and each as it was signed,
// even where two say something of one thing.
func arranged(of string, texts map[string]bool) []byte {
	var blocks []string
	for text := range texts {
		blocks = append(blocks, text)
	}
	slices.Sort(blocks)
	written := exchange.Sheet(of, blocks)
	file, _ := sheet.Parse("", written) // it has been read before
	at := map[int]string{}
	for line, text := range pieces(string(written)) {
		at[line] = text
	}
	ordered := blocks[:0:0]
	for _, line := range file.Order() {
		if text := at[line]; texts[text] {
			ordered = append(ordered, text)
		}
	}
	if len(ordered) < len(blocks) {
		return written // a statement that this version cannot read
	}
	return exchange.Sheet(of, ordered)
}

// Mend writes anew the sheets in which git has left conflicts, with the statements of
// both sides, unless they were written anew already. What is in them unsigned stays to
// be looked at.
func (w *Writer) Mend() error {
	var files []output
	for _, name := range w.r.list.names {
		if s := w.r.Sheets[name]; s != nil && s.conflict && !w.done[name] && !s.broken && len(s.unsigned) == 0 && s.more == 0 && len(s.texts) > 0 {
			files = append(files, output{name, arranged(s.Of, s.texts)})
		}
	}
	return w.put(files)
}

// Gone tells which files are not there any more that were.
func (r *Reader) Gone(before map[string]File) (all diag.List) {
	for name := range before {
		if _, there := r.list.Files[name]; !there && placeOf(name) == aSheet {
			d := r.folder.complaint("X308", name, "the sheet was removed; what it said stays in the base")
			d.Severity = diag.Note
			all = append(all, d)
		}
	}
	slices.SortFunc(all, func(a, b diag.Diagnostic) int { return strings.Compare(a.File, b.File) })
	return all
}

// After lists the folder once more, and reports whether nobody else has changed it
// since it was listed for reading.
func (w *Writer) After() (*List, bool, error) {
	l, err := w.folder.List(w.ctx)
	if err != nil {
		return nil, false, err
	}
	before, after := maps.Clone(w.r.list.Files), maps.Clone(l.Files)
	for name := range w.done {
		delete(before, name)
		delete(after, name)
	}
	return l, maps.Equal(before, after), nil
}
