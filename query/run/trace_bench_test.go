package run_test

import (
	"context"
	"database/sql"
	"fmt"
	"testing"

	"netlore/query/check"
	"netlore/query/run"
	"netlore/store/board"
)

// railBoard has n parts, of which one in twenty is in series in the supply: the
// rail VMAIN feeds ten rails by an inductor each, these feed rails behind beads,
// and so on. All others hang on a rail and on ground, or tie two signals. The
// rail comes in by the pads P1 to P4, and each of the first ten rails has pads
// of its own.
func railBoard(n int) *board.Board {
	bu := board.NewBuilder(board.Ref{Name: "Plover-A"})
	gnd, main := bu.Net("GND"), bu.Net("VMAIN")
	bu.NetAt(gnd).Kind, bu.NetAt(main).Kind = board.Ground, board.Power
	bu.Connect(bu.Pin(bu.Part("U1"), "1"), main)
	bu.PartAt(bu.Part("U1")).Class = board.Charger
	rails := []board.NetID{main}
	for i := range n {
		switch {
		case i%20 == 0:
			rail := bu.Net(fmt.Sprintf("V%d", len(rails)))
			bu.NetAt(rail).Kind = board.Power
			p := bu.Part(fmt.Sprintf("%s%d", []string{"L", "FB"}[i/20%2], i))
			bu.Connect(bu.Pin(p, "1"), rails[(len(rails)-1)/10])
			bu.Connect(bu.Pin(p, "2"), rail)
			rails = append(rails, rail)
		case i%3 == 0:
			p := bu.Part(fmt.Sprintf("R%d", i))
			bu.PartAt(p).Value = board.MustQuantity("4.7kohm")
			bu.Connect(bu.Pin(p, "1"), bu.Net(fmt.Sprintf("S%d", i/6)))
			bu.Connect(bu.Pin(p, "2"), bu.Net(fmt.Sprintf("S%d", i/5)))
		default:
			p := bu.Part(fmt.Sprintf("C%d", i))
			bu.PartAt(p).Value = board.MustQuantity("10uF")
			bu.Connect(bu.Pin(p, "1"), rails[i%len(rails)])
			bu.Connect(bu.Pin(p, "2"), gnd)
		}
	}
	return bu.Build()
}

var traceBenchmarks = []struct{ name, ask, sql string }{
	{"Q12 joined", "nets joined to VMAIN through inductors, beads, fuses or 0ohm", `
		with recursive r(net) as (select id from net where name='VMAIN' union
			select j.net from r join net n on n.id=r.net join pin i on i.net=r.net join part p on p.id=i.part join pin j on j.part=i.part
			where n.kind<>'ground' and j.net<>r.net and (p.class in ('inductor','bead','fuse') or p.pico=0 and p.class='resistor'))
		select n.name, n.kind, (select count(distinct part) from pin where pin.net=n.id) from r join net n on n.id=r.net group by n.id order by n.id`},
	{"Q15 fed only by", "parts fed only by L0", `
		with recursive fed(net) as (select i.net from part p join pin i on i.part=p.id where p.class='charger' union
			select j.net from fed r join net n on n.id=r.net join pin i on i.net=r.net join part p on p.id=i.part join pin j on j.part=i.part
			where n.kind<>'ground' and j.net<>r.net and (p.class in ('inductor','bead','fuse') or p.pico=0 and p.class='resistor')),
		stays(net) as (select i.net from part p join pin i on i.part=p.id where p.class='charger' union
			select j.net from stays r join net n on n.id=r.net join pin i on i.net=r.net join part p on p.id=i.part join pin j on j.part=i.part
			where n.kind<>'ground' and j.net<>r.net and p.name<>'L0' and (p.class in ('inductor','bead','fuse') or p.pico=0 and p.class='resistor'))
		select p.name, p.class, p.pico, p.package, p.side from part p where
			exists(select 1 from pin i join fed on fed.net=i.net join net n on n.id=i.net where i.part=p.id and n.kind<>'ground') and
			not exists(select 1 from pin i join stays on stays.net=i.net join net n on n.id=i.net where i.part=p.id and n.kind<>'ground') order by p.id`},
}

// BenchmarkTrace shows how the time of a trace grows with the board, beside
// nested loops and the SQL of an embedded database with an index for each join.
// The SQL tells no steps: counting them, it would not end on a ring.
func BenchmarkTrace(b *testing.B) {
	for _, parts := range []int{500, 2000, 8000, 32000} {
		large := railBoard(parts)
		for _, c := range traceBenchmarks {
			q := ask(b, c.ask, large)
			want := len(run.Run(context.Background(), q, run.Options{Rows: 1 << 20}).Rows)
			name := fmt.Sprintf("%s/%dparts/", c.name, parts)
			b.Run(name+"netlore", func(b *testing.B) {
				b.ReportAllocs()
				for b.Loop() {
					if a := run.Run(context.Background(), q, run.Options{Rows: 1 << 20}); len(a.Rows) != want {
						b.Fatalf("%d rows, want %d", len(a.Rows), want)
					}
				}
			})
			if r := q.Set.(*check.Select).Where.(check.Related); r.Trace.From == nil && parts <= 2000 && c.name[:3] == "Q12" {
				b.Run(name+"loops", func(b *testing.B) { benchmarkLoops(b, large, q, want) })
			}
			db := traceDatabase(b, large)
			b.Run(name+"sqlite", func(b *testing.B) { benchmarkSQL(b, db, c.sql, want) })
			db.Close()
		}
	}
}

func benchmarkLoops(b *testing.B, large *board.Board, q *check.Question, want int) {
	for b.Loop() {
		if got := len(naive{b: large}.answer(q).certain); got != want {
			b.Fatalf("%d rows, want %d", got, want)
		}
	}
}

// traceDatabase holds what a trace needs of a board.
func traceDatabase(b *testing.B, brd *board.Board) *sql.DB {
	b.Helper()
	db, err := sql.Open("sqlite", ":memory:")
	if err != nil {
		b.Fatal(err)
	}
	db.SetMaxOpenConns(1)
	exec := func(query string, args ...any) {
		if _, err := db.Exec(query, args...); err != nil {
			b.Fatal(query, err)
		}
	}
	exec(`create table part(id integer primary key, name text unique, class text, pico integer, package text, side text);
		create table net(id integer primary key, name text unique, kind text);
		create table pin(part int, net int); begin`)
	for i, p := range brd.Parts {
		exec("insert into part values(?,?,?,?,?,?)", i, p.Name, p.Class.String(), sqlNumber(p.Value, 1e12), p.Package, p.Side.String())
	}
	for i, n := range brd.Nets {
		exec("insert into net values(?,?,?)", i, n.Name, n.Kind.String())
	}
	for _, p := range brd.Pins {
		exec("insert into pin values(?,?)", p.Part, sqlID(p.Net))
	}
	exec("commit; create index pin_net on pin(net, part); create index pin_part on pin(part, net); analyze")
	return db
}
