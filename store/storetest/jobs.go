package storetest

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"netlore/query/diag"
	"netlore/store"
	"netlore/store/board"
	"netlore/store/sheet"
)

// ploverJob stands in the sheet of the Plover's main board, which is what it is
// on.
const ploverJob = `
job 7 "no sound" opened 2026-03-01 by bench-1
  1 draw 0.3A
  2 separated
`

var stack = store.StackSubject("Plover")

// jobs are the jobs of the base, one a line.
func (b *bench) jobs() string {
	b.t.Helper()
	list, err := b.base.Jobs(context.Background())
	if err != nil {
		b.t.Fatal(err)
	}
	var all []string
	for _, j := range list {
		all = append(all, fmt.Sprintf("%s %q %d steps on %v", j.ID, j.Symptom, j.Steps, j.Homes))
	}
	return strings.Join(all, "\n")
}

// job is the sheet of a job, without the line of what it is on.
func (b *bench) job(id string) string {
	b.t.Helper()
	text := b.export(store.JobSubject(id))
	return text[strings.Index(text, "\njob ")+1:]
}

func (b *bench) openJob(j board.Job, private store.Private) string {
	b.t.Helper()
	id, err := b.base.OpenJob(context.Background(), j, stack, private, "bench-1")
	if err != nil {
		b.t.Fatal(err)
	}
	return id
}

func (b *bench) log(id, step, author string) {
	b.t.Helper()
	if _, err := b.base.Log(context.Background(), id, step, author); err != nil {
		b.t.Fatal(err)
	}
}

func (b *bench) kinds(s store.Subject) string {
	b.t.Helper()
	events, err := b.base.History(s)
	if err != nil {
		b.t.Fatal(err)
	}
	var all []string
	for _, e := range events {
		all = append(all, strings.TrimSpace(string(e.Kind)+" "+e.Step))
	}
	return strings.Join(all, ", ")
}

func (b *bench) verify() {
	b.t.Helper()
	if _, err := b.base.Verify(context.Background(), nil); err != nil {
		b.t.Error(err)
	}
}

// testJobsOfASheet adds a job in the sheet of a board, which is kept apart and
// comes back with the board.
func testJobsOfASheet(t *testing.T, b *bench) {
	if r := b.add(ploverSheet + ploverJob); r.New != ploverBlocks+1 {
		t.Errorf("added: %+v", r)
	}
	hash := b.hash(plover)
	if r := b.add(ploverHead + "\njob 7\n  3 joined\n"); r.New != 1 || r.Hash != hash {
		t.Errorf("a step more: %+v, the board was %s", r, hash)
	}
	b.base = b.reopen()
	if d := cmp.Diff(ploverSheet+ploverJob+"  3 joined\n", b.export(plover)); d != "" {
		t.Error(d)
	}
	if d := cmp.Diff("netlore 1\n"+plover.String()+"\n"+ploverJob+"  3 joined\n", b.export(store.JobSubject("7"))); d != "" {
		t.Error(d)
	}
	if got, want := b.jobs(), `7 "no sound" 3 steps on [`+plover.String()+`]`; got != want {
		t.Errorf("got %s\nwant %s", got, want)
	}
	known, err := b.base.Knowledge(context.Background(), plover.Ref)
	if err != nil || len(known.Jobs) != 1 || len(known.Jobs[0].Steps) != 3 {
		t.Errorf("known: %+v, %v", known.Jobs, err)
	}
	if r := b.add(ploverSheet + ploverJob); r.New != 0 || r.Known != ploverBlocks+1 {
		t.Errorf("added again: %+v", r)
	}
	again := b.another()
	again.add(b.export(plover))
	if d := cmp.Diff(b.export(plover), again.export(plover)); d != "" {
		t.Error(d)
	}
	b.verify()
}

// testJobOnTwoBoards states one number for two boards.
func testJobOnTwoBoards(t *testing.T, b *bench) {
	b.add(ploverSheet + ploverJob)
	const head = "netlore 1\nboard Wren rev 1\n"
	for _, of := range []string{"", " of Wren"} {
		other := store.Addition{Subject: store.BoardSubject(board.Ref{Name: "Wren", Revision: "1"}), Author: "bench-2",
			Files: []*sheet.File{b.parse("wren.lore", head+"\njob 7"+of+" \"no sound\"\n")}}
		_, err := b.base.Add(context.Background(), other)
		var list diag.List
		if !errors.As(err, &list) || !strings.HasPrefix(err.Error(), "wren.lore:4:") || !strings.Contains(err.Error(), "job 7 differ in the device") ||
			list[0].Related[0].File != "plover.lore" {
			t.Errorf("got %+v", err)
		}
	}
	if got, want := b.jobs(), `7 "no sound" 2 steps on [`+plover.String()+`]`; got != want {
		t.Errorf("got %s\nwant %s", got, want)
	}
}

