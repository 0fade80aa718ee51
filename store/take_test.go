package store

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"netlore/query/diag"
	"netlore/store/board"
	"netlore/store/exchange"
	"netlore/store/exchange/exchangetest"
	"netlore/store/sheet"
)

var (
	wrenRef     = board.Ref{Name: "Wren", Revision: "1"}
	wrenSubject = BoardSubject(wrenRef)
	aboutWren   = exchange.About{Of: wrenSubject.String(), Licence: "CC0-1.0"}
)

func atNoon() time.Time { return noon }

// shopOf makes a shop with one bench.
func shopOf(t testing.TB, name string) (dir string, i *exchange.Identity) {
	t.Helper()
	i, dir = exchangetest.Shop(t, name)
	return dir, i
}

// wordsOf are what a shop has said about its keys, also when they hold no more.
func wordsOf(t testing.TB, dir string) []*exchange.Word {
	t.Helper()
	card, err := exchange.Look(dir)
	if err != nil {
		t.Fatal(err)
	}
	return card.Words
}

// packOf is a pack in which a shop says statements on Wren and takes others back.
func packOf(t testing.TB, i *exchange.Identity, retracts []exchange.ID, statements ...string) []byte {
	t.Helper()
	batches, err := i.Batches(aboutWren, exchangetest.Blocks(i, statements...), retracts, noon)
	if err != nil {
		t.Fatal(err)
	}
	return pack(t, i.Words, batches...)
}

