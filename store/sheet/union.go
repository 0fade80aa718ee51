package sheet

import (
	"slices"
	"sync"

	"netlore/query/diag"
	"netlore/store/board"
)

// A Union is files about one subject, which are read as one. Any number of
// goroutines may use it.
type Union struct {
	Files   []*File
	others  []*File // of the boards of a stack
	meters  []*File // others that say what meters are like
	subject Subject
	read    func() reading
	check   func() diag.List
}

type reading struct {
	content *Content
	found   diag.List
}

// Unite divides files into those about one subject each, as BySubject does.
func Unite(files ...*File) []*Union {
	var all []*Union
	var meters []*File
	for _, f := range files {
		if f.Has(meterForm.word) {
			meters = append(meters, f)
		}
	}
	for _, group := range BySubject(files...) {
		all = append(all, newUnion(group, files, meters))
	}
	return all
}

func newUnion(group, files, meters []*File) *Union {
	u := &Union{Files: group}
	for _, f := range group {
		if s := f.Subject(); !u.subject.Known() || s.Board.Revision != "" {
			u.subject = s
		}
	}
	if u.subject.Stack != "" {
		for _, f := range files {
			if f.Subject().Board.Name != "" {
				u.others = append(u.others, f)
			}
		}
	}
	for _, f := range meters {
		if !slices.Contains(group, f) {
			u.meters = append(u.meters, f)
		}
	}
	u.read = sync.OnceValue(func() reading {
		c, found := Read(group...)
		return reading{c, found}
	})
	u.check = sync.OnceValue(u.complaints)
	return u
}

// Content is what the files say together.
func (u *Union) Content() *Content { return u.read().content }

// Subject is what the files are about, as far as one of them says it.
func (u *Union) Subject() Subject { return u.subject }

// Same reports whether another union is of the same files, so that it need not
// be read again.
func (u *Union) Same(v *Union) bool {
	return slices.Equal(u.Files, v.Files) && slices.Equal(u.others, v.others) && slices.Equal(u.meters, v.meters)
}

// Check tells what is wrong with what the files say together. The joins of a
// stack are checked against those of its boards that are at hand, and readings
// against what any sheet says of their meters.
func (u *Union) Check() diag.List { return u.check() }

func (u *Union) complaints() diag.List {
	r := u.read()
	if r.found.HasErrors() {
		return r.found
	}
	var meters []board.Meter
	for _, f := range u.meters {
		c, _ := Read(f)
		meters = append(meters, c.Knowledge.Meters...)
	}
	all := r.found[:len(r.found):len(r.found)]
	return append(all, check(r.content, meters, append(u.Files[:len(u.Files):len(u.Files)], u.others...))...)
}

// CheckAll tells what is wrong with what the files of each subject say
// together. Complaints of Parse are not repeated.
func CheckAll(files ...*File) diag.List {
	var all diag.List
	for _, u := range Unite(files...) {
		all = append(all, u.Check()...)
	}
	return all
}