// testJobInTwoSheets states a job of a stack in the sheet of a board, too.
func testJobInTwoSheets(t *testing.T, b *bench) {
	const job = "\njob 8 of Plover \"warm\"\n  1 separated\n"
	onStack := store.Addition{Subject: stack, Files: []*sheet.File{b.parse("stack.lore", ploverStack+job)}, Author: "bench-1"}
	results := b.addAll(b.addition(ploverSheet+job), onStack)
	if results[0].New+results[1].New == 0 {
		t.Errorf("%+v", results)
	}
	if got, want := b.jobs(), `8 "warm" 1 steps on [`+plover.String()+` stack Plover]`; got != want {
		t.Errorf("got %s\nwant %s", got, want)
	}
	for _, s := range []store.Subject{plover, stack} {
		if text := b.export(s); !strings.HasSuffix(text, job) {
			t.Errorf("%s: %s", s, text)
		}
	}
	b.verify()
}

func testJobFromOpenToClosed(t *testing.T, b *bench) {
	ctx := context.Background()
	b.addAll(store.Addition{Subject: stack, Files: []*sheet.File{b.parse("stack.lore", ploverStack)}, Author: "bench-1"})
	day := time.Date(2026, 3, 2, 0, 0, 0, 0, time.UTC)
	id := b.openJob(board.Job{Of: "Plover", Symptom: "draws amps", Opened: day, By: "bench-1"}, store.Private{})
	b.log(id, "draw 2A", "bench-1")
	b.clock = b.clock.Add(time.Minute)
	b.log(id, `cold C1 "not at 1 A either"`, "bench-2")
	b.log(id, "hot C2", "bench-1")
	if s, err := b.base.Undo(ctx, id, "bench-1"); err != nil || s.Number != 3 || s.Kind != board.StepHot {
		t.Errorf("undone: %+v, %v", s, err)
	}
	b.log(id, "hot C1 when 2026-03-02T10:00Z", "bench-1")
	b.base = b.reopen()
	want := "job 1 of Plover \"draws amps\" opened 2026-03-02 by bench-1\n  1 draw 2A when 2026-03-02T09:00Z\n" +
		"  2 cold C1 by bench-2 when 2026-03-02T09:01Z \"not at 1 A either\"\n  3 hot C1 when 2026-03-02T10:00Z\n"
	if d := cmp.Diff(want, b.job(id)); d != "" {
		t.Error(d)
	}
	end := store.Closing{Closed: day, Culprits: []board.Target{{Name: "C1"}}, Outcome: "repaired", Remark: "cracked"}
	if _, err := b.base.CloseJob(ctx, id, end, "bench-1"); err != nil {
		t.Fatal(err)
	}
	closed := strings.Replace(want, "2026-03-02 by", "2026-03-02 closed 2026-03-02 culprit C1 outcome repaired remark cracked by", 1)
	if d := cmp.Diff(strings.Replace(closed, "cracked", `"cracked"`, 1), b.job(id)); d != "" {
		t.Error(d)
	}
	_, logging := b.base.Log(ctx, id, "joined", "bench-1")
	_, undoing := b.base.Undo(ctx, id, "bench-1")
	_, closing := b.base.CloseJob(ctx, id, end, "bench-1")
	for _, err := range []error{logging, undoing, closing} {
		if !errors.Is(err, store.ErrJobClosed) {
			t.Errorf("on a closed job: %v", err)
		}
	}
	if was, err := b.base.ReopenJob(ctx, id, "bench-2"); err != nil || was.Remark != "cracked" {
		t.Errorf("reopened: %+v, %v", was, err)
	}
	if _, err := b.base.ReopenJob(ctx, id, "bench-2"); !errors.Is(err, store.ErrJobOpen) {
		t.Errorf("reopened twice: %v", err)
	}
	if d := cmp.Diff(want, b.job(id)); d != "" {
		t.Error(d)
	}
	if got, want := b.kinds(store.JobSubject(id)), "opened, logged 1 draw 2A when 2026-03-02T09:00Z, "+
		"logged 2 cold C1 by bench-2 when 2026-03-02T09:01Z \"not at 1 A either\", logged 3 hot C2 when 2026-03-02T09:01Z, undone 3 hot C2 when 2026-03-02T09:01Z, "+
		"logged 3 hot C1 when 2026-03-02T10:00Z, closed, reopened"; got != want {
		t.Errorf("history:\n%s\nwant\n%s", got, want)
	}
	b.verify()
}