func pack(t testing.TB, words []*exchange.Word, batches ...*exchange.Batch) []byte {
	t.Helper()
	var s bytes.Buffer
	w := exchange.NewWriter(&s)
	for _, word := range words {
		if err := w.Word(word); err != nil {
			t.Fatal(err)
		}
	}
	for _, b := range batches {
		if err := w.Batch(b); err != nil {
			t.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return s.Bytes()
}

func take(t testing.TB, b *Base, pack []byte, look bool) *Taken {
	t.Helper()
	r, err := exchange.NewReader(bytes.NewReader(pack), "a.pack", b.now())
	if err != nil {
		t.Fatal(err)
	}
	taken, err := b.Take(t.Context(), r.Next, Taking{From: "a.pack", Author: "bench-9", Look: look})
	if err != nil {
		t.Fatal(err)
	}
	return taken
}

func trust(t testing.TB, b *Base, i *exchange.Identity, level Level, kinds ...exchange.Kind) []Adoption {
	t.Helper()
	if kinds == nil {
		kinds = exchange.Kinds()
	}
	all, err := b.Trust(t.Context(), i.Shop, i.Name, level, kinds, "bench-9")
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// holds is what counts on Wren, as a sheet; nothing if Wren is not held.
func holds(t testing.TB, b *Base) string {
	t.Helper()
	var s strings.Builder
	if err := b.Export(t.Context(), wrenSubject, &s); err != nil && !errors.Is(err, ErrUnknownSubject) {
		t.Fatal(err)
	}
	if _, err := b.Verify(t.Context(), nil); err != nil {
		t.Fatal(err)
	}
	return s.String()
}

// shared lists all that the base holds of other shops, of whatever use it is.
func shared(t testing.TB, b *Base) (all []string) {
	t.Helper()
	if err := b.kv.view(func(r reader) error {
		for _, sort := range []byte{keyShared, keyWithdrawn} {
			if err := r.scan([]byte{sort}, func(key, value []byte) error {
				if sort == keyShared {
					e, err := decodeShared(key, value)
					all = append(all, fmt.Sprintf("%x %s", key, e.text))
					return err
				}
				all = append(all, fmt.Sprintf("%x", key))
				return nil
			}); err != nil {
				return err
			}
		}
		return nil
	}); err != nil {
		t.Fatal(err)
	}
	return all
}

func TestStrangersAreKeptApart(t *testing.T) {
	_, heron := shopOf(t, "Heron Repair")
	b := OpenMemory(atNoon)
	p := packOf(t, heron, nil, `board Wren rev 1 "a small board"`, "part C1 10uF", `note on C1 "often cracked" by LABEL`)
	for _, look := range []bool{true, false} {
		got := take(t, b, p, look)
		if got.New != 3 || got.Known != 0 || len(got.Adoptions) != 0 || len(got.Shops) != 1 || got.Shops[0].Shop.Trust() != "unknown" {
			t.Errorf("%+v", got)
		}
		if text := holds(t, b); text != "" {
			t.Errorf("what a stranger says counts:\n%s", text)
		}
	}
	if again := take(t, b, p, false); again.New != 0 || again.Known != 3 {
		t.Errorf("the same again: %+v", again)
	}
	trust(t, b, heron, Trusted, exchange.Notes)
	if text := holds(t, b); strings.Contains(text, "part C1") || !strings.Contains(text, "often cracked") {
		t.Errorf("trusted in notes only:\n%s", text)
	}
	adopted := trust(t, b, heron, Trusted)
	if len(adopted) != 1 || adopted[0].Added != 2 || adopted[0].Held != 3 {
		t.Errorf("%+v", adopted)
	}
	if text := holds(t, b); !strings.Contains(text, "part C1 10uF") || !strings.Contains(text, `by "`+heron.Label()+`"`) {
		t.Errorf("trusted:\n%s", text)
	}
	if back := trust(t, b, heron, Listed); back[0].Withdrawn != 3 || holds(t, b) != "" {
		t.Errorf("trust was taken back: %+v\n%s", back, holds(t, b))
	}
}

// TestAnyOrder takes packs of four shops in random orders, some of them twice, in
// one base, and in two of which the second then takes all that the first has: all
// hold the same in the end.
func TestAnyOrder(t *testing.T) {
	var shops []*exchange.Identity
	var packs [][]byte
	for n := range 4 {
		_, i := shopOf(t, fmt.Sprintf("Shop %d", n))
		shops = append(shops, i)
		for part := range 3 {
			value := []string{"10uF", "22uF"}[(n+part)%2] // shops contradict each other
			say := []string{fmt.Sprintf("part C%d %s", part, value), fmt.Sprintf("part R%d%d 10kohm", n, part),
				fmt.Sprintf(`expect diode VMAIN 0.4%dV ±8%% by LABEL`, n), "net VMAIN power", fmt.Sprintf(`note on VMAIN "%d %d" by LABEL`, n, part)}
			packs = append(packs, packOf(t, i, nil, say...))
		}
		id := exchange.About{Of: aboutWren.Of, By: i.Shop.String(), Licence: aboutWren.Licence}.Entry(fmt.Sprintf("part R%d1 10kohm\n", n))
		packs = append(packs, packOf(t, i, []exchange.ID{id}))
	}
	start := func() *Base {
		b := OpenMemory(atNoon)
		addOwn(t, b, "netlore 1\nboard Wren rev 1\npart C0 22uF\n")
		for n, i := range shops {
			if n > 0 {
				trust(t, b, i, Trusted)
			}
		}
		return b
	}
	reach := func(order []int, first int) (string, []string) {
		a, b := start(), start()
		for _, n := range order[:first] {
			take(t, a, packs[n], false)
		}
		for _, n := range order[first:] {
			take(t, b, packs[n], false)
		}
		take(t, b, allOf(t, a), false)
		return holds(t, b), shared(t, b)
	}
	var order []int
	for n := range packs {
		order = append(order, n)
	}
	wantText, wantShared := reach(order, 0)
	if !strings.Contains(wantText, "part C0 22uF") || strings.Contains(wantText, "part R11 ") || !strings.Contains(wantText, "part R12 ") || strings.Contains(wantText, "part R02 ") {
		t.Fatalf("%s", wantText)
	}
	rng := rand.New(rand.NewPCG(1, 2))
	for range 12 {
		shuffled := append(slices.Clone(order), order[rng.IntN(len(order))], order[rng.IntN(len(order))])
		rng.Shuffle(len(shuffled), func(i, j int) { shuffled[i], shuffled[j] = shuffled[j], shuffled[i] })
		gotText, gotShared := reach(shuffled, rng.IntN(len(shuffled)))
		if d := cmp.Diff(wantText, gotText); d != "" {
			t.Errorf("in order %v: %s", shuffled, d)
		}
		if d := cmp.Diff(wantShared, gotShared); d != "" {
			t.Errorf("in order %v: %s", shuffled, d)
		}
	}
}

// allOf is a pack of all that other shops have said on Wren to a base.
func allOf(t testing.TB, b *Base) []byte {
	t.Helper()
	var batches []*exchange.Batch
	if err := b.Signed(t.Context(), wrenSubject, func(SignedEntry) bool { return true },
		func(b *exchange.Batch) error { batches = append(batches, b); return nil }); err != nil {
		t.Fatal(err)
	}
	return pack(t, nil, batches...)
}

func addOwn(t testing.TB, b *Base, text string) {
	t.Helper()
	file, list := sheet.Parse("own.lore", []byte(text))
	if err := list.Err(); err != nil {
		t.Fatal(err)
	}
	if _, err := b.Add(t.Context(), Addition{Subject: wrenSubject, Files: []*sheet.File{file}, Author: "bench-9"}); err != nil {
		t.Fatal(err)
	}
}

// TestPassedOn sends what one shop says through a second to a third: it arrives
// with the first one's signature.
func TestPassedOn(t *testing.T) {
	_, heron := shopOf(t, "Heron Repair")
	between, end := OpenMemory(atNoon), OpenMemory(atNoon)
	take(t, between, packOf(t, heron, nil, `board Wren rev 1 "a small board"`, "part C1 10uF", "part C2 10uF"), false)
	var batches []*exchange.Batch
	if err := between.Signed(t.Context(), wrenSubject, func(e SignedEntry) bool { return e.Text == "part C2 10uF\n" },
		func(b *exchange.Batch) error { batches = append(batches, b); return nil }); err != nil {
		t.Fatal(err)
	}
	trust(t, end, heron, Trusted)
	got := take(t, end, pack(t, nil, batches...), false)
	if got.New != 1 || got.Shops[0].Signer != heron.Signer || got.Adoptions[0].Added != 1 {
		t.Errorf("%+v", got)
	}
	if text := holds(t, end); !strings.Contains(text, "part C2") || strings.Contains(text, "part C1") {
		t.Errorf("%s", text)
	}
	origins, err := end.Origins(t.Context(), wrenRef, []board.Statement{{Head: "part C2"}})
	if err != nil || len(origins[0]) != 1 || origins[0][0].Author != heron.Label() {
		t.Errorf("%+v, %v", origins, err)
	}
}

func TestOwnWordGoesBefore(t *testing.T) {
	_, heron := shopOf(t, "Heron Repair")
	_, wren := shopOf(t, "Wren Repair")
	b := OpenMemory(atNoon)
	addOwn(t, b, "netlore 1\nboard Wren rev 1\npart C1 10uF\n")
	trust(t, b, heron, Trusted)
	trust(t, b, wren, Trusted)
	take(t, b, packOf(t, heron, nil, "part C1 22uF", "part C2 1uF", "part C3 1uF"), false)
	got := take(t, b, packOf(t, wren, nil, "part C2 2.2uF", "part C3 1uF"), false)
	if a := got.Adoptions[0]; len(a.Disputed) != 3 || a.Held != 2 || a.Added != 1 || a.Withdrawn != 1 {
		t.Errorf("%+v", a)
	}
	text := holds(t, b)
	if !strings.Contains(text, "part C1 10uF") || strings.Contains(text, "part C2") || !strings.Contains(text, "part C3 1uF") {
		t.Errorf("%s", text)
	}
	// Who says otherwise here is told whose word it is against.
	file, _ := sheet.Parse("own.lore", []byte("netlore 1\nboard Wren rev 1\npart C3 3uF\n"))
	_, err := b.Add(t.Context(), Addition{Subject: wrenSubject, Files: []*sheet.File{file}, Author: "bench-9"})
	var list diag.List
	if !errors.As(err, &list) || len(list[0].Related) != 1 || !strings.Contains(list[0].Related[0].Message, "said by Heron Repair "+heron.Shop.String()[:14]) && !strings.Contains(list[0].Related[0].Message, "said by Wren Repair "+wren.Shop.String()[:14]) {
		t.Errorf("%v, want to be told that another shop says so", err)
	}
	// What was told beforehand is what came to pass, and changes nothing.
	before := shared(t, b)
	p := packOf(t, wren, nil, "part C4 1uF", "part C1 1uF")
	look := take(t, b, p, true)
	if d := cmp.Diff(before, shared(t, b)); d != "" || look.Receipt != 0 {
		t.Errorf("looking has changed something: %s", d)
	}
	if d := cmp.Diff(look.Adoptions, take(t, b, p, false).Adoptions); d != "" {
		t.Errorf("foreseen and not so: %s", d)
	}
}

func TestWithdrawnByItsShop(t *testing.T) {
	_, heron := shopOf(t, "Heron Repair")
	_, mallory := shopOf(t, "Heron Repair")
	b := OpenMemory(atNoon)
	trust(t, b, heron, Trusted)
	trust(t, b, mallory, Trusted)
	take(t, b, packOf(t, heron, nil, "board Wren rev 1", "part C1 10uF"), false)
	id := exchange.About{Of: aboutWren.Of, By: heron.Shop.String(), Licence: aboutWren.Licence}.Entry("part C1 10uF\n")
	take(t, b, packOf(t, mallory, []exchange.ID{id}), false)
	if !strings.Contains(holds(t, b), "part C1") {
		t.Error("another shop has withdrawn it")
	}
	take(t, b, packOf(t, heron, []exchange.ID{id}), false)
	if strings.Contains(holds(t, b), "part C1") {
		t.Error("its own shop could not withdraw it")
	}
	take(t, b, packOf(t, heron, nil, "part C1 10uF"), false) // an old pack again
	if strings.Contains(holds(t, b), "part C1") {
		t.Error("an old pack has brought it back")
	}
}

func TestUndoTake(t *testing.T) {
	_, heron := shopOf(t, "Heron Repair")
	b := OpenMemory(atNoon)
	addOwn(t, b, "netlore 1\nboard Wren rev 1\npart C1 10uF\n")
	trust(t, b, heron, Trusted)
	take(t, b, packOf(t, heron, nil, "part C2 10uF"), false)
	before, text := shared(t, b), holds(t, b)
	taken := take(t, b, packOf(t, heron, nil, "part C2 10uF", "part C3 10uF"), false)
	if taken.New != 1 || !strings.Contains(holds(t, b), "part C3") {
		t.Fatalf("%+v", taken)
	}
	if _, _, err := b.UndoTake(t.Context(), taken.Receipt, "bench-9"); err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(before, shared(t, b)); d != "" || holds(t, b) != text {
		t.Errorf("%s\n%s", d, holds(t, b))
	}
	if _, _, err := b.UndoTake(t.Context(), taken.Receipt, "bench-9"); err == nil {
		t.Error("it was undone twice")
	}
	if _, _, err := b.UndoTake(t.Context(), 99, "bench-9"); !errors.Is(err, ErrUnknownReceipt) {
		t.Error(err)
	}
	if again := take(t, b, packOf(t, heron, nil, "part C3 10uF"), false); again.New != 1 || !strings.Contains(holds(t, b), "part C3") {
		t.Errorf("it cannot be taken again: %+v", again)
	}
}

// TestRevocationCountsFromWhenItIsHeard takes packs before and after it is heard
// that the bench's key is stolen. The packs claim whatever times they like.
func TestRevocationCountsFromWhenItIsHeard(t *testing.T) {
	dir, heron := shopOf(t, "Heron Repair")
	b := OpenMemory(atNoon)
	trust(t, b, heron, Trusted)
	before, after := packOf(t, heron, nil, "board Wren rev 1", "part C1 10uF"), packOf(t, heron, nil, "part C2 10uF")
	take(t, b, before, false)
	if _, err := exchange.Revoke(dir, heron.Key, "stolen", noon.Add(-1000*time.Hour), nil); err != nil {
		t.Fatal(err)
	}
	word := wordsOf(t, dir)
	if got := take(t, b, pack(t, word), false); len(got.Said) != 1 {
		t.Errorf("%+v", got)
	}
	got := take(t, b, after, false)
	var d diag.Diagnostic
	if got.New != 0 || len(got.Refused) != 1 || !errors.As(got.Refused[0], &d) || d.Code != "X208" {
		t.Errorf("%+v", got)
	}
	if text := holds(t, b); !strings.Contains(text, "part C1") || strings.Contains(text, "part C2") {
		t.Errorf("%s", text)
	}
	if got := take(t, b, pack(t, word), false); len(got.Said) != 0 {
		t.Errorf("it is news twice: %+v", got)
	}
	// A bench with a key of its own goes on.
	other := exchangetest.Further(t, dir)
	if got := take(t, b, packOf(t, other, nil, "part C2 10uF"), false); got.New != 1 || !strings.Contains(holds(t, b), "part C2") {
		t.Errorf("the other bench: %+v", got)
	}
}

func TestChangeOfKeyKeepsTrust(t *testing.T) {
	dir, heron := shopOf(t, "Heron Repair")
	b := OpenMemory(atNoon)
	trust(t, b, heron, Trusted)
	if _, err := exchange.Change(dir, nil, noon, nil); err != nil {
		t.Fatal(err)
	}
	next := exchangetest.Open(t, dir)
	got := take(t, b, packOf(t, next, nil, "board Wren rev 1", "part C1 10uF"), false)
	if len(got.Said) != 1 || !strings.Contains(holds(t, b), "part C1") {
		t.Errorf("%+v", got)
	}
	// The new key can withdraw what the old one has said.
	take(t, b, packOf(t, heron, nil, "part C9 10uF"), false)
	id := exchange.About{Of: aboutWren.Of, By: heron.Shop.String(), Licence: aboutWren.Licence}.Entry("part C9 10uF\n")
	before := holds(t, b)
	take(t, b, packOf(t, next, []exchange.ID{id}), false)
	if after := holds(t, b); !strings.Contains(before, "part C9") || strings.Contains(after, "part C9") {
		t.Errorf("%s\n%s", before, after)
	}
	// The new key can revoke what the old one has vouched for.
	if _, err := exchange.Revoke(dir, heron.Key, "", noon, nil); err != nil {
		t.Fatal(err)
	}
	take(t, b, pack(t, wordsOf(t, dir)), false)
	if got := take(t, b, packOf(t, heron, nil, "part C2 10uF"), false); len(got.Refused) != 1 {
		t.Errorf("%+v", got)
	}
}

func TestStrangersCannotFillTheDisk(t *testing.T) {
	fewStrangers(t)
	_, stranger := shopOf(t, "Cuckoo Repair")
	b := OpenMemory(atNoon)
	var say []string
	for n := range mostUnknown + 5000 {
		say = append(say, fmt.Sprintf("part C%d 10uF", n))
	}
	p := packOf(t, stranger, nil, say...)
	got := take(t, b, p, false)
	if got.New > mostUnknown || got.New < mostUnknown-exchange.MostEntries || len(got.Refused) != 1 || got.More == 0 {
		t.Errorf("%d were kept, %d refusals told, %d more", got.New, len(got.Refused), got.More)
	}
	if again := take(t, b, p, false); again.New != 0 || again.Known != got.New {
		t.Errorf("what is kept is not known: %+v", again)
	}
	trust(t, b, stranger, Listed)
	if rest := take(t, b, p, false); rest.New+rest.Known != len(say) {
		t.Errorf("once it is known, not all is taken: %+v", rest)
	}
}

// fewStrangers makes the bounds on what strangers can fill small.
func fewStrangers(t *testing.T) {
	one, all := mostUnknown, mostOfStrangers
	mostUnknown, mostOfStrangers = 5_000, 20_000
	t.Cleanup(func() { mostUnknown, mostOfStrangers = one, all })
}

// TestManyStrangersCannotFillTheDisk lets one after the other come with a new key.
func TestManyStrangersCannotFillTheDisk(t *testing.T) {
	fewStrangers(t)
	b := OpenMemory(atNoon)
	var say []string
	for n := range mostUnknown - 1 {
		say = append(say, fmt.Sprintf("part C%d 10uF", n))
	}
	kept := 0
	for n := range mostOfStrangers/mostUnknown + 2 {
		_, i := shopOf(t, fmt.Sprintf("Cuckoo %d", n))
		kept += take(t, b, packOf(t, i, nil, slices.Clone(say)...), false).New
	}
	if kept > mostOfStrangers || kept < mostOfStrangers-exchange.MostEntries {
		t.Errorf("%d were kept", kept)
	}
}

// TestTakingIsCutShort ends a pack in the middle: what came before stays, and the
// rest comes the next time.
func TestTakingIsCutShort(t *testing.T) {
	_, heron := shopOf(t, "Heron Repair")
	b := OpenMemory(atNoon)
	trust(t, b, heron, Trusted)
	one, two := packOf(t, heron, nil, "board Wren rev 1", "part C1 10uF"), packOf(t, heron, nil, "part C2 10uF")
	first, _ := exchange.NewReader(bytes.NewReader(one), "a.pack", noon)
	item, err := first.Next()
	if err != nil {
		t.Fatal(err)
	}
	items := []exchange.Item{item}
	taken, err := b.Take(t.Context(), func() (exchange.Item, error) {
		if len(items) == 0 {
			return exchange.Item{}, io.ErrUnexpectedEOF
		}
		i := items[0]
		items = items[1:]
		return i, nil
	}, Taking{From: "a.pack", Author: "bench-9"})
	if !errors.Is(err, io.ErrUnexpectedEOF) || taken == nil || taken.New != 2 || !strings.Contains(holds(t, b), "part C1") {
		t.Errorf("%+v, %v", taken, err)
	}
	take(t, b, two, false)
	stopped, stop := context.WithCancel(t.Context())
	stop()
	if _, err := b.Take(stopped, func() (exchange.Item, error) { return item, nil }, Taking{}); !errors.Is(err, context.Canceled) {
		t.Errorf("it was not stopped: %v", err)
	}
}

// TestPrivateLeavesNothing packs all that a base says, of which every private
// field holds a word that must not be found.
func TestPrivateLeavesNothing(t *testing.T) {
	_, heron := shopOf(t, "Heron Repair")
	b := OpenMemory(atNoon)
	addOwn(t, b, "netlore 1\nboard Wren rev 1\npart C1 10uF\njob 13 \"canary-symptom\"\n  1 note \"canary-step\"\n")
	if err := b.SetPrivate(t.Context(), "13", Private{"canary-customer", "canary-serial", "canary-remark"}); err != nil {
		t.Fatal(err)
	}
	picture := keptPhoto(t, b, wrenSubject.Ref)
	subjects, err := b.Subjects()
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range append(subjects, JobSubject("13")) {
		content, _, err := b.Said(t.Context(), s, "CC0-1.0")
		if err != nil {
			t.Fatal(err)
		}
		about := aboutWren
		about.Of = s.String()
		batches, err := heron.Batches(about, heron.Blocks(content), nil, noon)
		if err != nil {
			t.Fatal(err)
		}
		if p := pack(t, nil, batches...); bytes.Contains(p, []byte("canary")) || bytes.Contains(p, picture) || s == wrenSubject && !bytes.Contains(p, []byte("part C1 10uF")) {
			t.Errorf("of %s leaves:\n%s", s, p)
		}
	}
}

// TestExpectedByVote lets shops that are listed only say what they expect.
func TestExpectedByVote(t *testing.T) {
	b := OpenMemory(atNoon)
	addOwn(t, b, "netlore 1\nboard Wren rev 1\nnet VMAIN power\nnet V1 power\nnet V2 power\nexpect diode V1 0.5V\n"+
		"reading diode V2 0.6V good specimen a\nreading diode V2 0.6V good specimen b\nreading diode V2 0.6V good specimen c\n")
	say := func(volts string) []string {
		return []string{"expect diode VMAIN " + volts + " ±8% by LABEL", "expect diode V1 " + volts + " by LABEL", "expect diode V2 " + volts + " by LABEL", "part X1 10uF"}
	}
	var last *Taken
	var shops []*exchange.Identity
	for n, volts := range []string{"0.41V", "0.412V", "0.414V", "5V"} {
		_, i := shopOf(t, fmt.Sprintf("Shop %d", n))
		shops = append(shops, i)
		trust(t, b, i, Listed)
		last = take(t, b, packOf(t, i, nil, say(volts)...), false)
		if text := holds(t, b); strings.Contains(text, "expect diode VMAIN") != (n >= 2) || strings.Contains(text, "X1") {
			t.Errorf("after %d shops:\n%s", n+1, text)
		}
	}
	text := holds(t, b)
	if !strings.Contains(text, `expect diode VMAIN 0.412V ±8% by "shops that agree" "median of 3 shops, 0.41V to 0.414V"`) || strings.Count(text, "expect ") != 2 {
		t.Errorf("%s", text)
	}
	if a := last.Adoptions[0]; a.Agreed != 1 || a.Yielded != 8 || len(a.Disputed) != 1 || !strings.Contains(a.Disputed[0].Text, "5V") {
		t.Errorf("%+v", a)
	}
	// Two more shops move it.
	for n, volts := range []string{"0.45V", "0.452V", "0.454V", "0.456V"} {
		_, i := shopOf(t, fmt.Sprintf("Later %d", n))
		shops = append(shops, i)
		trust(t, b, i, Listed)
		last = take(t, b, packOf(t, i, nil, "expect diode VMAIN "+volts+" by LABEL"), n == 3)
	}
	if a := last.Adoptions[0]; a.Moved != 1 {
		t.Errorf("%+v\n%s", a, holds(t, b))
	}
	for _, i := range shops[4:] {
		trust(t, b, i, Unknown)
	}
	// A shop that is trusted is believed alone only where three do not agree.
	trust(t, b, shops[3], Trusted)
	if text := holds(t, b); strings.Contains(text, "VMAIN 5V") || !strings.Contains(text, "X1") {
		t.Errorf("%s", text)
	}
	trust(t, b, shops[0], Unknown)
	if text := holds(t, b); !strings.Contains(text, "VMAIN 5V") || strings.Contains(text, "agree") {
		t.Errorf("%s", text)
	}
}

// TestVerifyFindsWhatWasNotSigned changes what other shops have said as it lies in
// the base.
func TestVerifyFindsWhatWasNotSigned(t *testing.T) {
	_, heron := shopOf(t, "Heron Repair")
	for _, sort := range []byte{keyShared, keyManifest} {
		b := OpenMemory(atNoon)
		take(t, b, packOf(t, heron, nil, "part C1 10uF"), false)
		if _, err := b.Verify(t.Context(), nil); err != nil {
			t.Fatal(err)
		}
		if err := b.kv.update(func(w writer) error {
			return w.scan([]byte{sort}, func(key, value []byte) error {
				changed := bytes.Clone(value)
				changed[len(changed)-200*int(oneIf(sort == keyManifest))-2] ^= 1
				return w.put(bytes.Clone(key), changed)
			})
		}); err != nil {
			t.Fatal(err)
		}
		var damaged *DamagedError
		if _, err := b.Verify(t.Context(), nil); !errors.As(err, &damaged) {
			t.Errorf("%c: %v", sort, err)
		}
	}
}

// TestOtherLicencesStay adds statements under another licence than that under
// which the board is shared.
func TestOtherLicencesStay(t *testing.T) {
	b := OpenMemory(atNoon)
	addOwn(t, b, "netlore 1\nboard Wren rev 1\npart C1 10uF\n")
	file, _ := sheet.Parse("theirs.lore", []byte("netlore 1\nboard Wren rev 1\npart C2 10uF\n"))
	if _, err := b.Add(t.Context(), Addition{Subject: wrenSubject, Files: []*sheet.File{file}, Author: "bench-9", Licence: "CC-BY-SA-4.0"}); err != nil {
		t.Fatal(err)
	}
	for licence, want := range map[string]int{"CC0-1.0": 1, "CC-BY-SA-4.0": 2} {
		content, others, err := b.Said(t.Context(), wrenSubject, licence)
		if err != nil || len(content.Board.Parts) != want || others["CC-BY-SA-4.0"] != 2-want {
			t.Errorf("under %s: %d parts, left out %v, %v", licence, len(content.Board.Parts), others, err)
		}
	}
}

// TestLayout4 reads a base of the fourth layout, which knew of no other shops,
// and takes a pack. testdata/layout-4 was written by the program of then.
func TestLayout4(t *testing.T) {
	dir := t.TempDir()
	if err := os.CopyFS(dir, os.DirFS("testdata/layout-4")); err != nil {
		t.Fatal(err)
	}
	_, heron := shopOf(t, "Heron Repair")
	b := open(t, dir, Options{ReadOnly: true, Now: atNoon})
	text := holds(t, b)
	if !strings.Contains(text, "often cracked") || !strings.Contains(text, "removed C1") || format(t, b) != 4 {
		t.Errorf("layout %d:\n%s", format(t, b), text)
	}
	if shops, err := b.Shops(t.Context()); err != nil || len(shops) != 0 {
		t.Errorf("%v, %v", shops, err)
	}
	if err := b.Close(); err != nil {
		t.Fatal(err)
	}
	b = open(t, dir, Options{Now: atNoon})
	trust(t, b, heron, Trusted)
	take(t, b, packOf(t, heron, nil, "part C2 10uF"), false)
	if err := b.Close(); err != nil {
		t.Fatal(err)
	}
	b = open(t, dir, Options{ReadOnly: true, Now: atNoon})
	defer b.Close()
	if after := holds(t, b); !strings.Contains(after, "part C2 10uF") || format(t, b) != formatNumber {
		t.Errorf("layout %d:\n%s", format(t, b), after)
	}
	if p, err := b.Private(t.Context(), "13"); err != nil || p.Customer != "Smith" {
		t.Errorf("%+v, %v", p, err)
	}
}

// FuzzShared reads what other shops have said as it lies in the base.
func FuzzShared(f *testing.F) {
	e := sharedEntry{id: exchange.ID{1}, receipt: 7, made: true, shop: exchange.Key{2}, manifest: exchange.ID{3}, text: "part C1\n"}
	f.Add(sharedKey(wrenSubject, e.id), e.encode())
	f.Add([]byte("x"), []byte("\x00\x00\x00\x00\x00\x00\x00\x01\x05hello"))
	f.Fuzz(func(t *testing.T, key, value []byte) {
		if e, err := decodeShared(key, value); err == nil && len(value) > 8 && value[8] < 2 && !bytes.Equal(e.encode(), value) {
			t.Errorf("%x became %x", value, e.encode())
		}
		if _, manifest, signature, err := decodeBatch(value); err == nil && len(manifest)+len(signature) > len(value) {
			t.Error("more came out than went in")
		}
	})
}
