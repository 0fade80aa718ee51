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
	"X109": `The bench, or the shop, signs with a key that ssh-agent holds: the file that was named is the public one, and the private one is nowhere here. So the agent
must run where netlore does, SSH_AUTH_SOCK must name its socket, as it does where it was started, and ssh-add must have given it that key.`,
	"X201": `A pack is a tar archive that netlore pack has written, and its last file says how many there are. What was cut short on the way, or damaged, is
not taken beyond the last batch that is whole. Ask for it again; what came through is known already then.`,
	"X202": `The files of a pack are numbered, and have names such as 0001.manifest. A file of another name is not read and never written anywhere: a name
such as ../../x would lead out of the folder. Such a pack was not made by netlore pack.`,
	"X203": `The manifest of a batch lists the entries that were signed. It must be written in the one form in which it is signed. A pack of a newer netlore
may say something that this one does not know: use the newer one.`,
	"X204": `The signature does not fit what was signed, was made for something else, or the shop's word for the bench does not hold. The batch is not taken.
Ask for the pack again; if it is so once more, somebody has changed it, or signs with a key that is not his.`,
	"X205": `Whoever signs speaks for himself. A batch in the name of one shop that another has signed, or a reading in it that names another author, is refused
as a whole. What a third shop says travels with that shop's own signature.`,
	"X206": `A batch holds the statements whose hashes its signed manifest lists, and no others. One that was changed or put in after the signature is refused
with all of its batch, for nobody can say what else was changed.`,
	"X207": `A batch is small, so that a pack of any size can be read with little memory. One that is larger was not made by netlore pack.`,
	"X208": `The shop has said that this key holds no more: it was lost, or stolen. What was signed with it and comes in after we heard of that is not taken.
What came in before stays, for then it was the shop's own word.`,
	"X209": `Nobody has signed it, so nobody can say whose word it is. A sheet can be added with netlore add: then it counts as what you say yourself.`,
	"X210": `Jobs, and with them customers and serial numbers, never leave a shop: netlore pack cannot write them, and what holds one was made by something
else.`,
	"X211": `The newest reading counts, so one from a day that is still to come would count for ever. A batch that holds such a statement, or was signed on
such a day, is not taken; two days are allowed for, since clocks differ. Set the clock of the bench that has signed, or that of this machine.`,
	"X212": `Of a shop that nobody here knows, a hundred thousand entries are kept, and half a million of all such shops together, so that no stranger can fill the disk.
What is kept already is known all the same. Once the shop is listed or trusted with netlore trust, take the pack again: all of it is kept then.`,
	"X213": `What is shared can be used by others only if it says on what terms. A batch without a licence is not taken, so that nobody has to give up later
what was built on it. Ask the shop to pack it again with --licence: CC0-1.0 and CDLA-Permissive-2.0 let everybody use it.`,
	"X215": `What is shared travels in batches of at most 320 KB, so that a pack of any size can be read with little memory, and a statement
that is longer, such as a net with twenty thousand pins, travels in parts. This one has no parts. All else can be shared: the other boards by their
names, or what is known of this one with --kinds.`,
	"X214": `A batch is statements of a sheet. One that no netlore can read is not taken, nor is the rest of its batch. If the shop has a newer netlore, use
that one.`,
}
