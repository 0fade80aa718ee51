package exchange

import (
	"archive/tar"
	"bytes"
	"crypto/sha256"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"runtime"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"netlore/query/diag"
	"netlore/store/board"
	"netlore/store/sheet"
)

var update = flag.Bool("update", false, "rewrite the expected files")

const wren = `netlore 1
board Wren rev 1 "a small board"

part C1 10uF
part C2 100nF

net GND ground
  C1 1
  C2 1
net VMAIN power 3.8V
  C1 2
  C2 2

expect diode VMAIN 0.412V ±8% by bench-2 when 2026-03-12T10:11Z "three good boards"

reading diode VMAIN 0.414V red-on-ground good meter M1 job 1042 specimen "Smith's" by Anna when 2026-02-03 "Smith's, from the left drawer"

note on VMAIN "the rail sags" tagged heat by Anna when 2026-01-14
`

func content(t testing.TB, text string) *sheet.Content {
	t.Helper()
	file, list := sheet.Parse("wren.lore", []byte(text))
	c, more := sheet.Read(file)
	if err := append(list, more...).Err(); err != nil {
		t.Fatal(err)
	}
	return c
}

var aboutWren = About{Of: "board Wren rev 1", Licence: "CC0-1.0", Origin: "measured on the bench"}

func wrenBatches(t testing.TB, i *Identity) []*Batch {
	t.Helper()
	all, err := i.Batches(aboutWren, i.Blocks(content(t, wren)), nil, morning)
	if err != nil {
		t.Fatal(err)
	}
	return all
}