// testUndoAStepOfASheet takes back what a sheet said in one statement with the
// rest of the job, and which another sheet says, too.
func testUndoAStepOfASheet(t *testing.T, b *bench) {
	ctx := context.Background()
	b.add(ploverSheet + ploverJob)
	b.add(ploverHead + "\njob 7\n  2 separated\n")
	for _, want := range []string{strings.Replace(ploverJob, "  2 separated\n", "", 1), strings.Split(ploverJob, "  1")[0]} {
		if _, err := b.base.Undo(ctx, "7", "bench-2"); err != nil {
			t.Fatal(err)
		}
		if d := cmp.Diff(want, "\n"+b.job("7")); d != "" {
			t.Error(d)
		}
	}
	if _, err := b.base.Undo(ctx, "7", "bench-2"); !errors.Is(err, store.ErrNoStep) {
		t.Errorf("undone without a step: %v", err)
	}
	b.verify()
}

func testJobNumbers(t *testing.T, b *bench) {
	ctx := context.Background()
	for _, err := range []error{
		func() error { _, err := b.base.Job(ctx, "1"); return err }(),
		func() error { _, err := b.base.Log(ctx, "1", "joined", "bench-1"); return err }(),
		b.base.SetPrivate(ctx, "1", store.Private{Remark: "x"}),
	} {
		if !errors.Is(err, store.ErrUnknownJob) {
			t.Errorf("no such job: %v", err)
		}
	}
	for _, want := range []string{"1", "1042", "1043", "W 7", "1044"} {
		ask := board.Job{ID: want}
		if want == "1" || want == "1043" || want == "1044" {
			ask.ID = ""
		}
		if got := b.openJob(ask, store.Private{}); got != want {
			t.Errorf("got job %s, want %s", got, want)
		}
	}
	if _, err := b.base.OpenJob(ctx, board.Job{ID: "W 7"}, stack, store.Private{}, "bench-1"); !errors.Is(err, store.ErrJobThere) {
		t.Errorf("opened twice: %v", err)
	}
	if _, err := b.base.Remove(ctx, store.JobSubject("1044"), "bench-1"); err != nil {
		t.Fatal(err)
	}
	if got := b.openJob(board.Job{}, store.Private{}); got != "1045" {
		t.Errorf("the number of a job that was removed was given out again: %s", got)
	}
	for _, bad := range []string{"", "tape", "separated\n  2 joined", "draw 2V", "readng diode C1 0.4V", "1 joined"} {
		if _, err := b.base.Log(ctx, "1", bad, "bench-1"); err == nil {
			t.Errorf("%q was taken for a step", bad)
		}
	}
	b.verify()
}

// testJobsOutliveTheirBoard removes a board, and then its job.
func testJobsOutliveTheirBoard(t *testing.T, b *bench) {
	ctx := context.Background()
	b.add(ploverSheet + ploverJob)
	if _, err := b.base.Remove(ctx, plover, "bench-1"); err != nil {
		t.Fatal(err)
	}
	b.log("7", "joined", "bench-1")
	if d := cmp.Diff("netlore 1\n"+plover.String()+"\n"+ploverJob+"  3 joined when 2026-03-02T09:00Z\n", b.export(store.JobSubject("7"))); d != "" {
		t.Error(d)
	}
	b.add(ploverSheet)
	if text := b.export(plover); !strings.Contains(text, "3 joined") {
		t.Error("the job is not there again with its board")
	}
	if r, err := b.base.Remove(ctx, store.JobSubject("7"), "bench-1"); err != nil || r.Withdrawn != 2 {
		t.Errorf("%+v, %v", r, err)
	}
	if got := b.export(plover) + b.jobs(); got != ploverSheet {
		t.Errorf("a removed job is still there: %s", got)
	}
	b.add(ploverHead + ploverJob)
	if got := "\n" + b.job("7"); got != ploverJob {
		t.Errorf("added again: %s", got)
	}
	b.verify()
}

