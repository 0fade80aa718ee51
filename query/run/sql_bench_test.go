package run_test

import (
	"context"
	"database/sql"
	"fmt"
	"strings"
	"testing"

	_ "modernc.org/sqlite"

	"netlore/query/check"
	"netlore/query/run"
	"netlore/store/board"
)

// sqlDriver is the database that BenchmarkAgainstSQL compares with; a build with
// the tag cgosqlite adds the one written in C.
var sqlDrivers = []string{"sqlite"}

// BenchmarkAgainstSQL asks the same board the same things here and in an
// embedded SQL database, to the last column of the answer. The database has an
// index for every join, the natural order as a number, and, as geometry is not
// its business, what lies under what worked out beforehand; only for what lies
// near a part does it search its R-tree. Its statements are prepared.
func BenchmarkAgainstSQL(b *testing.B) {
	rails := supplyBoard(5000)
	large := largeBoard(5000)
	for _, c := range sqlBenchmarks {
		large := large
		if strings.HasPrefix(c.name, "Q12") {
			large = rails
		}
		q := ask(b, c.ask, large)
		want := len(run.Run(context.Background(), q, run.Options{}).Rows)
		b.Run(c.name+"/netlore", func(b *testing.B) { benchmarkOwn(b, q, want) })
		for _, driver := range sqlDrivers {
			db := benchDatabase(b, driver, large)
			b.Run(c.name+"/"+driver, func(b *testing.B) { benchmarkSQL(b, db, c.sql, want) })
			db.Close()
		}
	}
}

var sqlBenchmarks = []struct{ name, ask, sql string }{
	{"Q3 under a shield", "parts on VMAIN under shield or connector", `
		select p.name, p.pico, p.package, p.side, group_concat(distinct c.name), group_concat(distinct c.lift), max(c.minutes), group_concat(distinct c.risk)
		from net n join pin i on i.net=n.id join part p on p.id=i.part join hides h on h.part=p.id join cover c on c.id=h.cover
		where n.name='VMAIN' and c.kind in ('shield','connector') group by p.id order by p.id`},
	{"Q3 on a small net", "parts on N7 under shield or connector", `
		select p.name, p.pico, p.package, p.side, group_concat(distinct c.name), group_concat(distinct c.lift), max(c.minutes), group_concat(distinct c.risk)
		from net n join pin i on i.net=n.id join part p on p.id=i.part join hides h on h.part=p.id join cover c on c.id=h.cover
		where n.name='N7' and c.kind in ('shield','connector') group by p.id order by p.id`},
	{"Q6 on two nets", "parts on VMAIN and on GND", `
		select p.name, p.class, p.pico, p.package, p.side, (select group_concat(c.name) from hides h join cover c on c.id=h.cover where h.part=p.id)
		from part p where p.id in (select i.part from net n join pin i on i.net=n.id where n.name='VMAIN')
		and p.id in (select i.part from net n join pin i on i.net=n.id where n.name='GND') order by p.id`},
	{"Q9 near a part", "parts within 3mm of C77", `
		select p.name, p.class, p.pico, p.package, p.side, (select group_concat(c.name) from hides h join cover c on c.id=h.cover where h.part=p.id), b.x1, b.y1
		from place b join part p on p.id=b.id, (select x1, x2, y1, y2, side, part.id from place join part on part.id=place.id where part.name='C77') u
		where b.x1 <= u.x2+3000 and b.x2 >= u.x1-3000 and b.y1 <= u.y2+3000 and b.y2 >= u.y1-3000 and p.side=u.side and p.id<>u.id
		and max(b.x1-u.x2, u.x1-b.x2, 0)*max(b.x1-u.x2, u.x1-b.x2, 0) + max(b.y1-u.y2, u.y1-b.y2, 0)*max(b.y1-u.y2, u.y1-b.y2, 0) <= 9000000 order by p.id`},
	{"Q12 joined nets", "nets joined to VMAIN through inductors, beads, fuses or 0ohm", `
		with recursive reach(net) as (select id from net where name='VMAIN' union
			select o.net from reach r join pin i on i.net=r.net join part p on p.id=i.part join pin o on o.part=p.id
			where p.class in ('inductor','bead','fuse') or p.class='resistor' and p.pico=0)
		select n.name, count(distinct i.part) from reach r join net n on n.id=r.net join pin i on i.net=n.id group by n.id order by n.id`},
}

