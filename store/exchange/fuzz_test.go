package exchange

import (
	"bytes"
	"crypto/ed25519"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"golang.org/x/crypto/ssh"
)

// FuzzParseWord reads what may be said of keys: what is taken is signed, and reads
// back to itself.
func FuzzParseWord(f *testing.F) {
	dir, i := heronRepair(f)
	w, err := Revoke(dir, i.Key, "lost", morning, nil)
	if err != nil {
		f.Fatal(err)
	}
	f.Add(w.Text())
	if w, err = Change(dir, nil, morning, nil); err != nil {
		f.Fatal(err)
	}
	f.Add(w.Text())
	f.Add([]byte(wordHead + armour))
	f.Fuzz(func(t *testing.T, text []byte) {
		w, err := ParseWord(text)
		if err != nil {
			return
		}
		again, err := ParseWord(w.Text())
		if err != nil || again.Key != w.Key || again.By != w.By || !bytes.HasPrefix(text, again.message()) {
			t.Errorf("%+v, then %+v, %v", w, again, err)
		}
	})
}

// FuzzVerify reads signatures and certificates.
func FuzzVerify(f *testing.F) {
	seed := unhex(f, "9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60")
	key := ed25519.NewKeyFromSeed(seed)
	signer, err := ssh.NewSignerFromSigner(key)
	if err != nil {
		f.Fatal(err)
	}
	message := []byte("what was signed\n")
	signature, err := sign(message, signer, BatchNamespace)
	if err != nil {
		f.Fatal(err)
	}
	line, err := vouchLine(signer, "Heron Repair", "bench-1", publicOf(signer))
	if err != nil {
		f.Fatal(err)
	}
	f.Add(signature)
	f.Add(line)
	f.Add([]byte(armour + "\n-----END SSH SIGNATURE-----\n"))
	f.Fuzz(func(t *testing.T, armoured []byte) {
		if by, err := verify(message, armoured, BatchNamespace); err == nil && by.Key != publicOf(signer) {
			t.Errorf("%v has signed nothing", by)
		}
		if _, by, err := parseCertificate(armoured); err == nil && by.Shop != publicOf(signer) {
			t.Errorf("%v has vouched for nobody", by.Shop)
		}
	})
}

// FuzzReadBundle reads exported identities: whatever they are, no name leads out of
// the folder.
func FuzzReadBundle(f *testing.F) {
	dir, _ := heronRepair(f)
	var archive bytes.Buffer
	if err := Export(dir, &archive); err != nil {
		f.Fatal(err)
	}
	f.Add(archive.Bytes())
	f.Add(archive.Bytes()[:700])
	f.Fuzz(func(t *testing.T, archive []byte) {
		files, _ := readBundle(bytes.NewReader(archive))
		for _, file := range files {
			if !filepath.IsLocal(file.name) || filepath.Base(file.name) != file.name {
				t.Errorf("%q", file.name)
			}
		}
	})
}

// FuzzUnpack reads packs: it ends, and what comes out is what was signed.
func FuzzUnpack(f *testing.F) {
	_, i := heronRepair(f)
	pack := packed(f, nil, wrenBatches(f, i)...)
	f.Add(pack)
	f.Add(pack[:3000])
	f.Add([]byte(wren))
	golden, err := os.ReadFile("testdata/wren-1.pack")
	if err != nil {
		f.Fatal(err)
	}
	f.Add(golden)
	f.Fuzz(func(t *testing.T, pack []byte) {
		items, _ := unpacked(bytes.NewReader(pack))
		for _, item := range items {
			if b := item.Batch; b != nil {
				if _, err := verify(b.Signed, b.Signature, BatchNamespace); err != nil || len(b.Entries) > len(b.Manifest.Entries) {
					t.Errorf("%d of %d entries: %v", len(b.Entries), len(b.Manifest.Entries), err)
				}
			}
		}
	})
}

// FuzzManifest reads manifests: what is taken is written in the same bytes.
func FuzzManifest(f *testing.F) {
	_, i := heronRepair(f)
	f.Add(wrenBatches(f, i)[0].Signed)
	f.Add([]byte(manifestHead + "of stack Heron\nby x\ntime 2026-03-16T09:00:00Z\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		if m, err := parseManifest(text); err == nil && !bytes.Equal(m.text(), text) {
			t.Errorf("%q became %q", text, m.text())
		}
	})
}

// FuzzBlocks parts texts into blocks: put together again, they are parted alike.
func FuzzBlocks(f *testing.F) {
	f.Add(wren)
	f.Add("netlore 1\n\n  x\n")
	f.Fuzz(func(t *testing.T, text string) {
		blocks, ok := blocksOf(text)
		if !ok {
			return
		}
		again, _ := blocksOf(string(sheetOf("questions", blocks)))
		if !slices.Equal(blocks, again) {
			t.Errorf("%q became %q", blocks, again)
		}
		for _, b := range blocks {
			saysBy(b, "x")
		}
	})
}
