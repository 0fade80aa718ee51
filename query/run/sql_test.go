package run_test

import (
	"database/sql"
	"math/rand"
	"testing"

	"github.com/google/go-cmp/cmp"

	"netlore/query/check"
	"netlore/query/plan"
	"netlore/query/words"
	"netlore/store/board"
	"netlore/store/sheet"
)

// TestRandomQuestionsAgreeWithSQL writes random questions on random boards as
// SQL and compares both bounds. A board on which they differ is made smaller as
// long as they do, and printed as a sheet.
func TestRandomQuestionsAgreeWithSQL(t *testing.T) {
	boards := 2000
	if testing.Short() {
		boards = 150
	}
	db := writerDatabase(t)
	rows, asked := 0, 0
	for seed := range int64(boards) {
		r := rand.New(rand.NewSource(seed))
		b := randomBoard(r, 3+r.Intn(12), pick(r, 0, 20, 40))
		fill(t, db, b)
		for range 4 {
			text := asker{r}.any(2)
			q := typed(text, b, nil)
			if q == nil {
				continue
			}
			asked++
			want, got := bySQL(t, db, q, b), boundsOf(q, plan.Options{})
			rows += len(want.certain)
			if cmp.Equal(want, got, exported) {
				continue
			}
			differs := func(b *board.Board) bool {
				q := typed(text, b, nil)
				if q == nil {
					return false
				}
				fill(t, db, b)
				return !cmp.Equal(bySQL(t, db, q, b), boundsOf(q, plan.Options{}), exported)
			}
			small := shrunk(b, differs)
			q = typed(text, small, nil)
			fill(t, db, small)
			t.Fatalf("seed %d: %s: by SQL, then ours:\n%s\n%s", seed, text, cmp.Diff(bySQL(t, db, q, small), boundsOf(q, plan.Options{}), exported), sheet.WriteBoard(small))
		}
	}
	if asked < 2*boards || rows < boards {
		t.Errorf("%d questions gave %d rows on %d boards: too few to compare", asked, rows, boards)
	}
}

func bySQL(t *testing.T, db *sql.DB, q *check.Question, b *board.Board) bounds {
	t.Helper()
	w := &sqlWriter{n: naive{b: b, known: &naiveCopper{}, found: map[*check.Trace]*naiveTrace{}}}
	currentWriter = w
	text := w.question(q)
	rows, err := db.Query(text)
	if err != nil {
		t.Fatal(text, err)
	}
	defer rows.Close()
	found := bounds{map[string]bool{}, map[string]bool{}}
	for rows.Next() {
		var name string
		var truth int
		if err := rows.Scan(&name, &truth); err != nil {
			t.Fatal(err)
		}
		if truth > 0 {
			found.possible[name] = true
		}
		if truth == 2 {
			found.certain[name] = true
		}
	}
	if err := rows.Err(); err != nil {
		t.Fatal(text, err)
	}
	return found
}

func writerDatabase(t *testing.T) *sql.DB {
	t.Helper()
	db, err := sql.Open("sqlite", ":memory:")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { db.Close() })
	db.SetMaxOpenConns(1) // each connection has a memory of its own
	if _, err := db.Exec(`
		create table part(id integer primary key, name text);
		create table net(id integer primary key, name text);
		create table pin(id integer primary key, name text, part int, net int);
		create table pad(id integer primary key, name text, net int, grp text);
		create table cover(id integer primary key, name text);
		create table branch(id integer primary key, name text, net int);`); err != nil {
		t.Fatal(err)
	}
	return db
}

