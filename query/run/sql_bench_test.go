package run_test

import (
	"context"
	"database/sql"
	"fmt"
	"testing"

	_ "modernc.org/sqlite"

	"netlore/query/check"
	"netlore/query/run"
	"netlore/query/value"
	"netlore/store/board"
)

// sqlDrivers are the databases that BenchmarkAgainstSQL compares with; a build
// with the tag cgosqlite adds the one written in C.
var sqlDrivers = []string{"sqlite"}

// BenchmarkAgainstSQL asks the same board the same things here and in an
// embedded SQL database, over boards of four sizes, and reads every cell of the
// answers. The database has an index for every join, the natural order as a
// number, and what lies under what worked out beforehand, as geometry is not its
// business; only for what lies near a part does it search its R-tree. Its
// statements are prepared, and our questions keep their plans. Each statement is
// the quickest of several that were tried. What is made once for a board or a
// question, on either side, is made before the clock starts.
func BenchmarkAgainstSQL(b *testing.B) {
	for _, parts := range []int{500, 2000, 8000, 32000} {
		plain, rails := largeBoard(parts), railBoard(parts)
		for _, driver := range sqlDrivers {
			plainDB, railDB := benchDatabase(b, driver, plain), benchDatabase(b, driver, rails)
			for _, c := range sqlBenchmarks {
				brd, db := plain, plainDB
				if c.rails {
					brd, db = rails, railDB
				}
				q := ask(b, c.ask, brd)
				want := warm(q, parts)
				name := fmt.Sprintf("%s/%dparts/", c.name, parts)
				if driver == sqlDrivers[0] {
					b.Run(name+"netlore", func(b *testing.B) { benchmarkOwn(b, q, want) })
				}
				b.Run(name+driver, func(b *testing.B) { benchmarkSQL(b, db, c.sql, want) })
			}
			plainDB.Close()
			railDB.Close()
		}
	}
}

var everyRow = run.Options{Rows: 1 << 20}

// warm asks a question until what is made once was made, which is when a board
// was asked for as many rows as it has things. It returns the rows of an answer.
func warm(q *check.Question, things int) (rows int) {
	for asked := 0; asked <= 2*things; asked += max(rows, 1) {
		rows = len(run.Run(context.Background(), q, everyRow).Rows)
	}
	return rows
}

// sqlBenchmarks are questions of the catalogue, by their numbers in it. That on
// the rails of a board tells no steps in SQL: counting them, it would not end on
// a ring.
var sqlBenchmarks = []struct {
	name  string
	rails bool // asked of the board whose rails branch off
	ask   string
	sql   string
}{
	{"Q3 under a shield", false, "parts on VMAIN under shield or connector", `
		select p.name, p.pico, p.package, p.side, group_concat(c.name), group_concat(c.lift), max(c.minutes), group_concat(c.risk)
		from hides h join cover c on c.id=h.cover join part p on p.id=h.part
		where exists (select 1 from pin i where i.part=h.part and i.net=(select id from net where name='VMAIN'))
		and c.kind in ('shield','connector') group by h.part order by h.part`},
	{"Q3 on a small net", false, "parts on N7 under shield or connector", `
		select p.name, p.pico, p.package, p.side, group_concat(distinct c.name), group_concat(distinct c.lift), max(c.minutes), group_concat(distinct c.risk)
		from net n join pin i on i.net=n.id join part p on p.id=i.part join hides h on h.part=p.id join cover c on c.id=h.cover
		where n.name='N7' and c.kind in ('shield','connector') group by p.id order by p.id`},
	{"Q6 on two nets", false, "parts on VMAIN and on GND", `
		select p.name, p.class, p.pico, p.package, p.side, ` + sqlCovers + `
		from (select distinct i.part from net n join pin i on i.net=n.id where n.name='VMAIN') m join part p on p.id=m.part
		where exists (select 1 from pin i where i.part=p.id and i.net=(select id from net where name='GND')) order by p.id`},
	{"Q9 near a part", false, "parts within 3mm of C77", `
		with u as materialized (select x1, x2, y1, y2, side, part.id from part join place on part.id=place.id where part.name='C77')
		select p.name, p.class, p.pico, p.package, p.side, ` + sqlCovers + `, ` + sqlApart + `
		from u cross join place b cross join part p on p.id=b.id
		where b.x1 <= u.x2+3000 and b.x2 >= u.x1-3000 and b.y1 <= u.y2+3000 and b.y2 >= u.y1-3000 and p.side=u.side and p.id<>u.id
		and ` + sqlApart + ` <= 9000000 order by p.id`},
	{"Q12 joined nets", true, "nets joined to VMAIN through inductors, beads, fuses or 0ohm", `
		with recursive r(net) as (select id from net where name='VMAIN' union
			select j.net from r join net n on n.id=r.net join pin i on i.net=r.net join part p on p.id=i.part join pin j on j.part=i.part
			where n.kind<>'ground' and j.net<>r.net and ` + sqlCarries + `)
		select n.name, n.kind, (select count(distinct part) from pin where pin.net=n.id) from r join net n on n.id=r.net order by n.id`},
	{"Q15 fed only by", true, "parts fed only by L0", `
		with recursive series(part, a, b) as materialized (select p.id, i.net, o.net from part p join pin i on i.part=p.id join pin o on o.part=p.id
			join net n on n.id=i.net where ` + sqlCarries + ` and o.net<>i.net and n.kind<>'ground'),
		fed(net) as (select i.net from part p join pin i on i.part=p.id where p.class='charger' union
			select s.b from fed join series s on s.a=fed.net),
		stays(net) as (select i.net from part p join pin i on i.part=p.id where p.class='charger' union
			select s.b from stays join series s on s.a=stays.net where s.part<>(select id from part where name='L0'))
		select p.name, p.class, p.pico, p.package, p.side, ` + sqlCovers + ` from part p where
		p.id in (select i.part from fed join pin i on i.net=fed.net join net n on n.id=fed.net where n.kind<>'ground') and
		p.id not in (select i.part from stays join pin i on i.net=stays.net join net n on n.id=stays.net where n.kind<>'ground') order by p.id`},
}

