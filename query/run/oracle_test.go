package run_test

import (
	"database/sql"
	"math/rand"
	"testing"

	"github.com/google/go-cmp/cmp"
	_ "modernc.org/sqlite"

	"netlore/query/plan"
	"netlore/query/words"
	"netlore/store/board"
)

// The answers of an SQL database are a check from outside: the same board is
// put into tables, each question is written in SQL by hand, once for what is
// certain and once for what is possible, and the names must be the same. What
// lies where is worked out beforehand by the arithmetic on boxes of naive.

const oracleTables = `
create table part(id integer primary key, name text, class text, unit text, pico integer, volts real, side text);
create table net(id integer primary key, name text, kind text);
create table pin(part int, name text, net int);
create table pad(id integer primary key, name text, net int, grp text);
create table cover(id integer primary key, name text, kind text, minutes real, risk text);
create table hides(cover int, part int, truth int);       -- 2 yes, 1 unknown
create table hidespad(cover int, pad int, truth int);
create table near(a int, b int, truth int);               -- parts within 3mm
create table behind(part int, cover int, truth int);
create table expected(net int);
`

// oracleQuestion is a question in both languages. In the SQL, :least is 2 for
// what is certain and 1 for what is possible; kind, class and value have
// columns that say how true something is.
type oracleQuestion struct{ ask, sql string }

const (
	// isShield and so on are how true it is that a cover is of a kind.
	isLid   = `(case when c.kind is null then 1 when c.kind in ('shield','connector') then 2 else 0 end)`
	isCap   = `(case when p.class is null then 1 when p.class='capacitor' then 2 else 0 end)`
	bigCap  = `(case when p.pico is not null and p.unit='F' then 2*(p.pico >= 10000000) when p.class is null or (p.class='capacitor' and p.pico is null) then 1 else 0 end)`
	onMain  = `exists(select 1 from pin i join net n on n.id=i.net where i.part=p.id and n.name='VMAIN')`
	onPower = `(select coalesce(max(case when n.kind is null then 1 when n.kind='power' then 2 else 0 end),0) from net n where n.id=i.net)`
	hidden  = `(select coalesce(max(truth),0) from hides h where h.part=p.id)`
)

var oracleQuestions = []oracleQuestion{
	{"parts on VMAIN", `select p.name from part p where ` + onMain},
	{"hidden parts on VMAIN", `select p.name from part p where ` + onMain + ` and ` + hidden + ` >= :least`},
	{"parts on VMAIN under shield or connector", `select distinct p.name from part p join hides h on h.part=p.id join cover c on c.id=h.cover
		where ` + onMain + ` and min(h.truth, ` + isLid + `) >= :least`},
	{"parts on VMAIN not under any cover", `select p.name from part p where ` + onMain + ` and 2 - ` + hidden + ` >= :least`},
	{"capacitors on VMAIN with value >= 10uF", `select p.name from part p where ` + onMain + ` and min(` + isCap + `, ` + bigCap + `) >= :least`},
	{"parts on VMAIN and on GND", `select p.name from part p where ` + onMain + ` and p.id in (select i.part from pin i join net n on n.id=i.net where n.name='GND')`},
	{"pads on VMAIN in IP1", `select d.name from pad d join net n on n.id=d.net where n.name='VMAIN' and d.grp='IP1'`},
	{"nets of U1", `select distinct n.name from net n join pin i on i.net=n.id join part p on p.id=i.part where p.name='U1'`},
	{"pins of U1 on power nets", `select p.name||'.'||i.name from pin i join part p on p.id=i.part where p.name='U1' and ` + onPower + ` >= :least`},
	{"parts within 3mm of U1", `select p.name from part p join near on near.a=p.id join part u on u.id=near.b where u.name='U1' and near.truth >= :least`},
	{"parts behind J7", `select p.name from part p where (select coalesce(max(b.truth),0) from behind b where b.part=p.id) >= :least`},
	{"covers over (parts on VMAIN)", `select distinct c.name from cover c join hides h on h.cover=c.id join part p on p.id=h.part where ` + onMain + ` and h.truth >= :least`},
	{"nets without expected", `select n.name from net n where n.id not in (select net from expected)`},
	{"hidden pads on VMAIN", `select distinct d.name from pad d join net n on n.id=d.net join hidespad h on h.pad=d.id where n.name='VMAIN' and h.truth >= :least`},
	{"parts with volts at least 10V on GND", `select p.name from part p where p.id in (select i.part from pin i join net n on n.id=i.net where n.name='GND')
		and (case when p.volts is null then 1 else 2*(p.volts >= 10) end) >= :least`},
	{"(parts on VMAIN) except (hidden parts)", `select name from part p where ` + onMain + ` except select name from part p where ` + hidden + ` >= 3 - :least`},
	{"covers with minutes below 6min and risk = high", `select c.name from cover c where
		min(case when c.minutes is null then 1 else 2*(c.minutes < 6) end, case when c.risk is null then 1 else 2*(c.risk='high') end) >= :least`},
	{"parts on (nets of U1)", `select distinct p.name from part p join pin i on i.part=p.id where i.net in (select j.net from pin j join part u on u.id=j.part where u.name='U1')`},
	{"top parts on VMAIN with class = chip", `select p.name from part p where ` + onMain + ` and
		min(case when p.side is null then 1 else 2*(p.side='top') end,
		    case when p.class is null then 1 else 2*(p.class in ('chip','transceiver','regulator')) end) >= :least`},
}

