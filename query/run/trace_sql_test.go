package run_test

import (
	"database/sql"
	"fmt"
	"math/rand"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"netlore/query/plan"
	"netlore/store/board"
)

// Traces in SQL, as recursive queries over the tables of parts, nets and pins:
// what a trace passes, and how surely, is worked out by the database, too. The
// boards have no branches and no tracks, so that a piece of copper is a net.

// sqlPasses are kinds of parts to pass, and how true it is in SQL that a part is
// one of them: 2 it is, 1 it may be, 0 it is not. More than two nets at a part
// that is not passed whatever is inside leave it open.
var sqlPasses = []struct{ ask, truth string }{
	{"", sqlInside(`max(` + sqlClass("inductor") + `, ` + sqlClass("bead") + `, ` + sqlClass("fuse") + `, ` + sqlZero + `)`)},
	{" through resistors", sqlInside(sqlClass("resistor"))},
	{" through resistors below 100ohm or beads", sqlInside(`max(` + sqlClass("bead") + `, min(` + sqlClass("resistor") + `, ` + sqlBelow + `))`)},
	{" through any", `2`},
	{" through any below 100ohm", sqlInside(`min(2, ` + sqlBelow + `)`)},
}

const (
	sqlZero  = `(case when p.pico is not null then 2*(p.unit='ohm' and p.pico=0) when p.class is null or p.class in ('resistor','bead','thermistor','network') then 1 else 0 end)`
	sqlBelow = `(case when p.class in ('capacitor','crystal') then 0 when p.pico is null or p.unit<>'ohm' or p.class='bead' then 1 else 2*(p.pico < 100000000000000) end)`
	sqlNets  = `(select count(distinct i.net) from pin i where i.part=p.id and i.net is not null)`
)

func sqlClass(class string) string {
	return `(case when p.class is null then 1 when p.class='` + class + `' then 2 else 0 end)`
}

func sqlInside(truth string) string {
	return `min(` + truth + `, case when ` + sqlNets + ` > 2 then 1 else 2 end)`
}

// sqlReach is the nets that a trace leads to from seeds, at :least or, with swap,
// as if :least were the other bound. Cut is a condition on the parts that are
// passed.
func sqlReach(name, seeds, truth, cut string, swap bool) string {
	least := ":least"
	if swap {
		least = "(3 - :least)"
	}
	ends := `exists(select 1 from net n where n.id=r.net and (n.kind='ground' or n.kind is null and ` + least + `=2 and not exists(select 1 from net g where g.kind='ground')))`
	return name + `(net) as (` + seeds + ` union select j.net from ` + name + ` r join pin i on i.net=r.net join part p on p.id=i.part join pin j on j.part=i.part
		where j.net is not null and ` + truth + ` >= ` + least + ` and ` + cut + ` and (not ` + ends + ` or r.net in (` + seeds + `)))`
}

const mainSeed = `select id from net where name='VMAIN'`

func sqlJoined(truth string) string {
	return `with recursive ` + sqlReach("reached", mainSeed, truth, "1", false) + ` select distinct n.name from reached join net n on n.id=reached.net`
}

// sqlFedOnly gives what is certainly dead without U1: a net of it is surely fed
// before, none may be fed afterwards. Nets that are or may be ground do not
// count as fed.
func sqlFedOnly(truth string) string {
	ground := `(coalesce(n.kind,'')='ground' or n.kind is null and not exists(select 1 from net g where g.kind='ground'))`
	return `with recursive ` + sqlReach("fed", mainSeed, truth, "1", false) + `, ` + sqlReach("stays", mainSeed, truth, "p.name<>'U1'", true) + `
		select p.name from part p where exists(select 1 from pin i join fed on fed.net=i.net join net n on n.id=i.net where i.part=p.id and not ` + ground + ` and i.net not in (select net from stays))
		and not exists(select 1 from pin i join stays on stays.net=i.net join net n on n.id=i.net where i.part=p.id and coalesce(n.kind,'')<>'ground')`
}

