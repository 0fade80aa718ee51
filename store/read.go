package store

import (
	"cmp"
	"context"
	"errors"
	"io"
	"slices"

	"netlore/store/board"
	"netlore/store/sheet"
)

// Catalogue lists the boards, stacks, saved questions, meters and chances of the base.
func (b *Base) Catalogue(ctx context.Context) (*board.Catalogue, error) {
	all := &board.Catalogue{}
	err := b.kv.view(func(r reader) error {
		return scanKinds(r, []byte{kindBoard, kindChance, kindMeter, kindQuestion, kindStack}, func(key, value []byte) error {
			if err := ctx.Err(); err != nil {
				return err
			}
			s, err := subjectOfKey(key)
			if err != nil {
				return errDamaged("%v", err)
			}
			rec, err := decodeSubject(s.Ref, value)
			if err != nil || rec.View == 0 {
				return err
			}
			if !s.Stack && !s.Shared() {
				all.Boards = append(all.Boards, rec.Summary)
				return nil
			}
			content, err := readKnown(r, rec)
			switch {
			case err != nil:
				return err
			case s.Questions:
				all.Questions = content.Knowledge.Questions
			case s.Meters:
				all.Meters = content.Knowledge.Meters
			case s.Chances:
				all.Chances = content.Knowledge.Chances
			case content.Stack != nil:
				all.Stacks = append(all.Stacks, *content.Stack)
			}
			return nil
		})
	})
	slices.SortFunc(all.Boards, func(x, y board.Summary) int { return compareRefs(x.Ref, y.Ref) })
	slices.SortFunc(all.Stacks, func(x, y board.Stack) int { return board.CompareNatural(x.Name, y.Name) })
	return all, err
}

// scanKinds scans the subjects of some kinds. There may be many more of another:
// a shop has thousands of jobs.
func scanKinds(r reader, kinds []byte, fn func(key, value []byte) error) error {
	for _, kind := range kinds {
		if err := r.scan([]byte{keySubject, kind}, fn); err != nil {
			return err
		}
	}
	return nil
}

func compareRefs(a, b board.Ref) int {
	if c := board.CompareNatural(a.Name, b.Name); c != 0 {
		return c
	}
	return board.CompareNatural(a.Revision, b.Revision)
}

// Board reads one revision of a board. ErrUnknownSubject if it is not held.
func (b *Base) Board(ctx context.Context, ref board.Ref) (*board.Board, error) {
	var found *board.Board
	err := b.kv.view(func(r reader) error {
		rec, err := current(r, BoardSubject(ref))
		if err != nil {
			return err
		}
		snapshot, err := r.get(viewKey(rec.ID, rec.View, partBoard))
		if err != nil {
			return missingView(err, BoardSubject(ref))
		}
		if found, err = DecodeBoard(snapshot); err == nil {
			found.Ref = ref // whose texts are no pieces of the snapshot
		}
		return err
	})
	if errors.Is(err, errOtherVersion) {
		return b.boardOfEntries(ctx, ref)
	}
	return found, err
}

// boardOfEntries makes a board of what its entries say. That takes longer than
// to read its snapshot, which another version of the program has written; the
// next addition writes it anew.
func (b *Base) boardOfEntries(ctx context.Context, ref board.Ref) (*board.Board, error) {
	m, err := b.remake(ctx, BoardSubject(ref))
	if err != nil {
		return nil, err
	}
	return DecodeBoard(m.change.view.board)
}

// Knowledge reads what is known about a board beyond its structure, or, if no
// board has the name, about the stack of that name.
func (b *Base) Knowledge(_ context.Context, ref board.Ref) (*board.Knowledge, error) {
	content, err := b.known(BoardSubject(ref))
	if errors.Is(err, ErrUnknownSubject) && ref.Revision == "" {
		content, err = b.known(StackSubject(ref.Name))
	}
	if err != nil {
		return nil, err
	}
	return content.Knowledge, nil
}

// Stack reads a stack and what is known about it.
func (b *Base) Stack(_ context.Context, name string) (*board.Stack, *board.Knowledge, error) {
	content, err := b.known(StackSubject(name))
	if err != nil {
		return nil, nil, err
	}
	return content.Stack, content.Knowledge, nil
}

// Stated is what is known about a board or stack but for its jobs, of which
// there may be thousands, and of a stack the stack itself.
func (b *Base) Stated(_ context.Context, s Subject) (*board.Stack, *board.Knowledge, error) {
	content, err := b.stated(s, func(reader, *board.Knowledge) error { return nil })
	if err != nil {
		return nil, nil, err
	}
	return content.Stack, content.Knowledge, nil
}