func packed(t testing.TB, words []*Word, batches ...*Batch) []byte {
	t.Helper()
	var s bytes.Buffer
	w := NewWriter(&s)
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

// unpacked reads a pack to its end, or to what ends it.
func unpacked(pack io.Reader) (all []Item, err error) {
	r, err := NewReader(pack, "the pack", morning)
	for err == nil {
		var item Item
		if item, err = r.Next(); err == nil {
			all = append(all, item)
		}
	}
	if errors.Is(err, io.EOF) {
		err = nil
	}
	return all, err
}

func TestPackComesBack(t *testing.T) {
	dir, _ := heronRepair(t)
	if _, err := Change(dir, nil, morning, nil); err != nil {
		t.Fatal(err)
	}
	i := opened(t, dir)
	batches := wrenBatches(t, i)
	items, err := unpacked(bytes.NewReader(packed(t, i.Words, batches...)))
	if err != nil || len(items) != 2 || items[0].Word == nil || items[1].Batch == nil {
		t.Fatalf("%+v, %v", items, err)
	}
	got := items[1].Batch
	if d := cmp.Diff(batches[0], got); d != "" {
		t.Error(d)
	}
	if got.Signer != i.Signer || got.By != i.Shop.String() || !got.Whole() {
		t.Errorf("signed by %+v, want %+v", got.Signer, i.Signer)
	}
	part := got.Only(func(id ID) bool { return id == got.Entries[3].ID })
	if items, err = unpacked(bytes.NewReader(packed(t, nil, part))); err != nil || items[0].Batch == nil || len(items[0].Batch.Entries) != 1 {
		t.Errorf("of a part came back %+v, %v", items, err)
	}
}

// TestWhatLeaves compares what of Wren leaves the shop with what is said of it. The
// name of the specimen is another one for each bench.
func TestWhatLeaves(t *testing.T) {
	_, i := heronRepair(t)
	got := strings.Join(i.Blocks(content(t, wren)), "")
	label := `"` + i.Label() + `"`
	want := `board Wren rev 1 "a small board"
part C1 10uF
part C2 100nF
net GND ground
  C1 1
  C2 1
net VMAIN power 3.8V
  C1 2
  C2 2
expect diode VMAIN 0.412V ±8% by ` + label + ` when 2026-03-12 "three good boards"
reading diode VMAIN 0.414V red-on-ground good meter M1 specimen ` + i.specimen("Smith's", "") + ` by ` + label + ` when 2026-02-01
note on VMAIN "the rail sags" tagged heat by ` + label + ` when 2026-01-14
`
	if d := cmp.Diff(want, got); d != "" {
		t.Error(d)
	}
	_, other := heronRepair(t)
	if i.specimen("Smith's", "1042") == other.specimen("Smith's", "1042") || i.specimen("", "1042") == i.specimen("", "1043") || i.specimen("", "") != "" {
		t.Error("specimens are not hidden as they should be")
	}
}

// TestSSHKeygenChecksPack unpacks a pack and checks it with ssh-keygen and the
// hash of the sheet alone.
func TestSSHKeygenChecksPack(t *testing.T) {
	haveKeygen(t)
	_, i := heronRepair(t)
	dir := t.TempDir()
	files := members(t, packed(t, nil, wrenBatches(t, i)...))
	for name, text := range files {
		if err := os.WriteFile(filepath.Join(dir, name), text, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	signers := file(t, "signers", []byte(i.SignersLines()))
	out, err := keygen(t, files["0001.manifest"], "-Y", "verify", "-f", signers, "-I", "bench-1", "-n", BatchNamespace, "-s", filepath.Join(dir, "0001.sig"))
	if err != nil {
		t.Errorf("%v: %s", err, out)
	}
	if sum := fmt.Sprintf("\nsheet %x\n", sha256.Sum256(files["0001.lore"])); !strings.Contains(string(files["0001.manifest"]), sum) {
		t.Errorf("the manifest does not have%s", sum)
	}
	if parsed, list := sheet.Parse("0001.lore", files["0001.lore"]); list.HasErrors() || !bytes.Equal(parsed.Canonical(), files["0001.lore"]) {
		t.Errorf("the sheet is not a canonical one: %v", list)
	}
}

func members(t *testing.T, pack []byte) map[string][]byte {
	t.Helper()
	all := map[string][]byte{}
	for r := tar.NewReader(bytes.NewReader(pack)); ; {
		header, err := r.Next()
		if errors.Is(err, io.EOF) {
			return all
		}
		if err != nil {
			t.Fatal(err)
		}
		if all[header.Name], err = io.ReadAll(r); err != nil {
			t.Fatal(err)
		}
	}
}

// TestForged changes a pack in every way that a forger might try first.
func TestForged(t *testing.T) {
	_, i := heronRepair(t)
	_, mallory := heronRepair(t) // a shop of the same name
	good := wrenBatches(t, i)[0]
	sheet := string(good.sheet())
	inHisName := About{Of: good.Of, Licence: good.Licence}
	for name, c := range map[string]struct {
		code                string
		manifest, signature []byte
		sheet               string
	}{
		"as it is":                    {"", good.Signed, good.Signature, sheet},
		"a part":                      {"", good.Signed, good.Signature, sheetHead + "board Wren rev 1\n\npart C1 10uF\n"},
		"nothing":                     {"", good.Signed, good.Signature, sheetHead},
		"a value changed":             {"X206", good.Signed, good.Signature, strings.Replace(sheet, "10uF", "22uF", 1)},
		"a statement put in":          {"X206", good.Signed, good.Signature, sheet + "part C9 10uF\n"},
		"one said twice":              {"X206", good.Signed, good.Signature, strings.Replace(sheet, "part C1 10uF\n", "part C1 10uF\npart C1 10uF\n", 1)},
		"order changed":               {"X206", good.Signed, good.Signature, strings.Replace(sheet, "part C1 10uF\npart C2 100nF\n", "part C2 100nF\npart C1 10uF\n", 1)},
		"cut within a line":           {"X206", good.Signed, good.Signature, sheet[:len(sheet)-3]},
		"no sheet":                    {"X206", good.Signed, good.Signature, "part C1 10uF\n"},
		"manifest changed":            {"X204", bytes.Replace(good.Signed, []byte("CC0"), []byte("CC1"), 1), good.Signature, sheet},
		"another's signature":         {"X204", good.Signed, wrenBatches(t, mallory)[0].Signature, sheet},
		"no signature":                {"X204", good.Signed, nil, sheet},
		"signed anew by somebody":     {"X205", good.Signed, signed(t, good.Signed, mallory), sheet},
		"a signature for another use": {"X204", good.Signed, signedFor(t, good.Signed, i, "git"), sheet},
		"no manifest":                 {"X203", []byte("hello\n"), signed(t, []byte("hello\n"), i), sheet},
		"an unknown line":             {"X203", append(bytes.Clone(good.Signed), "x\n"...), signed(t, append(bytes.Clone(good.Signed), "x\n"...), i), sheet},
		"in another's name":           malloryBatch(t, mallory, inHisName, "note on VMAIN \"x\" by \""+i.Label()+"\"\n"),
		"in two names":                withCode("X214", malloryBatch(t, mallory, inHisName, "note on VMAIN \"x\" by \""+mallory.Label()+"\" by \""+i.Label()+"\"\n")),
		"a name in the text":          malloryBatch(t, mallory, inHisName, "note on VMAIN \"x by \\\""+mallory.Label()+"\\\" by\"\n"),
		"in nobody's name":            malloryBatch(t, mallory, inHisName, "expect diode VMAIN 0.4V\n"),
		"a job":                       withCode("X210", malloryBatch(t, mallory, inHisName, "job 1042 of Wren\n")),
		"about something else":        withCode("X206", malloryBatch(t, mallory, inHisName, "board Heron-A rev 3\n")),
		"a question on a board":       withCode("X206", malloryBatch(t, mallory, inHisName, "question x \"parts\"\n")),
		"a chance on a board":         withCode("X206", malloryBatch(t, mallory, inHisName, "chance capacitor short 99% by \""+mallory.Label()+"\"\n")),
		"a chance in nobody's name":   malloryBatch(t, mallory, About{Of: "chances", Licence: good.Licence}, "chance capacitor short 99%\n"),
		"without a licence":           withCode("X213", malloryBatch(t, mallory, About{Of: good.Of}, "part C1\n")),
		"from a day to come":          withCode("X211", malloryBatch(t, mallory, inHisName, "note on VMAIN \"x\" by \""+mallory.Label()+"\" when 2026-03-19\n")),
		"of tomorrow":                 withCode("", malloryBatch(t, mallory, inHisName, "note on VMAIN \"x\" by \""+mallory.Label()+"\" when 2026-03-17\n")),
		"a statement nobody can read": withCode("X214", malloryBatch(t, mallory, inHisName, "part C1 tenuF 5 6 7\n")),
		"about nothing":               withCode("X206", malloryBatch(t, mallory, About{Of: "job 1", Licence: good.Licence}, "part C1\n")),
	} {
		b, err := ReadBatch(c.manifest, c.signature, []byte(c.sheet), morning)
		var d diag.Diagnostic
		errors.As(err, &d)
		if d.Code != c.code {
			t.Errorf("%s: %v, want %q", name, err, c.code)
		}
		if c.code == "" && name != "of tomorrow" && (b.Signer != i.Signer || name == "as it is" && !b.Whole()) {
			t.Errorf("%s: %+v", name, b)
		}
	}
}

// canary fills every text of a value, and gives each list one element.
func canary(v reflect.Value, path string) {
	switch v.Kind() {
	case reflect.String:
		v.SetString("canary-" + path)
	case reflect.Slice:
		v.Set(reflect.MakeSlice(v.Type(), 1, 1))
		canary(v.Index(0), path)
	case reflect.Struct:
		if v.Type() == reflect.TypeFor[time.Time]() {
			v.Set(reflect.ValueOf(time.Date(2026, 2, 17, 13, 14, 15, 0, time.UTC)))
			return
		}
		for i := range v.NumField() {
			if v.Type().Field(i).IsExported() {
				canary(v.Field(i), path+"-"+v.Type().Field(i).Name)
			}
		}
	}
}

// TestCanary fills every text of all that can be known of a board, and looks which
// of them leave the shop. A field that is new must be thought about here.
func TestCanary(t *testing.T) {
	_, i := heronRepair(t)
	var k board.Knowledge
	canary(reflect.ValueOf(&k).Elem(), "k")
	one, _ := board.ParseQuantity("0.4V", board.Volt)
	k.Readings[0].Mode, k.Readings[0].Value, k.Readings[0].On.Kind = board.Diode, one, board.OnNet
	k.Expected[0].Mode, k.Expected[0].Value, k.Expected[0].On.Kind = board.Diode, one, board.OnNet
	k.Links[0].A.Kind, k.Links[0].B.Kind = board.OnPin, board.OnPin
	k.Notes[0].On[0].Kind = board.OnNet
	k.Questions[0].Name, k.Questions[0].Parameters = "canary", nil
	k.Chances[0].Of = "capacitor"
	all := string(sheet.Write(&sheet.Content{Knowledge: i.shareable(&k)}))
	var found []string
	for _, word := range regexp.MustCompile(`canary[A-Za-z-]*`).FindAllString(all, -1) {
		if !slices.Contains(found, word) {
			found = append(found, word)
		}
	}
	slices.Sort(found)
	want := strings.Fields(`canary
		canary-k-Chances-Text
		canary-k-Expected-On-Name canary-k-Expected-On-Pin canary-k-Expected-On-Role canary-k-Expected-Text
		canary-k-Links-A-Name canary-k-Links-A-Pin canary-k-Links-A-Role canary-k-Links-B-Name canary-k-Links-B-Pin canary-k-Links-B-Role
		canary-k-Meters-Name
		canary-k-Notes-On-Name canary-k-Notes-On-Pin canary-k-Notes-On-Role canary-k-Notes-Tags canary-k-Notes-Text
		canary-k-Questions-Text
		canary-k-Readings-Meter canary-k-Readings-On-Name canary-k-Readings-On-Pin canary-k-Readings-On-Role canary-k-Readings-State canary-k-Readings-To-Name canary-k-Readings-To-Pin canary-k-Readings-To-Role`)
	if d := cmp.Diff(want, found); d != "" {
		t.Errorf("what leaves the shop (-want +got):\n%s\n%s", d, all)
	}
	if regexp.MustCompile(`(?m)^(reading|continuity).*2026-02-17|13:14`).MatchString(all) {
		t.Errorf("the day of a reading, or a time of day, leaves the shop:\n%s", all)
	}
}

type forgery = struct {
	code                string
	manifest, signature []byte
	sheet               string
}

func malloryBatch(t *testing.T, mallory *Identity, about About, block string) forgery {
	t.Helper()
	all, err := mallory.Batches(about, []string{block}, nil, morning)
	if err != nil {
		t.Fatal(err)
	}
	return forgery{"X205", all[0].Signed, all[0].Signature, string(all[0].sheet())}
}

func withCode(code string, f forgery) forgery {
	f.code = code
	return f
}

func signed(t *testing.T, message []byte, by *Identity) []byte {
	return signedFor(t, message, by, BatchNamespace)
}

func signedFor(t *testing.T, message []byte, by *Identity, namespace string) []byte {
	t.Helper()
	signature, err := sign(message, by.signer, namespace)
	if err != nil {
		t.Fatal(err)
	}
	return signature
}

// TestCutShort ends a pack at each of its blocks: what is whole before it comes
// out, and the end is never taken for the end of the pack.
func TestCutShort(t *testing.T) {
	_, i := heronRepair(t)
	first := wrenBatches(t, i)[0]
	second, err := i.Batches(About{Of: "questions", Licence: "CC0-1.0"}, []string{"question big \"parts with value above 1uF\"\n"}, nil, morning)
	if err != nil {
		t.Fatal(err)
	}
	pack := packed(t, nil, first, second[0])
	whole, err := unpacked(bytes.NewReader(pack))
	if err != nil || len(whole) != 2 {
		t.Fatal(whole, err)
	}
	for n := 0; n < len(pack)-3*512; n += 256 { // the text of the end, and two empty blocks
		some, err := unpacked(bytes.NewReader(pack[:n]))
		var d diag.Diagnostic
		if !errors.As(err, &d) || d.Code != "X201" || len(some) > 2 {
			t.Errorf("cut at %d of %d: %d items, %v", n, len(pack), len(some), err)
		}
	}
}

// TestOddPacks reads packs that nothing of ours has written.
func TestOddPacks(t *testing.T) {
	for name, c := range map[string]struct{ code, member, text string }{
		"a path":            {"X202", "../0001.manifest", ""},
		"a path from root":  {"X202", "/etc/0001.manifest", ""},
		"a path within":     {"X202", "0001.x/../../y", ""},
		"not the next one":  {"X202", "0002.manifest", ""},
		"another ending":    {"X202", "0001.exe", ""},
		"too large":         {"X207", "0001.manifest", strings.Repeat("x", maxManifest+1)},
		"a manifest alone":  {"X202", "0001.manifest", "hello"},
		"an end of another": {"X201", "end", fmt.Sprintf(endFormat, 7)},
	} {
		var s bytes.Buffer
		w := tar.NewWriter(&s)
		if err := errors.Join(member(w, c.member, 0o644, []byte(c.text)), member(w, endMember, 0o644, fmt.Appendf(nil, endFormat, 1)), w.Close()); err != nil {
			t.Fatal(err)
		}
		_, err := unpacked(&s)
		var d diag.Diagnostic
		if errors.As(err, &d); d.Code != c.code {
			t.Errorf("%s: %v, want %s", name, err, c.code)
		}
	}
	for code, text := range map[string]string{"X209": wren, "X201": "hello"} {
		_, err := unpacked(strings.NewReader(text))
		wantCode(t, err, code)
	}
	_, err := unpacked(bytes.NewReader(nil))
	wantCode(t, err, "X201")
}

// TestManySharedStatements makes as many batches as a large board takes, and
// withdraws as much.
func TestManySharedStatements(t *testing.T) {
	_, i := heronRepair(t)
	var blocks []string
	var gone []ID
	for n := range 3 * MostEntries {
		blocks = append(blocks, fmt.Sprintf("part C%d 10uF\n", n))
		gone = append(gone, ID{byte(n), byte(n >> 8)})
	}
	batches, err := i.Batches(aboutWren, blocks, gone, morning)
	if err != nil || len(batches) < 6 {
		t.Fatal(len(batches), err)
	}
	items, err := unpacked(bytes.NewReader(packed(t, nil, batches...)))
	if err != nil {
		t.Fatal(err)
	}
	var texts []string
	var retracted []ID
	for _, item := range items {
		if item.Refused != nil {
			t.Fatal(item.Refused)
		}
		retracted = append(retracted, item.Batch.Retracts...)
		for _, e := range item.Batch.Entries {
			texts = append(texts, e.Text)
		}
	}
	if !slices.Equal(texts, blocks) || !slices.Equal(retracted, gone) {
		t.Error("not all has come through")
	}
	if _, err := i.Batches(aboutWren, []string{"net GND\n" + strings.Repeat("  C1 1\n", 100_000)}, nil, morning); err == nil {
		t.Error("a statement larger than a batch was signed")
	}
}

// TestMemoryOfLargePack reads a pack of half a gigabyte as it is written: memory does
// not grow with it.
func TestMemoryOfLargePack(t *testing.T) {
	if testing.Short() {
		t.Skip("takes seconds")
	}
	_, i := heronRepair(t)
	var blocks []string
	for n := range MostEntries {
		blocks = append(blocks, fmt.Sprintf("part C%d 10uF 6.3V 0402 top at %d.5,%d.25\n", n, n%100, n/100))
	}
	batches, err := i.Batches(aboutWren, blocks, nil, morning)
	if err != nil {
		t.Fatal(err)
	}
	out, in := io.Pipe()
	const times = 2000
	go func() {
		w := NewWriter(in)
		for range times {
			if w.Batch(batches[0]) != nil {
				return
			}
		}
		w.Close()
		in.Close()
	}()
	r, err := NewReader(out, "the pack", morning)
	if err != nil {
		t.Fatal(err)
	}
	var most, bytes uint64
	for n := 0; ; n++ {
		item, err := r.Next()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil || item.Batch == nil {
			t.Fatal(item.Refused, err)
		}
		bytes += uint64(len(item.Batch.Signed) + len(item.Batch.sheet()))
		if n%100 == 0 {
			var m runtime.MemStats
			runtime.GC()
			runtime.ReadMemStats(&m)
			most = max(most, m.HeapAlloc)
		}
	}
	if t.Logf("%d MB read, %d MB of heap", bytes>>20, most>>20); most > 32<<20 || bytes < 400<<20 {
		t.Error("too much memory, or too small a pack")
	}
}

// TestGoldenPack reads a pack that an earlier netlore has written: its entries
// must have the ids that they had then.
func TestGoldenPack(t *testing.T) {
	if *update {
		_, i := heronRepair(t)
		if err := os.WriteFile("testdata/wren-1.pack", packed(t, nil, wrenBatches(t, i)...), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	pack, err := os.Open("testdata/wren-1.pack")
	if err != nil {
		t.Fatal(err)
	}
	defer pack.Close()
	items, err := unpacked(pack)
	if err != nil || len(items) != 1 || items[0].Batch == nil {
		t.Fatalf("%+v, %v", items, err)
	}
	b := items[0].Batch
	var s strings.Builder
	fmt.Fprintf(&s, "%s, shop %s\n%s, %s, %s\n", b.Signer, b.Signer.Shop, b.Of, b.Licence, b.Time.Format(time.RFC3339))
	for _, e := range b.Entries {
		fmt.Fprintf(&s, "\n%s\n%s", e.ID, e.Text)
	}
	golden := "testdata/wren-1.txt"
	if *update {
		if err := os.WriteFile(golden, []byte(s.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(golden)
	if d := cmp.Diff(string(want), s.String()); err != nil || d != "" {
		t.Errorf("%v %s", err, d)
	}
}

// TestStatementTooLong: what no batch can hold is refused with a code, and named.
func TestStatementTooLong(t *testing.T) {
	_, i := heronRepair(t)
	_, err := i.Batches(About{Of: "board Wren rev 1", Licence: "CC0-1.0"}, []string{"net GND ground\n" + strings.Repeat("  C1 1\n", 50_000)}, nil, morning)
	wantCode(t, err, "X215")
	if err == nil || !strings.Contains(err.Error(), "net GND ground") || len(err.Error()) > 1000 {
		t.Errorf("%.2000v", err)
	}
}

// TestLongStatementIsParted: a ground net that no batch can hold is shared in parts, which
// come to the same board; each part is as it was while none of its members changes.
func TestLongStatementIsParted(t *testing.T) {
	_, i := heronRepair(t)
	pinned := func(parts int) (*sheet.Content, []string) {
		var text strings.Builder
		text.WriteString("netlore 1\nboard Wren rev 1\n\nnet GND ground\n")
		for n := range parts {
			fmt.Fprintf(&text, "  C%d 1 2 3 4\n", n)
		}
		c := content(t, text.String())
		return c, i.Blocks(c)
	}
	whole, blocks := pinned(60_000)
	about := About{Of: "board Wren rev 1", Licence: "CC0-1.0"}
	batches, err := i.Batches(about, blocks, nil, morning)
	if err != nil {
		t.Fatal(err)
	}
	nets := 0
	for _, b := range batches {
		taken, err := ReadBatch(b.Signed, b.Signature, b.sheet(), morning)
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range taken.Entries {
			nets += strings.Count(e.Text, "net GND ground\n")
		}
	}
	if nets < 5 {
		t.Errorf("the net is in %d statements, so nothing was parted", nets)
	}
	again := content(t, string(Sheet(about.Of, blocks)))
	if d := cmp.Diff(string(sheet.Write(whole)), string(sheet.Write(again))); d != "" {
		t.Errorf("it is another board (-want +got):\n%.2000s", d)
	}
	_, more := pinned(60_001)
	if !slices.Equal(more[60_002:][:nets-1], blocks[60_001:][:nets-1]) {
		t.Error("one part more at its end, and all parts of the net are others")
	}
}
