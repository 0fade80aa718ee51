package store

import (
	"context"
	"crypto/sha256"

	"netlore/store/exchange"
)

// verifyShared checks that every manifest is what was signed, and every shared
// entry what a manifest lists.
func (b *Base) verifyShared(ctx context.Context) error {
	return b.kv.view(func(r reader) error {
		if err := r.scan([]byte{keyManifest}, func(key, value []byte) error {
			_, manifest, signature, err := decodeBatch(value)
			if err != nil {
				return err
			}
			if id := exchange.ID(sha256.Sum256(manifest)); string(id[:]) != string(key[1:]) {
				return errDamaged("a manifest is not what was signed")
			}
			if err := exchange.CheckSignature(manifest, signature); err != nil {
				return errDamaged("the manifest %x: %v", key[1:], err)
			}
			return ctx.Err()
		}); err != nil {
			return err
		}
		return verifyEntries(ctx, r)
	})
}

func verifyEntries(ctx context.Context, r reader) error {
	signed := map[exchange.ID]exchange.About{}
	return r.scan([]byte{keyShared}, func(key, value []byte) error {
		e, err := decodeShared(key, value)
		if err != nil {
			return err
		}
		about, known := signed[e.manifest]
		if !known {
			value, err := r.get(manifestKey(e.manifest))
			if err != nil {
				return errDamaged("the manifest %s is missing", e.manifest)
			}
			_, manifest, _, err := decodeBatch(value)
			if err != nil {
				return err
			}
			if about, err = exchange.AboutOf(manifest); err != nil {
				return errDamaged("the manifest %s: %v", e.manifest, err)
			}
			signed[e.manifest] = about
		}
		if about.Entry(e.text) != e.id {
			return errDamaged("a shared entry is not what was signed: %s", e.id)
		}
		return ctx.Err()
	})
}
