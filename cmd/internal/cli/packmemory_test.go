//go:build unix

package cli

import (
	"archive/tar"
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"netlore/store/exchange"
)

// TestPackMemoryIsBounded streams packs of 300 MB into a process of its own, which looks
// at them. What it holds of a pack does not grow with the pack: neither with entries that
// come again and again, nor with batches that hold no entry, nor with what nobody has
// signed.
func TestPackMemoryIsBounded(t *testing.T) {
	if raced {
		t.Skip("the memory of the race detector cannot be told from ours; the tests without it measure")
	}
	const mostMB, size = 110, 300 << 20
	d := benchOf(t, "Wren Repair")
	about := exchange.About{Of: "board Wren rev 1", Licence: "CC0-1.0"}
	id := filepath.Join(t.TempDir(), "id")
	if _, err := exchange.Make(id, exchange.Making{Shop: "Heron Repair", Bench: "bench-1"}, nil); err != nil {
		t.Fatal(err)
	}
	heron, err := exchange.Open(id, nil)
	if err != nil {
		t.Fatal(err)
	}
	d.add("part C1 10uF\n")
	d.run("trust", heron.Shop.AuthorizedKey()+" heron", "trusted")
	var blocks []string
	var gone []exchange.ID
	for n := range exchange.MostEntries {
		blocks = append(blocks, fmt.Sprintf("part C%d 10uF 0402 top at 1.25,%d.5 \"%s\"\n", n, n, strings.Repeat("x", 80)))
		gone = append(gone, about.Entry(blocks[n]))
	}
	for name, c := range map[string]struct {
		blocks   []string
		retracts []exchange.ID
		code     int
		says     string
	}{
		"entries again and again":       {blocks, nil, exitOK, "by bench-1 of Heron Repair"},
		"batches that only withdraw":    {nil, gone, exitOK, "0 statements new"},
		"sheets that nobody has signed": {nil, nil, exitFound, "error X209: a sheet in the pack is not signed"},
	} {
		t.Run(name, func(t *testing.T) {
			batches, err := heron.Batches(about, c.blocks, c.retracts, d.now)
			if err != nil {
				t.Fatal(err)
			}
			pack, w := io.Pipe()
			go func() { w.CloseWithError(stream(w, batches, size)) }()
			var said bytes.Buffer
			cmd := exec.Command("netlore", "merge", "-")
			cmd.Env = append(os.Environ(), "NETLORE_NOW="+d.now.Format("2006-01-02T15:04:05Z"), "NETLORE_BASE="+d.env("NETLORE_BASE"), "NETLORE_IDENTITY="+d.env("NETLORE_IDENTITY"))
			cmd.Stdin, cmd.Stdout, cmd.Stderr = pack, &said, &said
			peak := peakOf(t, cmd)
			cmd.Run()
			if code := cmd.ProcessState.ExitCode(); code != c.code || !strings.Contains(said.String(), c.says) {
				t.Errorf("exit code %d, want %d, and %q in\n%.1000s", code, c.code, c.says, &said)
			}
			got := peak()
			t.Logf("%.0f MB", got)
			if got > mostMB {
				t.Errorf("it took %.0f MB of memory, want %d at most", got, mostMB)
			}
		})
	}
}

// stream writes a pack of so many bytes with the same batches again and again; without
// any, with sheets that nobody has signed.
func stream(w io.Writer, batches []*exchange.Batch, size int) error {
	counted := &counter{to: w}
	if len(batches) == 0 {
		return unsigned(counted, size)
	}
	pack := exchange.NewWriter(counted)
	for counted.n < size {
		for _, b := range batches {
			if err := pack.Batch(b); err != nil {
				return err
			}
		}
	}
	return pack.Close()
}

func unsigned(w *counter, size int) error {
	archive := tar.NewWriter(w)
	sheet := []byte("netlore 1\n" + strings.Repeat("part C1 10uF\n", 20_000))
	members := 0
	member := func(name string, text []byte) error {
		if err := archive.WriteHeader(&tar.Header{Name: name, Mode: 0o644, Size: int64(len(text))}); err != nil {
			return err
		}
		_, err := archive.Write(text)
		return err
	}
	for w.n < size {
		members++
		if err := member(fmt.Sprintf("%04d.lore", members), sheet); err != nil {
			return err
		}
	}
	return errors.Join(member("end", fmt.Appendf(nil, "netlore pack 1\nmembers %d\n", members)), archive.Close())
}

type counter struct {
	to io.Writer
	n  int
}

func (c *counter) Write(p []byte) (int, error) {
	n, err := c.to.Write(p)
	c.n += n
	return n, err
}
