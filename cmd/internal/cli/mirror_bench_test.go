package cli

import (
	"crypto/sha256"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// BenchmarkMirrorUnchanged mirrors a base and a folder in which nothing has changed: two
// shops with 100 boards each. Then with a sheet that was touched, so that all is read,
// checked and compared. Beside it are the bare look at the files, and their hashes.
func BenchmarkMirrorUnchanged(b *testing.B) {
	const boards, parts = 100, 300
	d, other := benchOf(b, "Heron Repair"), benchOf(b, "Wren Repair")
	folder := filepath.Join(d.dir, "shared")
	for n, one := range []*shopBench{d, other} {
		one.now = time.Now().Add(time.Minute)
		sheets := filepath.Join(one.dir, "sheets")
		if err := os.Mkdir(sheets, 0o755); err != nil {
			b.Fatal(err)
		}
		for k := range boards {
			text := fmt.Sprintf("netlore 1\nboard Wren-%d-%d rev 1\n", n, k)
			for p := range parts {
				text += fmt.Sprintf("part C%d %dnF 0402 top at %d.5,%d.25\n", p, 1+p, p%30, p/30)
			}
			text += "expect diode VMAIN 0.412V ±8%\nnote on VMAIN \"often cracked\"\nnet VMAIN power\n  C1 1\n"
			if err := os.WriteFile(filepath.Join(sheets, fmt.Sprintf("%d.lore", k)), []byte(text), 0o644); err != nil {
				b.Fatal(err)
			}
		}
		one.run("add", sheets)
		one.run("mirror", folder, "--licence", "CC0-1.0")
	}
	d.may("", "mirror", folder)
	d.run("trust", other.key(), "trusted")
	d.run("mirror", folder)
	b.Run("unchanged", func(b *testing.B) {
		for b.Loop() {
			if printed := d.run("mirror", folder); !strings.HasSuffix(printed, "nothing to do\n") {
				b.Fatal(printed)
			}
		}
	})
	var files []string
	var size int64
	look := func(each func(path string)) {
		filepath.WalkDir(folder, func(path string, e fs.DirEntry, err error) error {
			if err == nil && !e.IsDir() {
				each(path)
			}
			return err
		})
	}
	look(func(path string) { files = append(files, path) })
	b.Run("files looked at", func(b *testing.B) {
		for b.Loop() {
			size = 0
			look(func(path string) {
				if info, err := os.Lstat(path); err == nil {
					size += info.Size()
				}
			})
		}
		b.ReportMetric(float64(len(files)), "files")
		b.ReportMetric(float64(size), "bytes")
	})
	b.Run("files hashed", func(b *testing.B) {
		for b.Loop() {
			for _, path := range files {
				text, err := os.ReadFile(path)
				if err != nil {
					b.Fatal(err)
				}
				sha256.Sum256(text)
			}
		}
	})
	touched := globbed(b, folder, "*/*/notes.lore")[0]
	b.Run("one file touched", func(b *testing.B) {
		for n := 0; b.Loop(); n++ {
			if err := os.Chtimes(touched, time.Time{}, time.Now().Add(-time.Duration(n)*time.Minute)); err != nil {
				b.Fatal(err)
			}
			if printed := d.run("mirror", folder); !strings.Contains(printed, "0 files written") {
				b.Fatal(printed)
			}
		}
	})
}