func TestAgreesWithSQL(t *testing.T) {
	r := rand.New(rand.NewSource(11))
	rows := map[string]int{}
	for range 60 {
		b := randomBoard(r, 10+r.Intn(40), pick(r, 0, 15, 35))
		k := &board.Knowledge{}
		for i := range b.Nets {
			if chance(r, 50) {
				k.Expected = append(k.Expected, board.Expected{Mode: board.Diode, Value: board.MustQuantity("0.4V"), On: board.Target{Kind: board.OnNet, Name: b.Nets[i].Name}})
			}
		}
		db := oracle(t, b, k)
		for _, c := range oracleQuestions {
			q := typed(c.ask, b, k)
			if q == nil {
				t.Fatalf("%s is refused", c.ask)
			}
			want := bounds{oracleNames(t, db, c.sql, board.True), oracleNames(t, db, c.sql, board.Unknown)}
			if d := cmp.Diff(want, boundsOf(q, plan.Options{}), exported); d != "" {
				t.Fatalf("%s\n%s", c.ask, d)
			}
			rows[c.ask] += len(want.certain)
		}
		db.Close()
	}
	for _, c := range oracleQuestions {
		if rows[c.ask] < 10 {
			t.Errorf("%s had %d rows on all boards: too few to compare", c.ask, rows[c.ask])
		}
	}
}

func oracleNames(t *testing.T, db *sql.DB, query string, least board.Truth) map[string]bool {
	rows, err := db.Query(query, sql.Named("least", int(least)))
	if err != nil {
		t.Fatal(query, err)
	}
	defer rows.Close()
	found := map[string]bool{}
	for rows.Next() {
		var name string
		if err := rows.Scan(&name); err != nil {
			t.Fatal(err)
		}
		found[name] = true
	}
	return found
}

func sqlID(net board.NetID) any {
	if net == board.None {
		return nil
	}
	return int(net)
}

// sqlWord is a word for a table, or null.
func sqlWord(w string) any {
	if w == "" {
		return nil
	}
	return w
}

func sqlNumber(q board.Quantity, factor float64) any {
	if !q.Known() {
		return nil
	}
	return int64(q.Float()*factor + 0.5)
}

