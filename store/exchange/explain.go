package exchange

// Explain returns the text about a code of this package: what is meant, why it is
// so, and what to do.
func Explain(code string) (string, bool) {
	text, ok := explanations[code]
	return text, ok
}

var explanations = map[string]string{
	"X101": `A private key is worth what it is kept secret for: whoever has a copy can sign in the name of your shop. So a key file that
others than its owner can read or write is not used.

Make it yours alone with chmod 600 FILE. If somebody may have copied it, give the shop a new key with netlore identity change, or
revoke the bench's with netlore identity revoke.`,
	"X102": `Keys are Ed25519 keys in the form that OpenSSH keeps them in, as ssh-keygen -t ed25519 makes them. One that you have already can be used:
netlore identity new --bench-key FILE. RSA and ECDSA keys are not taken: one sort of signature is enough, and it is the quickest to check.`,
	"X103": `The key is locked with a passphrase. It is asked for at a terminal; elsewhere NETLORE_PASSPHRASE_FILE names a file with the passphrase in its
first line. A passphrase that is lost cannot be found again: revoke the key on the bench that has the shop's key, and make a new one.`,
	"X104": `The folder of the identity does not hold together: a file is missing or was changed. Bring back what was exported with netlore identity
restore FILE. If nothing was exported, move the folder away and make a new identity; other shops must then be told its fingerprint.`,
	"X105": `A bench has one identity. To make another would give the shop a second key, which nobody knows. If that is what you want, move the folder
away first; what was signed with the old key stays signed.`,
	"X106": `A shop vouches for the key of each bench with a certificate of OpenSSH. A further bench makes its key with netlore identity request; its file
bench.pub is brought to the bench that has the shop's own key, netlore identity vouch FILE prints the certificate, and netlore identity accept FILE
takes it on the further bench. The private key never leaves the bench.`,
	"X107": `Only the bench on which the identity was made has the shop's own key: it vouches for benches, revokes their keys, and is changed there.`,
	"X108": `An exported identity is a tar archive with the files of an identity in it, and no others. A file of another name is refused, for it could be
written to another place.`,
}
