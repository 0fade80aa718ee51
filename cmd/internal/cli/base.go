package cli

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/user"
	"slices"
	"strings"
	"time"

	"netlore/store"
	"netlore/store/board"
)

// where is the folder of the knowledge base.
func (a *app) where() (string, error) {
	if a.baseDir != "" {
		return a.baseDir, nil
	}
	if dir := store.Dir(a.Getenv); dir != "" {
		return dir, nil
	}
	return "", fail(exitBase, hint(errors.New("there is no home folder to keep a knowledge base in"), "name a folder with --base"))
}

// read opens the base for questions, and closes it after use.
func (a *app) reading(ctx context.Context, use func(*store.Base) error) error {
	return a.withBase(ctx, true, use)
}

// writing opens the base for changes, and closes it after use.
func (a *app) writing(ctx context.Context, use func(*store.Base) error) error {
	return a.withBase(ctx, false, use)
}

// withdrawing is writing to a base that is there: to withdraw something must not
// make one.
func (a *app) withdrawing(ctx context.Context, use func(*store.Base) error) error {
	dir, err := a.where()
	if err != nil {
		return err
	}
	if _, err := os.Stat(dir); err != nil {
		return baseError(dir, store.ErrNoBase)
	}
	return a.writing(ctx, use)
}

func (a *app) withBase(ctx context.Context, readOnly bool, use func(*store.Base) error) error {
	dir, err := a.where()
	if err != nil {
		return err
	}
	base, err := a.openBase(ctx, dir, readOnly)
	if err != nil {
		return err
	}
	if err = use(base); store.IsBaseError(err) {
		err = baseError(dir, err)
	}
	if closing := base.Close(); err == nil {
		err = closing
	}
	return err
}

func (a *app) openBase(ctx context.Context, dir string, readOnly bool) (*store.Base, error) {
	base, err := store.Open(ctx, dir, store.Options{ReadOnly: readOnly, Wait: a.wait, Now: a.now, Waiting: a.waiting})
	if err != nil {
		return nil, baseError(dir, err)
	}
	return base, nil
}

func (a *app) waiting(held *store.LockedError) {
	if a.json {
		writeJSON(a.Err, map[string]any{"severity": "note", "message": fmt.Sprintf("%s; waiting up to %s", held, a.wait), "help": []string{}})
		return
	}
	a.say("netlore: %s; waiting up to %s", held, a.wait)
}

// baseError adds what to do about a base that cannot be opened.
func baseError(dir string, err error) error {
	var locked *store.LockedError
	var newer *store.NewerError
	var damaged *store.DamagedError
	var access *store.AccessError
	var full *store.FullError
	switch {
	case errors.Is(err, store.ErrNoBase):
		return hint(fmt.Errorf("%w in %s", err, dir), "netlore add FILE makes one", "netlore demo shows what it is for, without one")
	case errors.As(err, &locked):
		return hint(err, "try again when it is done, or wait longer with --wait 30s")
	case errors.As(err, &newer):
		return hint(err, "use the newer netlore that wrote it")
	case errors.As(err, &damaged):
		return hint(err, "keep a copy of the folder; sheets that were exported can be added to a new base")
	case errors.As(err, &access):
		return hint(err, "name another folder with --base")
	case errors.As(err, &full):
		return hint(err, "make room on that disk, or name a folder on another one with --base")
	}
	return err
}

// now is the clock. NETLORE_NOW sets it, for examples that must print the same
// every time.
func (a *app) now() time.Time {
	if set, err := time.Parse(time.RFC3339, a.Getenv("NETLORE_NOW")); err == nil {
		return set
	}
	return a.Now()
}

// author is who says what is added: NETLORE_AUTHOR, else the user's name.
func (a *app) author() string {
	if name := a.Getenv("NETLORE_AUTHOR"); name != "" {
		return name
	}
	if u, err := user.Current(); err == nil && u.Username != "" {
		return u.Username
	}
	return "unknown"
}

// find tells which board or stack of the base a user means by a name. Case
// does not count if only one fits. Without a revision the newest is meant.
func find(base *store.Base, name, revision string) (store.Subject, error) {
	subjects, err := base.Subjects()
	if err != nil {
		return store.Subject{}, err
	}
	if s, ok := among(subjects, name, revision); ok {
		return s, nil
	}
	return store.Subject{}, notHeld(subjects, name, revision)
}

// findNamed tells which board, stack or job of the base the words of a command
// line mean.
func findNamed(ctx context.Context, base *store.Base, args []string) (store.Subject, error) {
	if id, ok := jobNamed(args); ok {
		_, err := base.Job(ctx, id)
		return store.JobSubject(id), jobError(ctx, base, id, err)
	}
	name, revision, err := named(args)
	if err != nil {
		return store.Subject{}, err
	}
	return find(base, name, revision)
}

// jobNamed reads the words of a command line as a job: job 1042, which may be
// one word or two.
func jobNamed(args []string) (id string, ok bool) {
	switch {
	case len(args) == 2 && args[0] == "job":
		return args[1], true
	case len(args) == 1:
		return strings.CutPrefix(args[0], "job ")
	}
	return "", false
}

// among finds a board or stack in a list: the last that fits.
func among(subjects []store.Subject, name, revision string) (store.Subject, bool) {
	for _, same := range []func(a, b string) bool{func(a, b string) bool { return a == b }, strings.EqualFold} {
		var found []store.Subject
		for _, s := range subjects {
			if same(subjectName(s), name) && (revision == "" || s.Ref.Revision == revision) && !(s.Shared() && found != nil) {
				found = append(found, s)
			}
		}
		if len(found) > 0 {
			return found[len(found)-1], true
		}
	}
	return store.Subject{}, false
}

// subjectName is how a user names a subject. The saved questions and the meters
// come last in the list of subjects, so that a board of that name comes before
// them.
func subjectName(s store.Subject) string {
	if s.Shared() {
		return s.String()
	}
	return s.Ref.Name
}

func notHeld(subjects []store.Subject, name, revision string) error {
	wanted := board.Ref{Name: name, Revision: revision}.String()
	if !slices.ContainsFunc(subjects, func(s store.Subject) bool { return !s.Shared() }) {
		return fail(exitUsage, hint(fmt.Errorf("the knowledge base holds no board yet, so no %s", wanted), "netlore add FILE puts one in"))
	}
	var held []string
	for _, s := range subjects {
		if !s.Shared() {
			held = append(held, s.Ref.String())
		}
	}
	return fail(exitUsage, hint(fmt.Errorf("%s is not in the knowledge base", wanted), "it holds "+few(held), "netlore boards lists them all"))
}

// named reads the words of a command line as a board or stack: Heron-A, or
// Heron-A rev 3, which may be one word or three.
func named(args []string) (name, revision string, err error) {
	switch {
	case len(args) == 1:
		name, revision, _ = strings.Cut(args[0], " rev ")
		return name, revision, nil
	case len(args) == 3 && args[1] == "rev":
		return args[0], args[2], nil
	}
	return "", "", errors.New("name a board, a board and its revision, or a job: Heron-A rev 3, job 1042")
}
