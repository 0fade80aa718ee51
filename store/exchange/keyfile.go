package exchange

import (
	"bytes"
	"crypto"
	"crypto/ed25519"
	"crypto/rand"
	"crypto/x509"
	"encoding/pem"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"

	"golang.org/x/crypto/ssh"
)

// Ask asks for the passphrase of a key file.
type Ask func(file string) ([]byte, error)

// maxKeyFile is far more than any key, certificate or list of them takes.
const maxKeyFile = 1 << 20

// ReadPrivate reads a small file that only its owner may read, or an error, X101.
func ReadPrivate(path string) ([]byte, error) {
	file, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	info, err := file.Stat()
	if err != nil {
		return nil, err
	}
	if info.IsDir() {
		return nil, &os.PathError{Op: "read", Path: path, Err: errors.New("it is a folder")}
	}
	if mode := info.Mode().Perm(); mode&0o077 != 0 && runtime.GOOS != "windows" {
		return nil, complaint("X101", path, fmt.Sprintf("others than its owner can get at this file (its mode is %04o), so it is not used", mode),
			"chmod 600 "+path+" makes it yours alone", "if somebody may have copied it, change what is in it")
	}
	return readSome(file, path)
}

// readSome reads a small file.
func readSome(r io.Reader, name string) ([]byte, error) {
	text, err := io.ReadAll(io.LimitReader(r, maxKeyFile+1))
	if err == nil && len(text) > maxKeyFile {
		err = complaint("X102", name, fmt.Sprintf("it is larger than %d bytes, so it is no key", maxKeyFile))
	}
	return text, err
}

func readFile(path string) ([]byte, error) {
	file, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	return readSome(file, path)
}

// signerIn signs with the key of a file: a private key of OpenSSH, or the public part of
// one that ssh-agent holds.
func signerIn(path string, text []byte, ask Ask) (ssh.Signer, error) {
	if bytes.HasPrefix(text, []byte(ssh.KeyAlgoED25519+" ")) {
		return fromAgent(path, text)
	}
	key, err := parsePrivate(path, text, ask)
	if err != nil {
		return nil, err
	}
	return ssh.NewSignerFromSigner(key)
}

// parsePrivate reads a private key file of OpenSSH.
func parsePrivate(path string, text []byte, ask Ask) (ed25519.PrivateKey, error) {
	raw, err := ssh.ParseRawPrivateKey(text)
	var locked *ssh.PassphraseMissingError
	if errors.As(err, &locked) {
		raw, err = unlock(path, text, ask)
	}
	switch key := raw.(type) {
	case *ed25519.PrivateKey:
		return *key, nil
	case ed25519.PrivateKey:
		return key, nil
	case nil:
		if locked != nil {
			return nil, err
		}
		return nil, complaint("X102", path, "it is no private key of OpenSSH that can be read", "ssh-keygen -t ed25519 makes one")
	}
	return nil, complaint("X102", path, fmt.Sprintf("only Ed25519 keys can be used, and this is another sort (%T)", raw), "ssh-keygen -t ed25519 makes one")
}

func noPassphrase(path string) error {
	return complaint("X103", path, "the key has a passphrase, and nobody is there to ask for it")
}

func unlock(path string, text []byte, ask Ask) (any, error) {
	if ask == nil {
		return nil, noPassphrase(path)
	}
	passphrase, err := ask(path)
	if err != nil {
		return nil, err
	}
	raw, err := ssh.ParseRawPrivateKeyWithPassphrase(text, passphrase)
	if errors.Is(err, x509.IncorrectPasswordError) {
		return nil, complaint("X103", path, "that is not the passphrase of this key")
	}
	return raw, err
}

// printPrivate writes a private key as a file of OpenSSH, locked with the
// passphrase if there is one.
func printPrivate(key ed25519.PrivateKey, comment string, passphrase []byte) ([]byte, error) {
	var block *pem.Block
	var err error
	if len(passphrase) > 0 {
		block, err = ssh.MarshalPrivateKeyWithPassphrase(crypto.PrivateKey(key), comment, passphrase)
	} else {
		block, err = ssh.MarshalPrivateKey(crypto.PrivateKey(key), comment)
	}
	if err != nil {
		return nil, err
	}
	return pem.EncodeToMemory(block), nil
}

func newKey() (ed25519.PrivateKey, error) {
	_, key, err := ed25519.GenerateKey(rand.Reader)
	return key, err
}

// publicOf is the key that a signer signs with; none but of Ed25519 is let in.
func publicOf(s ssh.Signer) Key {
	key, _ := KeyOf(s.PublicKey())
	return key
}

// writeNew writes a file whole or not at all, on disk when it returns. What is
// there already is replaced.
func writeNew(path string, text []byte, mode fs.FileMode) error {
	file, err := os.CreateTemp(filepath.Dir(path), ".new-*") // only its owner may read it
	if err != nil {
		return err
	}
	defer os.Remove(file.Name())
	_, err = file.Write(text)
	err = errors.Join(err, file.Chmod(mode), file.Sync(), file.Close())
	if err != nil {
		return err
	}
	if err := os.Rename(file.Name(), path); err != nil {
		return err
	}
	return syncFolder(filepath.Dir(path))
}

// syncFolder puts the names in a folder on disk. Where the system has no such
// thing, there is nothing to do.
func syncFolder(dir string) error {
	folder, err := os.Open(dir)
	if err != nil {
		return err
	}
	defer folder.Close()
	if err := folder.Sync(); err != nil && runtime.GOOS != "windows" {
		return err
	}
	return nil
}
