package cli

import (
	"bytes"
	"errors"
	"fmt"
	"os"

	"golang.org/x/term"
)

// passphraseFile names a file that holds a passphrase in its first line, where
// nobody is there to type it.
const passphraseFile = "NETLORE_PASSPHRASE_FILE"

// passphrase asks for that of a key file.
func (a *app) passphrase(file string) ([]byte, error) {
	if path := a.Getenv(passphraseFile); path != "" {
		text, err := a.shortFile(path)
		return firstLine(text), err
	}
	if !a.Editor {
		return nil, fail(exitInput, hint(fmt.Errorf("the key %s has a passphrase, and nobody is there to type it", file), passphraseFile+" names a file with it"))
	}
	return a.unseen("passphrase of " + file + ": ")
}

// newPassphrase asks for a new one, twice.
func (a *app) newPassphrase() ([]byte, error) {
	if a.Getenv(passphraseFile) != "" {
		return a.passphrase("")
	}
	if !a.Editor {
		return nil, fail(exitInput, hint(errors.New("nobody is there to type a passphrase"), passphraseFile+" names a file with it"))
	}
	first, err := a.unseen("new passphrase: ")
	if err != nil {
		return nil, err
	}
	second, err := a.unseen("once more: ")
	switch {
	case err != nil:
		return nil, err
	case len(first) == 0:
		return nil, fail(exitInput, errors.New("an empty passphrase locks nothing"))
	case !bytes.Equal(first, second):
		return nil, fail(exitInput, errors.New("the two differ; nothing was made"))
	}
	return first, nil
}

// unseen reads a line from the terminal without showing it.
func (a *app) unseen(prompt string) ([]byte, error) {
	fmt.Fprint(a.Err, prompt)
	defer fmt.Fprintln(a.Err)
	return term.ReadPassword(int(os.Stdin.Fd()))
}
