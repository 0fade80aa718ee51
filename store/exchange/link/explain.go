package link

import (
	"errors"

	"netlore/query/diag"
)

// The codes of complaints about the log and its server.
const (
	codeServer      = "X401"
	codeCredentials = "X402"
	codeCertificate = "X403"
	codeFull        = "X404"
	codeLarge       = "X405"
	codeDenied      = "X406"
	codeRubbish     = "X407"
	codeNoLogs      = "X408"
	codeOpen        = "X409"
	codeGone        = "X410"
	codeAddress     = "X411"
	codeFile        = "X412"
)

func complaint(code, where, message string, help ...string) error {
	return diag.Diagnostic{Code: code, File: where, Message: message, Help: help}
}

// CodeOf is the code of a complaint about a file, the log or its server, empty for any
// other error.
func CodeOf(err error) string {
	var d diag.Diagnostic
	errors.As(err, &d)
	return d.Code
}

// Explain returns the text about a code of this package: what is meant, why it is
// so, and what to do.
func Explain(code string) (string, bool) {
	text, ok := explanations[code]
	return text, ok
}

var explanations = map[string]string{
	codeServer: `The server of the shared log did not answer, or stopped answering. Nothing is lost: what was taken is in your base, and what you say
stays there until the log can be reached again. netlore link tries again by itself, unless --once was given.

Look at the address and the port (4222 if none is given), whether this machine has a network, and whether the server runs.`,
	codeCredentials: `The server does not let this bench in. Each shop has a name and a password of its own, or a file of credentials, from whoever runs the
server. Give the name with --user; the password is asked for, or read from the file that --password-file names. A file of credentials is
given with --creds.`,
	codeCertificate: `The server shows a certificate that this machine has no reason to trust: another name stands in it, it has run out, or an authority has signed it
that is not known here. If the shops have an authority of their own, name the file with its certificate: --ca FILE. Do not go on
otherwise: it may be somebody else who answers.

A server may want a certificate of each bench, too. Whoever runs it signs one, and gives you two files: --cert FILE --key FILE.`,
	codeFull: `The log has reached the size that its server allows, so nothing more can be put there; what is there can still be read. Whoever runs the server
gives it more room (max_file_store in its configuration, or the limit of the stream), or clears the log as a whole: each bench then
puts there again what it has of shops that it knows, and what nobody knows is gone.`,
	codeLarge: `The server takes smaller messages than a batch can be: 512 KiB and a little for its head. Whoever runs it sets max_payload in its
configuration to 1MB, which is what it is if nothing is said.`,
	codeDenied: `The server does not let this bench do what it must: read the log, put messages there, or make the log if there is none. Whoever runs the server
allows it in the permissions of the user. The example in DEVELOPERS.md has what is needed.`,
	codeRubbish: `Something on the log is no message of netlore, or is of a newer one. It is passed over, and a newer netlore goes back
to it. Others who may write to the log can put anything there; whoever runs the server can see who did.`,
	codeNoLogs: `The server runs without JetStream, the part of it that keeps logs. Whoever runs it starts it with -js, or with a jetstream section in its
configuration.`,
	codeOpen: `A name and a password would go over the network for anybody to read, and so would who shares what. So a connection is encrypted, unless the
server is on this very machine. The server needs a certificate; see the tls section of the example in DEVELOPERS.md.`,
	codeGone: `While it was read, the log was cleared, or another one took its place. netlore link begins anew: it reads what is there, and puts there
what is missing.`,
	codeAddress: `The address of a server is a name or number, and a port if it is not 4222: tls://log.example.org, nats://127.0.0.1:4222. Several servers of one
cluster are given with commas between them. A password does not belong into it: whoever can list the processes of this machine would
read it.`,
	codeFile: `A certificate is a text that begins with -----BEGIN CERTIFICATE-----; with --cert goes the private key to it, --key. A file of credentials is
what nsc or whoever runs the server has made: a text with a token and a seed in it.`,
}
