package diag

import "strings"

// ShellWord is a word as a shell wants it, in quotes only if it must be: what a complaint
// says to type may be typed as it stands, whatever somebody has called a file.
func ShellWord(s string) string {
	const plain = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_./"
	if strings.Trim(s, plain) == "" && s != "" {
		return s
	}
	return ShellQuote(s)
}

// ShellQuote puts a text into single quotes, so that no shell changes it.
func ShellQuote(s string) string { return "'" + strings.ReplaceAll(s, "'", `'\''`) + "'" }