func (b *Base) known(s Subject) (*sheet.Content, error) {
	return b.stated(s, func(r reader, k *board.Knowledge) error {
		if !s.Stack && s.kind() != kindBoard {
			return nil
		}
		return addJobs(r, s, k)
	})
}

func (b *Base) stated(s Subject, more func(reader, *board.Knowledge) error) (*sheet.Content, error) {
	var content *sheet.Content
	err := b.kv.view(func(r reader) error {
		rec, err := current(r, s)
		if err != nil {
			return err
		}
		if content, err = readKnown(r, rec); err == nil {
			err = more(r, content.Knowledge)
		}
		return err
	})
	return content, err
}

// current returns the record of a subject of which something holds.
func current(r reader, s Subject) (subjectRecord, error) {
	rec, err := subject(r, s)
	if err == nil && rec.View == 0 {
		err = ErrUnknownSubject
	}
	return rec, err
}

func readKnown(r reader, rec subjectRecord) (*sheet.Content, error) {
	text, err := r.get(viewKey(rec.ID, rec.View, partKnown))
	if err != nil {
		return nil, missingView(err, Subject{Ref: rec.Summary.Ref})
	}
	return readText(text, rec.Summary.Ref)
}

// readText reads a sheet that the base has written of something.
func readText(text []byte, of board.Ref) (*sheet.Content, error) {
	file, list := sheet.Parse("the knowledge base", text)
	content, more := sheet.Read(file)
	if err := append(list, more...).Err(); err != nil {
		return nil, errDamaged("what is known of %s: %v", of, err)
	}
	if content.Knowledge == nil {
		content.Knowledge = &board.Knowledge{}
	}
	return content, nil
}

func missingView(err error, s Subject) error {
	if errors.Is(err, errNoKey) {
		return errDamaged("the view of %s is missing", s)
	}
	return err
}

// Export writes the canonical sheet of a subject.
func (b *Base) Export(ctx context.Context, s Subject, w io.Writer) error {
	content, err := b.known(s)
	if err != nil {
		return err
	}
	switch {
	case s.Job:
		return b.exportJob(s, content, w)
	case s.kind() == kindBoard:
		if content.Board, err = b.Board(ctx, s.Ref); err != nil {
			return err
		}
	}
	_, err = w.Write(sheet.Write(content))
	return err
}

// Hash returns the content hash of a subject.
func (b *Base) Hash(s Subject) (string, error) {
	var hash string
	err := b.kv.view(func(r reader) error {
		rec, err := current(r, s)
		hash = rec.Summary.Hash
		return err
	})
	return hash, err
}

// Subjects lists what the base holds: boards, then stacks, then the questions, the
// meters and the chances.
// Jobs are listed by Jobs.
func (b *Base) Subjects() ([]Subject, error) {
	return b.subjects(true, kindBoard, kindStack, kindQuestion, kindMeter, kindChance)
}

// Removed lists what the base held and holds no more, boards first, jobs last. Of
// these it keeps the history.
func (b *Base) Removed() ([]Subject, error) { return b.subjects(false, kinds...) }

// subjects lists those of which something holds, or those of which nothing does.
func (b *Base) subjects(held bool, kinds ...byte) ([]Subject, error) {
	var all []Subject
	err := b.kv.view(func(r reader) error {
		return scanKinds(r, kinds, func(key, value []byte) error {
			rec, err := decodeHead(value)
			if err != nil || (rec.View != 0) != held {
				return err
			}
			s, err := subjectOfKey(key)
			all = append(all, s)
			return err
		})
	})
	slices.SortStableFunc(all, compareSubjects)
	return all, err
}

func compareSubjects(x, y Subject) int {
	return cmp.Or(cmp.Compare(x.rank(), y.rank()), compareRefs(x.Ref, y.Ref))
}

// rank is the place of the sort of subject in a list.
func (s Subject) rank() int {
	switch {
	case s.Job:
		return 5
	case s.Chances:
		return 4
	case s.Meters:
		return 3
	case s.Questions:
		return 2
	case s.Stack:
		return 1
	}
	return 0
}

// History lists the changes to a subject, also to one that was removed, oldest
// first.
func (b *Base) History(s Subject) ([]Event, error) {
	var events []Event
	err := b.kv.view(func(r reader) error {
		rec, err := subject(r, s)
		if err != nil {
			return err
		}
		done, err := batches(r, rec.ID)
		for _, d := range done {
			events = append(events, d.Event)
		}
		return err
	})
	return events, err
}
