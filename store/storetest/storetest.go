// Package storetest is the one conformance suite that every form of the
// knowledge base passes: the one on disk, and its twin in memory.
package storetest

import (
	"context"
	"strings"
	"testing"
	"time"

	"netlore/store"
	"netlore/store/board"
	"netlore/store/sheet"
)

// Maker makes an empty base that reads its time from now. It also returns a
// function that closes the base and opens it again as a later process would; a
// base in memory returns itself. The maker closes what it opened at the end of
// the test.
type Maker func(t *testing.T, now func() time.Time) (base *store.Base, reopen func() *store.Base)

// Run puts a kind of base through the suite.
func Run(t *testing.T, mk Maker) {
	for _, c := range []struct {
		name string
		test func(*testing.T, *bench)
	}{
		{"Empty", testEmpty},
		{"AddAndRead", testAddAndRead},
		{"AddTwice", testAddTwice},
		{"AddToTwoSubjects", testTwoSubjects},
		{"AddTwiceInOne", testSameSubjectTwice},
		{"AllOrNothing", testAllOrNothing},
		{"Preview", testPreview},
		{"NoAuthor", testNoAuthor},
		{"Cancelled", testCancelled},
		{"Contradiction", testContradiction},
		{"NewerVersion", testNewerVersion},
		{"ContradictionLeadsWithNew", testContradictionLeadsWithNew},
		{"Correct", testCorrect},
		{"CorrectMovesAPin", testCorrectMovesPin},
		{"CorrectKeepsMembers", testCorrectKeepsMembers},
		{"CorrectKeepsTheRest", testCorrectKeepsTheRest},
		{"CorrectNothing", testCorrectNothing},
		{"CorrectAJob", testCorrectAJob},
		{"Replace", testReplace},
		{"ReplaceWithoutABoardLine", testReplaceWithoutABoardLine},
		{"AnotherBoard", testAnotherBoard},
		{"Withdraw", testWithdraw},
		{"Remove", testRemove},
		{"RemoveAndAddAgain", testRemoveAndAddAgain},
		{"History", testHistory},
		{"Revisions", testRevisions},
		{"Stack", testStack},
		{"OddNames", testOddNames},
		{"ExportImport", testExportImport},
		{"ExportIsCanonical", testExportIsCanonical},
		{"OrderAndSplitting", testOrderAndSplitting},
		{"UnionIsIdempotent", testUnionIdempotent},
		{"HashTellsContentsApart", testHashTellsApart},
		{"Reopen", testReopen},
		{"Verify", testVerify},
		{"ManyStatements", testManyStatements},
		{"ManyAtOnce", testManyAtOnce},
		{"SaveAndForget", testSaveAndForget},
		{"QuestionsOfASheet", testQuestionsOfASheet},
		{"QuestionsContradict", testQuestionsContradict},
		{"StateMeters", testStateMeters},
		{"MetersOfASheet", testMetersOfASheet},
		{"StateChances", testStateChances},
		{"ChancesOfASheet", testChancesOfASheet},
		{"JobsOfASheet", testJobsOfASheet},
		{"JobOnTwoBoards", testJobOnTwoBoards},
		{"JobInTwoSheets", testJobInTwoSheets},
		{"JobFromOpenToClosed", testJobFromOpenToClosed},
		{"UndoAStepOfASheet", testUndoAStepOfASheet},
		{"JobNumbers", testJobNumbers},
		{"JobsOutliveTheirBoard", testJobsOutliveTheirBoard},
		{"StepsTogether", testStepsTogether},
		{"StepsFromManyAtOnce", testStepsFromManyAtOnce},
		{"PrivateDetails", testPrivateDetails},
		{"JobsAtRandom", testJobsAtRandom},
		{"Photos", testPhotos},
	} {
		t.Run(c.name, func(t *testing.T) { c.test(t, newBench(t, mk)) })
	}
}

// bench is one base with a clock that the test turns.
type bench struct {
	t      *testing.T
	mk     Maker
	base   *store.Base
	reopen func() *store.Base
	clock  time.Time
}

func newBench(t *testing.T, mk Maker) *bench {
	b := &bench{t: t, mk: mk, clock: time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)}
	b.base, b.reopen = mk(t, b.now)
	return b
}

func (b *bench) now() time.Time { return b.clock }

// another is a second, empty base of the same kind.
func (b *bench) another() *bench { b.t.Helper(); return newBench(b.t, b.mk) }

// parse reads a sheet that must be without fault.
func (b *bench) parse(name, text string) *sheet.File {
	b.t.Helper()
	file, list := sheet.Parse(name, []byte(text))
	if err := list.Err(); err != nil {
		b.t.Fatalf("%s: %v", name, err)
	}
	return file
}

// addition is a sheet to be added to the Plover's main board.
func (b *bench) addition(text string) store.Addition {
	b.t.Helper()
	return store.Addition{Subject: plover, Files: []*sheet.File{b.parse("plover.lore", text)}, Author: "bench-1"}
}

// add adds a sheet to the Plover's main board, without fault.
func (b *bench) add(text string) store.Result {
	b.t.Helper()
	return b.addAll(b.addition(text))[0]
}

func (b *bench) addAll(additions ...store.Addition) []store.Result {
	b.t.Helper()
	results, err := b.base.Add(context.Background(), additions...)
	if err != nil {
		b.t.Fatal(err)
	}
	return results
}

// with adds a sheet in a mode.
func (b *bench) with(mode store.Mode, text string) (store.Result, error) {
	b.t.Helper()
	a := b.addition(text)
	a.Mode = mode
	results, err := b.base.Add(context.Background(), a)
	if err != nil {
		return store.Result{}, err
	}
	return results[0], nil
}

// export is the sheet of a subject.
func (b *bench) export(s store.Subject) string {
	b.t.Helper()
	var text strings.Builder
	if err := b.base.Export(context.Background(), s, &text); err != nil {
		b.t.Fatal(err)
	}
	return text.String()
}

func (b *bench) hash(s store.Subject) string {
	b.t.Helper()
	hash, err := b.base.Hash(s)
	if err != nil {
		b.t.Fatal(err)
	}
	return hash
}

func (b *bench) board() *board.Board {
	b.t.Helper()
	got, err := b.base.Board(context.Background(), plover.Ref)
	if err != nil {
		b.t.Fatal(err)
	}
	return got
}

// netOf is the name of the net that a pin of the Plover's main board is on.
func (b *bench) netOf(part, pin string) string {
	b.t.Helper()
	brd := b.board()
	p := brd.FindPart(part)
	if p == board.None {
		return "no part"
	}
	id := brd.FindPin(p, pin)
	if id == board.None || brd.Pins[id].Net == board.None {
		return ""
	}
	return brd.Nets[brd.Pins[id].Net].Name
}
