package exchange

import (
	"bytes"
	"crypto/ed25519"
	"encoding/hex"
	"testing"

	"golang.org/x/crypto/ssh"
)

// TestRFC8032 signs the messages of RFC 8032, section 7.1, tests 1 to 3, with the
// signers that sign for us.
func TestRFC8032(t *testing.T) {
	for _, c := range []struct{ secret, public, message, signature string }{
		{"9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60", "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a", "",
			"e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e065224901555fb8821590a33bacc61e39701cf9b46bd25bf5f0595bbe24655141438e7a100b"},
		{"4ccd089b28ff96da9db6c346ec114e0f5b8a319f35aba624da8cf6ed4fb8a6fb", "3d4017c3e843895a92b70aa74d1b7ebc9c982ccf2ec4968cc0cd55f12af4660c", "72",
			"92a009a9f0d4cab8720e820b5f642540a2b27b5416503f8fb3762223ebdb69da085ac1e43e15996e458f3613d0f11d8c387b2eaeb4302aeeb00d291612bb0c00"},
		{"c5aa8df43f9f837bedb7442f31dcb7b166d38535076f094b85ce3a2e0b4458f7", "fc51cd8e6218a1a38da47ed00230f0580816ed13ba3303ac5deb911548908025", "af82",
			"6291d657deec24024827e69c3abe01a30ce548a284743a445e3680d7db5ac3ac18ff9b538d16f290ae67f760984dc6594a7c15e9716ed28dc027beceea1ec40a"},
	} {
		key := ed25519.NewKeyFromSeed(unhex(t, c.secret))
		signer, err := ssh.NewSignerFromSigner(key)
		if err != nil {
			t.Fatal(err)
		}
		if public := publicOf(signer); !bytes.Equal(public[:], unhex(t, c.public)) {
			t.Errorf("public key %x, want %s", public, c.public)
		}
		signature, err := signer.Sign(nil, unhex(t, c.message))
		if err != nil || !bytes.Equal(signature.Blob, unhex(t, c.signature)) {
			t.Errorf("signature %x, %v, want %s", signature.Blob, err, c.signature)
		}
		if err := publicOf(signer).public().Verify(unhex(t, c.message), signature); err != nil {
			t.Error(err)
		}
		signature.Blob[40] ^= 1
		if publicOf(signer).public().Verify(unhex(t, c.message), signature) == nil {
			t.Error("a signature with one bit changed was taken")
		}
	}
}

func TestFingerprint(t *testing.T) {
	key := Key(unhex(t, "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a"))
	// The first 100 bits of the hash that OpenSSH shows, worked out by another
	// program (the base32 of Python's library, with its letters changed).
	if got, want := key.String(), "dpty-ke51-qb71-sqct-fhnd"; got != want {
		t.Errorf("%s, want %s", got, want)
	}
	if !key.Typed(key.OpenSSH()) || !key.Typed(" DPTYKE51QB71SQCTFHND") || key.Typed("dpty-ke51-qb71-sqct") {
		t.Error("a fingerprint that was typed is not known, or a wrong one is")
	}
	again, comment, err := ParseKey([]byte(key.AuthorizedKey() + " bench-1\n"))
	if err != nil || again != key || comment != "bench-1" {
		t.Error(again, comment, err)
	}
}

func unhex(t testing.TB, s string) []byte {
	t.Helper()
	b, err := hex.DecodeString(s)
	if err != nil {
		t.Fatal(err)
	}
	return b
}