// supplyBoard has rails that branch off through inductors, beads and fuses, three
// from each, down to the ninth; loads hang on all of them.
func supplyBoard(parts int) *board.Board {
	bu := board.NewBuilder(board.Ref{Name: "Heron-S"})
	rails := parts / 20
	rail := func(i int) board.NetID {
		if i == 0 {
			return bu.Net("VMAIN")
		}
		return bu.Net(fmt.Sprintf("V%d", i))
	}
	for i := range parts {
		letters, from, to := "C", rail(i%rails), bu.Net("GND")
		if i > 0 && i < rails {
			letters, from, to = []string{"L", "FB", "F"}[i%3], rail((i-1)/3), rail(i)
		}
		id := bu.Part(fmt.Sprintf("%s%d", letters, i+1))
		bu.Connect(bu.Pin(id, "1"), from)
		bu.Connect(bu.Pin(id, "2"), to)
	}
	bu.NetAt(bu.Net("GND")).Kind = board.Ground
	return bu.Build()
}

const benchTables = `
create table part(id integer primary key, name text unique, class text, pico integer, package text, side text);
create table net(id integer primary key, name text unique);
create table pin(part int, net int);
create table cover(id integer primary key, name text, kind text, lift text, minutes real, risk text);
create table hides(part int, cover int);
create virtual table place using rtree_i32(id, x1, x2, y1, y2);
`

const benchIndexes = `
create index pin_net on pin(net, part);
create index pin_part on pin(part, net);
create index hides_part on hides(part, cover);
analyze;
`

// benchDatabase holds the board. Parts are numbered in natural order.
func benchDatabase(b *testing.B, driver string, brd *board.Board) *sql.DB {
	b.Helper()
	db, err := sql.Open(driver, ":memory:")
	if err != nil {
		b.Fatal(err)
	}
	db.SetMaxOpenConns(1)
	exec := func(query string, args ...any) {
		if _, err := db.Exec(query, args...); err != nil {
			b.Fatal(query, err)
		}
	}
	exec(benchTables)
	exec("begin")
	for i := range brd.Parts {
		p := &brd.Parts[i]
		exec("insert into part values(?,?,?,?,?,?)", i, p.Name, p.Class.String(), sqlNumber(p.Value, 1e12), p.Package, p.Side.String())
		box, _ := brd.PartBounds(board.PartID(i))
		exec("insert into place values(?,?,?,?,?)", i, box.Min.X, box.Max.X, box.Min.Y, box.Max.Y)
		for c := range brd.Covers {
			if brd.CoversPart(board.CoverID(c), board.PartID(i)).Truth == board.True {
				exec("insert into hides values(?,?)", i, c)
			}
		}
	}
	for i, n := range brd.Nets {
		exec("insert into net values(?,?)", i, n.Name)
	}
	for _, p := range brd.Pins {
		exec("insert into pin values(?,?)", p.Part, sqlID(p.Net))
	}
	for i, c := range brd.Covers {
		exec("insert into cover values(?,?,?,?,?,?)", i, c.Name, c.Kind.String(), c.Lift, sqlNumber(c.Minutes, 1./60), c.Risk.String())
	}
	exec("commit")
	exec(benchIndexes)
	return db
}

func benchmarkOwn(b *testing.B, q *check.Question, want int) {
	b.ReportAllocs()
	for b.Loop() {
		if a := run.Run(context.Background(), q, run.Options{}); len(a.Rows) != want {
			b.Fatalf("%d rows, want %d", len(a.Rows), want)
		}
	}
}

func benchmarkSQL(b *testing.B, db *sql.DB, query string, want int) {
	stmt, err := db.Prepare(query)
	if err != nil {
		b.Fatal(err)
	}
	defer stmt.Close()
	b.ReportAllocs()
	for b.Loop() {
		if got := sqlRows(b, stmt); got != want {
			b.Fatalf("%d rows, want %d", got, want)
		}
	}
}

// sqlRows reads all columns of all rows, as whoever prints them must.
func sqlRows(b *testing.B, stmt *sql.Stmt) (n int) {
	rows, err := stmt.Query()
	if err != nil {
		b.Fatal(err)
	}
	defer rows.Close()
	columns, err := rows.Columns()
	if err != nil {
		b.Fatal(err)
	}
	cells := make([]any, len(columns))
	for i := range cells {
		cells[i] = new(any)
	}
	for ; rows.Next(); n++ {
		if err := rows.Scan(cells...); err != nil {
			b.Fatal(err)
		}
	}
	if err := rows.Err(); err != nil {
		b.Fatal(err)
	}
	return n
}