// testStepsTogether logs steps, and takes them back, all of them or none: each time
// as one change.
func testStepsTogether(t *testing.T, b *bench) {
	ctx := context.Background()
	id := b.openJob(board.Job{By: "bench-1"}, store.Private{})
	b.log(id, "separated", "bench-1")
	if _, err := b.base.LogSteps(ctx, id, []string{"joined", "hot nothing", "tape"}, "bench-1"); err == nil {
		t.Error("a step that is none was logged")
	}
	if kinds := b.kinds(store.JobSubject(id)); strings.Contains(kinds, "joined") {
		t.Errorf("those before it were logged: %s", kinds)
	}
	j, err := b.base.LogSteps(ctx, id, []string{"joined", "hot nothing"}, "bench-2")
	if err != nil || len(j.Steps) != 3 || j.Steps[1].Number != 2 || j.Steps[2].Number != 3 || j.Steps[2].By != "bench-2" {
		t.Fatalf("%+v, %v", j, err)
	}
	b.log(id, "look C1", "bench-1")
	gone, err := b.base.UndoFrom(ctx, id, 3, "bench-1")
	if err != nil || len(gone) != 2 || gone[0].Number != 3 || gone[1].Number != 4 {
		t.Errorf("%+v, %v", gone, err)
	}
	const by2, at = " by bench-2", " when 2026-03-02T09:00Z"
	want := "opened, logged 1 separated" + at + ", logged 2 joined" + by2 + at + "\n3 hot nothing" + by2 + at + ", logged 4 look C1" + at +
		", undone 3 hot nothing" + by2 + at + "\n4 look C1" + at
	if d := cmp.Diff(want, b.kinds(store.JobSubject(id))); d != "" {
		t.Error(d)
	}
	b.verify()
}

func testStepsFromManyAtOnce(t *testing.T, b *bench) {
	id := b.openJob(board.Job{}, store.Private{})
	const people, each = 4, 5
	var all sync.WaitGroup
	for p := range people {
		all.Go(func() {
			for n := range each {
				if _, err := b.base.Log(context.Background(), id, fmt.Sprintf("note \"%d.%d\"", p, n), "bench-1"); err != nil {
					t.Error(err)
				}
			}
		})
	}
	all.Wait()
	j, err := b.base.Job(context.Background(), id)
	if err != nil {
		t.Fatal(err)
	}
	seen := map[string]bool{}
	for i, s := range j.Steps {
		seen[s.Remark] = true
		if s.Number != i+1 {
			t.Errorf("step %d has the number %d", i+1, s.Number)
		}
	}
	if len(j.Steps) != people*each || len(seen) != people*each {
		t.Errorf("%d steps, %d different ones", len(j.Steps), len(seen))
	}
}

// testPrivateDetails keeps private details, and finds them in nothing else.
func testPrivateDetails(t *testing.T, b *bench) {
	ctx := context.Background()
	const canary = "canary-7781"
	b.addAll(store.Addition{Subject: stack, Files: []*sheet.File{b.parse("stack.lore", ploverStack)}, Author: "bench-1"})
	all := store.Private{Customer: canary, Serial: canary, Remark: canary}
	id := b.openJob(board.Job{Of: "Plover", Symptom: "dead"}, all)
	b.log(id, "separated", "bench-1")
	b.base = b.reopen()
	if got, err := b.base.Private(ctx, id); err != nil || got != all {
		t.Errorf("%+v, %v", got, err)
	}
	lines, err1 := b.base.Jobs(ctx)
	job, err2 := b.base.Job(ctx, id)
	known, err3 := b.base.Knowledge(ctx, stack.Ref)
	catalogue, err4 := b.base.Catalogue(ctx)
	events, err5 := b.base.History(store.JobSubject(id))
	if err := errors.Join(err1, err2, err3, err4, err5); err != nil {
		t.Fatal(err)
	}
	seen := fmt.Sprintf("%+v %+v %+v %+v %+v", lines, *job, *known, *catalogue, events) + b.export(stack) + b.export(store.JobSubject(id))
	if !strings.Contains(seen, "separated") || strings.Contains(seen, canary) {
		t.Errorf("private details are seen in %s", seen)
	}
	less := store.Private{Remark: "x"}
	if err := b.base.SetPrivate(ctx, id, less); err != nil {
		t.Fatal(err)
	}
	if got, err := b.base.Private(ctx, id); err != nil || got != less {
		t.Errorf("%+v, %v", got, err)
	}
	if _, err := b.base.Remove(ctx, store.JobSubject(id), "bench-1"); err != nil {
		t.Fatal(err)
	}
	if got, err := b.base.Private(ctx, id); err != nil || got != (store.Private{}) {
		t.Errorf("after the job was removed: %+v, %v", got, err)
	}
	b.verify()
}
