package mirror

import (
	"context"
	"errors"
	"fmt"
	"io"
	"path"
	"slices"
	"strings"
	"time"

	"netlore/query/diag"
	"netlore/store/exchange"
)

// Reading says how a folder is read.
type Reading struct {
	Now  time.Time      // when what is there has come in, by the clock of this machine
	Ours []exchange.Key // the keys of this shop: what its own sheets hold is kept in mind
	// Held gives the text of those entries on a subject that the base holds. With it,
	// a statement that was changed by hand is told from one that is new.
	Held func(of string, ids []exchange.ID) (map[exchange.ID]string, error)
}

// Reader reads what is signed in a folder, a board of a shop at a time: memory does
// not grow with the folder. What cannot be taken is told by Odd, and the rest goes
// on.
type Reader struct {
	Sheets map[string]*Sheet // by name, those read so far
	Odd    diag.List         // of what stands in no sheet

	ctx    context.Context
	folder *Folder
	list   *List
	opt    Reading
	left   []string // folders of boards that were not read yet
	keys   []string // files of what shops say of their keys that were not read yet
	queue  []exchange.Item
	late   []string                   // of those that are read, what puts a key in the place of another
	told   int                        // complaints
	untold int                        // for which there was no room
	sealed map[string]exchange.Signer // of the files of batches whose signature fits, without their endings
	listed map[exchange.ID]bool       // entries of this shop that these list
}

// Read begins to read what a list of the folder names.
func (f *Folder) Read(ctx context.Context, list *List, opt Reading) *Reader {
	r := &Reader{ctx: ctx, folder: f, list: list, opt: opt, Sheets: map[string]*Sheet{}, sealed: map[string]exchange.Signer{}, listed: map[exchange.ID]bool{}}
	for _, d := range list.Odd {
		r.note(&r.Odd, d)
	}
	for _, name := range list.names {
		dir := path.Dir(name)
		switch placeOf(name) {
		case aKey:
			r.keys = append(r.keys, name)
		case aManifest, aSignature:
			dir = path.Dir(dir)
			fallthrough
		case aSheet:
			if len(r.left) == 0 || r.left[len(r.left)-1] != dir {
				r.left = append(r.left, dir)
			}
		case straySheet:
			r.note(&r.Odd, f.complaint("X310", name, "nothing here can be signed, so the sheet is not read", "netlore add "+diag.ShellWord(f.called(name))+" takes it, on your own word"))
		}
	}
	slices.Sort(r.left) // a name may stand between a folder and what is below it
	r.left = slices.Compact(r.left)
	return r
}

// key reads the next of some files of what shops say of their keys. That comes before all
// that was signed; what puts a key in the place of another comes once more at the end, for
// of a key that nobody has heard of, no other takes the place.
func (r *Reader) key(from *[]string) {
	const most = 64 << 10
	name := (*from)[0]
	*from = (*from)[1:]
	text, err := r.folder.signed(name, most)
	if err != nil {
		r.odd(err)
		return
	}
	w, err := exchange.ParseWord(text)
	if err != nil {
		r.odd(r.folder.complaint("X204", name, err.Error()))
		return
	}
	r.queue = append(r.queue, exchange.Item{Word: w})
	if from == &r.keys && w.Change() {
		r.late = append(r.late, name)
	}
}

// odd notes what is wrong with something that is no sheet.
func (r *Reader) odd(err error) {
	var d diag.Diagnostic
	if errors.As(err, &d) {
		r.note(&r.Odd, d)
	}
}

// note notes a complaint, as far as there is room.
func (r *Reader) note(list *diag.List, d diag.Diagnostic) {
	if r.told == mostOdd {
		r.untold++
		return
	}
	r.told++
	*list = append(*list, d)
}

// mostOdd bounds what is told of one folder.
const mostOdd = 1000

// Next gives the next thing that is signed; io.EOF after the last. Batches come
// with those of their entries that are in the sheets and not withdrawn.
func (r *Reader) Next() (exchange.Item, error) {
	for len(r.queue) == 0 {
		switch {
		case r.ctx.Err() != nil:
			return exchange.Item{}, r.ctx.Err()
		case len(r.keys) > 0:
			r.key(&r.keys)
		case len(r.left) > 0:
			dir := r.left[0]
			r.left = r.left[1:]
			if err := r.subject(dir); err != nil {
				return exchange.Item{}, err
			}
		case len(r.late) > 0:
			r.key(&r.late)
		default:
			return exchange.Item{}, io.EOF
		}
	}
	item := r.queue[0]
	r.queue = r.queue[1:]
	return item, nil
}

// Left is how many folders of boards are still to be read.
func (r *Reader) Left() int { return len(r.left) }

// in gives the names in the folder of a board that are for something.
func (r *Reader) in(dir string, what place) (names []string) {
	from, _ := slices.BinarySearch(r.list.names, dir+"/")
	for _, name := range r.list.names[from:] {
		if !strings.HasPrefix(name, dir+"/") {
			break
		}
		if placeOf(name) == what {
			names = append(names, name)
		}
	}
	return names
}

// Subjects are what the sheets and batches that were read are about.
func (r *Reader) Subjects() (all []string) {
	for _, s := range r.Sheets {
		if s.own && s.Of != "" && !slices.Contains(all, s.Of) {
			all = append(all, s.Of)
		}
	}
	slices.Sort(all)
	return all
}

// Complaints are all that is wrong, in order of the names. Signed says of an own
// statement whether it was signed since it was read.
func (r *Reader) Complaints() diag.List {
	all := slices.Clone(r.Odd)
	for _, s := range r.Sheets {
		all = append(all, s.odd...)
		for _, p := range s.unsigned {
			if p.why.Code != "" {
				all = append(all, p.why)
			}
		}
	}
	slices.SortStableFunc(all, func(a, b diag.Diagnostic) int {
		if c := strings.Compare(a.File, b.File); c != 0 {
			return c
		}
		return a.Line - b.Line
	})
	if r.untold > 0 {
		all = append(all, r.folder.complaint("X307", ".", fmt.Sprintf("%d more things in the folder are odd, and too many to be told", r.untold), "mend or remove what is told first"))
	}
	return all
}