// fill puts a board into the database in place of the one before.
func fill(t *testing.T, db *sql.DB, b *board.Board) {
	t.Helper()
	tx, err := db.Begin()
	if err != nil {
		t.Fatal(err)
	}
	put := func(query string, n int, args func(i int) []any) {
		stmt, err := tx.Prepare(query)
		if err != nil {
			t.Fatal(query, err)
		}
		defer stmt.Close()
		for i := range n {
			if _, err := stmt.Exec(args(i)...); err != nil {
				t.Fatal(query, err)
			}
		}
	}
	for _, table := range sqlTables {
		put("delete from "+table, 1, func(int) []any { return nil })
	}
	put("insert into part values(?,?)", len(b.Parts), func(i int) []any { return []any{i, b.Parts[i].Name} })
	put("insert into net values(?,?)", len(b.Nets), func(i int) []any { return []any{i, b.Nets[i].Name} })
	put("insert into pin values(?,?,?,?)", len(b.Pins), func(i int) []any {
		return []any{i, b.PinName(board.PinID(i)), int(b.Pins[i].Part), sqlID(b.Pins[i].Net)}
	})
	put("insert into pad values(?,?,?,?)", len(b.Pads), func(i int) []any { return []any{i, b.Pads[i].Name, sqlID(b.Pads[i].Net), b.Pads[i].Group} })
	put("insert into cover values(?,?)", len(b.Covers), func(i int) []any { return []any{i, b.Covers[i].Name} })
	pieces := b.Copper().Pieces
	put("insert into branch values(?,?,?)", len(pieces), func(i int) []any { return []any{i, pieces[i].Name, sqlID(pieces[i].Net)} })
	if err := tx.Commit(); err != nil {
		t.Fatal(err)
	}
}

// shrunk leaves out one thing after the other as long as the board stays as bad.
func shrunk(b *board.Board, bad func(*board.Board) bool) *board.Board {
	for again := true; again; {
		again = false
		for _, noun := range []words.Noun{words.Parts, words.Pads, words.Covers, words.Branches} {
			for id := naively(b).count(noun) - 1; id >= 0; id-- {
				if less := without(b, noun, id); bad(less) {
					b, again = less, true
				}
			}
		}
	}
	return b
}

// without is a board less one thing, and less what is said of that.
func without(b *board.Board, noun words.Noun, id int) *board.Board {
	gone := func(n words.Noun, i int) bool { return n == noun && i == id }
	bu := board.NewBuilder(b.Ref)
	bu.Board().Size = b.Size
	for _, net := range b.Nets {
		*bu.NetAt(bu.Net(net.Name)) = net
	}
	for i, part := range b.Parts {
		if !gone(words.Parts, i) {
			*bu.PartAt(bu.Part(part.Name)) = part
		}
	}
	for i, pad := range b.Pads {
		if !gone(words.Pads, i) {
			if pad.Net != board.None {
				pad.Net = bu.Net(b.Nets[pad.Net].Name)
			}
			*bu.PadAt(bu.Pad(pad.Name)) = pad
		}
	}
	for _, pin := range b.Pins {
		if gone(words.Parts, int(pin.Part)) {
			continue
		}
		id := bu.Pin(bu.Part(b.Parts[pin.Part].Name), pin.Name)
		if pin.Net != board.None {
			bu.Connect(id, bu.Net(b.Nets[pin.Net].Name))
		}
	}
	groupsWithout(b, bu, gone)
	return bu.Build()
}

// groupsWithout adds the covers and branches.
func groupsWithout(b *board.Board, bu *board.Builder, gone func(words.Noun, int) bool) {
	for i, c := range b.Covers {
		if gone(words.Covers, i) {
			continue
		}
		parts, pads := c.Parts, c.Pads
		c.Part, c.Parts, c.Pads = board.None, nil, nil
		for _, p := range parts {
			if !gone(words.Parts, int(p)) {
				c.Parts = append(c.Parts, bu.Part(b.Parts[p].Name))
			}
		}
		for _, p := range pads {
			if !gone(words.Pads, int(p)) {
				c.Pads = append(c.Pads, bu.Pad(b.Pads[p].Name))
			}
		}
		*bu.CoverAt(bu.Cover(c.Name)) = c
	}
	for i, x := range b.Branches {
		if gone(words.Branches, i) {
			continue
		}
		pins, pads := x.Pins, x.Pads
		x.Net, x.Pins, x.Pads = bu.Net(b.Nets[x.Net].Name), nil, nil
		for _, p := range pins {
			if part := b.Pins[p].Part; !gone(words.Parts, int(part)) {
				x.Pins = append(x.Pins, bu.Pin(bu.Part(b.Parts[part].Name), b.Pins[p].Name))
			}
		}
		for _, p := range pads {
			if !gone(words.Pads, int(p)) {
				x.Pads = append(x.Pads, bu.Pad(b.Pads[p].Name))
			}
		}
		*bu.BranchAt(bu.Branch(x.Name)) = x
	}
}