const (
	sqlCovers  = `(select group_concat(c.name) from hides h join cover c on c.id=h.cover where h.part=p.id)`
	sqlCarries = `(p.class in ('inductor','bead','fuse') or p.pico=0 and p.class='resistor')`
	// sqlApart is the square of the distance between two boxes.
	sqlApart = `(max(b.x1-u.x2, u.x1-b.x2, 0)*max(b.x1-u.x2, u.x1-b.x2, 0) + max(b.y1-u.y2, u.y1-b.y2, 0)*max(b.y1-u.y2, u.y1-b.y2, 0))`
)

func benchmarkOwn(b *testing.B, q *check.Question, want int) {
	b.ReportAllocs()
	for b.Loop() {
		a := run.Run(context.Background(), q, everyRow)
		if len(a.Rows) != want || readCells(a) == 0 {
			b.Fatalf("%d rows, want %d", len(a.Rows), want)
		}
	}
	b.ReportMetric(float64(want), "rows/op")
}

// readCells reads all cells of all rows, as whoever prints them must: the text
// of each, or its number.
func readCells(a *run.Answer) (n int64) {
	for i := range a.Rows {
		for k := range a.Rows[i].Cells {
			n += readCell(&a.Rows[i].Cells[k])
		}
	}
	return n
}

func readCell(cell *value.Value) (n int64) {
	switch cell.Kind() {
	case value.Quantity, value.Count:
		q, _ := cell.Quantity()
		return q.Coef
	case value.List:
		for _, item := range cell.Items() {
			n += readCell(&item)
		}
		return n
	}
	return int64(len(cell.Raw()))
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
	b.ReportMetric(float64(want), "rows/op")
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

const benchTables = `
create table part(id integer primary key, name text unique, class text, pico integer, package text, side text);
create table net(id integer primary key, name text unique, kind text);
create table pin(part int, net int);
create table cover(id integer primary key, name text, kind text, lift text, minutes real, risk text);
create table hides(part int, cover int);
create virtual table place using rtree_i32(id, x1, x2, y1, y2);
`

const benchIndexes = `
create index pin_net on pin(net, part);
create index pin_part on pin(part, net);
create index part_class on part(class);
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
		for _, h := range brd.Hiders(board.PartID(i)) {
			if h.Truth == board.True {
				exec("insert into hides values(?,?)", i, h.Cover)
			}
		}
	}
	for i, n := range brd.Nets {
		exec("insert into net values(?,?,?)", i, n.Name, n.Kind.String())
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