// TestTracesAgreeWithSQL compares traces on 2,000 random boards.
func TestTracesAgreeWithSQL(t *testing.T) {
	boards, rows := 2000, map[string]int{}
	if testing.Short() {
		boards = 60
	}
	for seed := range int64(boards) {
		r := rand.New(rand.NewSource(seed))
		b := copied(randomBoard(r, 3+r.Intn(20), pick(r, 0, 15, 40)))
		b.Branches, b.Tracks = nil, nil
		inSeries(r, b)
		db := traceOracle(t, b)
		for _, p := range sqlPasses {
			for _, c := range []struct{ ask, sql string }{
				{"nets joined to VMAIN" + p.ask, sqlJoined(p.truth)},
				{"parts fed only by U1 from VMAIN" + p.ask, sqlFedOnly(p.truth)},
			} {
				q := typed(c.ask, b, nil)
				if q == nil {
					t.Fatalf("seed %d: %s is refused", seed, c.ask)
				}
				got := boundsOf(q, plan.Options{})
				want := bounds{certain: oracleNames(t, db, c.sql, board.True), possible: got.possible}
				if strings.HasPrefix(c.ask, "nets") {
					want.possible = oracleNames(t, db, c.sql, board.Unknown)
				}
				if d := cmp.Diff(want, got, exported); d != "" {
					t.Fatalf("seed %d: %s\n%s\n%s", seed, c.ask, d, boardText(b))
				}
				rows[c.ask] += len(want.certain)
			}
		}
		db.Close()
	}
	for ask, n := range rows {
		if n < boards/20 {
			t.Errorf("%s had %d rows on %d boards: too few to compare", ask, n, boards)
		}
	}
}

// inSeries makes U1 a part between VMAIN and another net, so that something hangs
// on it.
func inSeries(r *rand.Rand, b *board.Board) {
	id := b.FindPart("U1")
	part := &b.Parts[id]
	part.Class = pick(r, board.Inductor, board.Resistor, board.Bead, board.Chip)
	if part.Class.ValueUnit() == board.Ohm {
		part.Value = board.MustQuantity("10ohm")
	}
	first, last := b.PinsOf(id)
	for pin := first; pin < last; pin++ {
		b.Pins[pin].Net = board.None
	}
	b.Pins[first].Net = b.FindNet("VMAIN")
	if first+1 < last {
		b.Pins[first+1].Net = board.NetID(r.Intn(len(b.Nets)))
	}
	assembled(b)
}

// boardText is the nets and parts of a board, for a failure.
func boardText(b *board.Board) string {
	var s strings.Builder
	for i, n := range b.Nets {
		fmt.Fprintf(&s, "net %s %s:", n.Name, n.Kind)
		for _, pin := range b.PinsOn(board.NetID(i)) {
			fmt.Fprintf(&s, " %s", b.PinName(pin))
		}
		s.WriteByte('\n')
	}
	for _, p := range b.Parts {
		fmt.Fprintf(&s, "part %s %s %s\n", p.Name, p.Class, p.Value)
	}
	return s.String()
}

// traceOracle puts what a trace needs of a board into a database.
func traceOracle(t *testing.T, b *board.Board) *sql.DB {
	db, err := sql.Open("sqlite", ":memory:")
	if err != nil {
		t.Fatal(err)
	}
	db.SetMaxOpenConns(1)
	exec := func(query string, args ...any) {
		if _, err := db.Exec(query, args...); err != nil {
			t.Fatal(query, err)
		}
	}
	exec(`create table part(id integer primary key, name text, class text, unit text, pico integer);
		create table net(id integer primary key, name text, kind text); create table pin(part int, net int); begin`)
	for i, p := range b.Parts {
		exec("insert into part values(?,?,?,?,?)", i, p.Name, sqlWord(p.Class.String()), p.Value.Unit.String(), sqlNumber(p.Value, 1e12))
	}
	for i, n := range b.Nets {
		exec("insert into net values(?,?,?)", i, n.Name, sqlWord(n.Kind.String()))
	}
	for _, p := range b.Pins {
		exec("insert into pin values(?,?)", p.Part, sqlID(p.Net))
	}
	exec("commit")
	return db
}
