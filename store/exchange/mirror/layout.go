package mirror

import (
	"crypto/sha256"
	"fmt"
	"path"
	"slices"
	"strings"

	"netlore/store/exchange"
)

const (
	fileSigners = "signers"
	dirKeys     = "keys"
	dirSigned   = "signed"

	endSheet     = ".lore"
	endKey       = ".key"
	endManifest  = ".manifest"
	endSignature = ".sig"
)

// mostName is how much of the name of a shop or board is told in the name of a
// folder.
const mostName = 40

// plain is a name as the name of a file can tell it on any system: small letters
// and digits of ASCII, and dashes.
func plain(name string) string {
	var s strings.Builder
	for _, c := range strings.ToLower(name) {
		switch {
		case s.Len() >= mostName:
		case 'a' <= c && c <= 'z', '0' <= c && c <= '9':
			s.WriteRune(c)
		case !strings.HasSuffix(s.String(), "-"):
			s.WriteByte('-')
		}
	}
	return strings.Trim(s.String(), "-")
}

// shopFolder is the name of the folder of a shop. It ends with as much of its key
// as its statements name, so that two shops of one name have two folders.
func shopFolder(name string, key exchange.Key) string {
	return strings.TrimPrefix(plain(name)+keyEnd(key), "-")
}

// keyEnd ends the name of a folder of a shop.
func keyEnd(key exchange.Key) string {
	label := exchange.Signer{Shop: key}.Label()
	return "-" + label
}

// subjectFolder is the name of the folder of a subject. It ends with some of a hash, for
// letters of two sizes, blanks and signs make two names of boards that are one
// name to a file system.
func subjectFolder(of string) string {
	_, name, found := strings.Cut(of, " ")
	if !found {
		return of // questions, meters
	}
	sum := sha256.Sum256([]byte(of))
	return strings.TrimPrefix(fmt.Sprintf("%s-%.3x", plain(name), sum), "-")
}

// sheetName is the name of the file with the statements of a kind.
func sheetName(k exchange.Kind) string { return k.String() + endSheet }

// batchName is the name of the files of a batch, without its ending.
func batchName(hash exchange.ID) string { return fmt.Sprintf("%.16x", hash[:]) }

// A place is what a file of the folder is for.
type place uint8

const (
	elsewhere  place = iota // none of ours
	straySheet              // a sheet where no signature can be
	aSheet
	aKey
	aManifest
	aSignature
	theSigners
)

// placeOf tells what a file is for, by its name from the folder on.
func placeOf(name string) place {
	parts := strings.Split(name, "/")
	end := path.Ext(name)
	switch {
	case len(parts) == 2 && parts[1] == fileSigners:
		return theSigners
	case len(parts) == 3 && parts[1] == dirKeys && end == endKey:
		return aKey
	case len(parts) == 3 && end == endSheet && slices.ContainsFunc(exchange.Kinds(), func(k exchange.Kind) bool { return sheetName(k) == parts[2] }):
		return aSheet
	case len(parts) == 4 && parts[2] == dirSigned && end == endManifest:
		return aManifest
	case len(parts) == 4 && parts[2] == dirSigned && end == endSignature:
		return aSignature
	case end == endSheet:
		return straySheet
	}
	return elsewhere
}

// Short is a short name for a path, by which something can be kept about it.
func Short(path string) string { return fmt.Sprintf("%.6x", sha256.Sum256([]byte(path))) }
