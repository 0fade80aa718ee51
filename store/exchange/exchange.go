// Package exchange is how shops share what they know: who they are to each other,
// packs of signed entries, and what comes out of those of others.
//
// A shop is an Ed25519 key, which vouches for one key a bench with an OpenSSH
// certificate. What leaves a shop is entries: canonical statements, named by
// their hash. A batch of them has a manifest, which lists the hashes, and the
// manifest carries one signature in OpenSSH's SSHSIG form. So a pack can be
// checked with ssh-keygen alone, and an entry can be traced to its signature
// however often it was passed on.
//
// The package knows boards and sheets only. What is private of a job is a type
// of the store, which it cannot even name.
package exchange

import (
	"errors"
	"path/filepath"

	"netlore/query/diag"
)

// The namespaces of signatures, so that none that was made for something else
// passes for one of ours, and a signed batch is no statement about a key.
const (
	BatchNamespace = "netlore-batch"
	KeyNamespace   = "netlore-key"
)

// complaint is an error about a file or a member of a pack.
func complaint(code, file, message string, help ...string) error {
	return diag.Diagnostic{Code: code, File: file, Message: message, Help: help}
}

// Refuse is the complaint about a batch that cannot be taken.
func Refuse(code, file, message string) error { return complaint(code, file, message) }

func isComplaint(err error) bool {
	var d diag.Diagnostic
	return errors.As(err, &d)
}

// Dir is where the identity of a bench is by the XDG base directory convention,
// unless NETLORE_IDENTITY says otherwise: apart from the knowledge base, which
// is copied about. It is empty if there is no home folder.
func Dir(getenv func(string) string) string {
	if dir := getenv("NETLORE_IDENTITY"); dir != "" {
		return dir
	}
	// The convention says that a relative path is to be ignored.
	if config := getenv("XDG_CONFIG_HOME"); filepath.IsAbs(config) {
		return filepath.Join(config, "netlore", "identity")
	}
	if home := getenv("HOME"); home != "" {
		return filepath.Join(home, ".config", "netlore", "identity")
	}
	return ""
}