// oracle puts a board into a database.
func oracle(t *testing.T, b *board.Board, k *board.Knowledge) *sql.DB {
	db, err := sql.Open("sqlite", ":memory:")
	if err != nil {
		t.Fatal(err)
	}
	db.SetMaxOpenConns(1) // each connection has a memory of its own
	exec := func(query string, args ...any) {
		if _, err := db.Exec(query, args...); err != nil {
			t.Fatal(query, err)
		}
	}
	exec(oracleTables)
	exec("begin")
	for i, p := range b.Parts {
		exec("insert into part values(?,?,?,?,?,?,?)", i, p.Name, sqlWord(p.Class.String()), p.Value.Unit.String(), sqlNumber(p.Value, 1e12), sqlNumber(p.Volts, 1), sqlWord(p.Side.String()))
	}
	for i, n := range b.Nets {
		exec("insert into net values(?,?,?)", i, n.Name, sqlWord(n.Kind.String()))
	}
	for _, p := range b.Pins {
		exec("insert into pin values(?,?,?)", p.Part, p.Name, sqlID(p.Net))
	}
	for i, p := range b.Pads {
		exec("insert into pad values(?,?,?,?)", i, p.Name, sqlID(p.Net), p.Group)
	}
	for i, c := range b.Covers {
		exec("insert into cover values(?,?,?,?,?)", i, c.Name, sqlWord(c.Kind.String()), sqlNumber(c.Minutes, 1./60), sqlWord(c.Risk.String()))
	}
	for _, e := range k.Expected {
		exec("insert into expected values(?)", b.FindNet(e.On.Name))
	}
	oraclePlaces(b, exec)
	exec("commit")
	return db
}

// oraclePlaces adds what lies where, as far as it is not certainly elsewhere.
func oraclePlaces(b *board.Board, exec func(string, ...any)) {
	n := naively(b)
	insert := func(table string, x, y int, truth board.Truth) {
		if truth != board.False {
			exec("insert into "+table+" values(?,?,?)", x, y, int(truth))
		}
	}
	near := withinOf("3mm")
	for p := range b.Parts {
		for c := range b.Covers {
			insert("hides", c, p, n.hides(c, words.Parts, p))
		}
		insert("behind", p, 0, max(n.behind(words.Parts, p, words.Covers, int(b.FindCover("J7"))), n.behind(words.Parts, p, words.Parts, int(b.FindPart("J7")))))
		for o := range b.Parts {
			insert("near", p, o, n.near(near, words.Parts, p, words.Parts, o))
		}
	}
	for p := range b.Pads {
		for c := range b.Covers {
			insert("hidespad", c, p, n.hides(c, words.Pads, p))
		}
	}
}

// Counts and totals by group agree with those of the database, on boards of
// which all is known.
func TestAggregatesAgreeWithSQL(t *testing.T) {
	r := rand.New(rand.NewSource(12))
	for range 20 {
		b := completed(r, randomBoard(r, 30, 0))
		db := oracle(t, b, &board.Knowledge{})
		for _, c := range []oracleQuestion{
			{"count parts on VMAIN by cover", `select c.name, count(*) from part p join hides h on h.part=p.id and h.truth=2 join cover c on c.id=h.cover where ` + onMain + ` group by c.name
				union all select '-', count(*) from part p where ` + onMain + ` and p.id not in (select part from hides) having count(*) > 0`},
			{"count parts by class", `select class, count(*) from part group by class`},
			{"count pads by group", `select case grp when '' then '-' else grp end, count(*) from pad group by grp`},
			{"total value of capacitors by side", `select side, sum(pico) from part where class='capacitor' and pico is not null group by side`},
			{"greatest value of capacitors by side", `select side, max(pico) from part where class='capacitor' and pico is not null group by side`},
			{"least value of capacitors by side", `select side, min(pico) from part where class='capacitor' and pico is not null group by side`},
		} {
			compareGroups(t, db, c, b)
		}
		db.Close()
	}
}

func compareGroups(t *testing.T, db *sql.DB, c oracleQuestion, b *board.Board) {
	rows, err := db.Query(c.sql)
	if err != nil {
		t.Fatal(c.ask, err)
	}
	defer rows.Close()
	want, got := map[string]int64{}, map[string]int64{}
	for rows.Next() {
		var group string
		var n int64
		if err := rows.Scan(&group, &n); err != nil {
			t.Fatal(err)
		}
		want[group] = n
	}
	for _, row := range runStill(typed(c.ask, b, nil), plan.Options{}).Rows {
		q, _ := row.Cells[1].Quantity()
		factor := 1.0
		if q.Unit == board.Farad {
			factor = 1e12
		}
		got[row.Cells[0].String()] = int64(q.Float()*factor + 0.5)
	}
	if d := cmp.Diff(want, got); d != "" {
		t.Fatalf("%s\n%s", c.ask, d)
	}
}
