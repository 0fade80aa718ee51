package cli

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"sync"
)

// licenceOption is an option that takes a licence expression of SPDX (annex D of its
// specification 2.3): identifiers, LicenseRef-NAME for terms of one's own, and what AND,
// OR, WITH and brackets make of them. Which identifiers there are is a list that grows, so
// any is taken, but for what is short of one that is often used.
type licenceOption struct{ option }

func licence(name string, value *string) licenceOption {
	read := func(s string) bool {
		*value = asListed(s)
		return isLicence(licenceWords(*value)) && meantLicence(*value) == ""
	}
	return licenceOption{option{name, "LICENCE", "an SPDX identifier such as CC-BY-4.0, or LicenseRef-NAME for terms of your own", read, func() string { return *value }}}
}

// Set takes a licence.
func (o licenceOption) Set(s string) error {
	err := o.option.Set(s)
	if meant := meantLicence(s); err != nil && meant != "" {
		return optionError(fmt.Sprintf("%s: %q is no SPDX identifier; did you mean %s?", o.name, s, meant))
	}
	return err
}

// licences are those that are often used for data and designs.
var licences = []string{"CC0-1.0", "CC-BY-4.0", "CC-BY-SA-4.0", "CC-BY-NC-4.0", "CC-BY-NC-SA-4.0", "CC-BY-ND-4.0", "CC-BY-NC-ND-4.0", "CDLA-Permissive-2.0", "CDLA-Sharing-1.0",
	"ODbL-1.0", "ODC-By-1.0", "PDDL-1.0", "MIT", "Apache-2.0", "BSD-2-Clause", "BSD-3-Clause", "CERN-OHL-P-2.0", "CERN-OHL-W-2.0", "CERN-OHL-S-2.0"}

// asListed is an expression as it is written, with each identifier as SPDX lists it.
func asListed(s string) string {
	words := licenceWords(s)
	for i, w := range words {
		words[i] = wellCased(w)
	}
	return strings.NewReplacer("( ", "(", " )", ")").Replace(strings.Join(words, " "))
}

// wellCased is an identifier in the letters in which SPDX lists it: it is the same in
// others, and packs under one are not to lie apart from those under the other.
func wellCased(word string) string {
	if i := slices.IndexFunc(licences, func(l string) bool { return strings.EqualFold(l, word) }); i >= 0 {
		return licences[i]
	}
	return word
}

// meantLicence is the licence of which an expression has the beginning only, such as CC0;
// empty if all of it may stand.
func meantLicence(s string) string {
	for _, word := range licenceWords(s) {
		begun := strings.ToLower(word)
		i := slices.IndexFunc(licences, func(l string) bool {
			rest, ok := strings.CutPrefix(strings.ToLower(l), begun)
			return ok && rest != "" && (rest[0] == '-' || rest[0] == '.')
		})
		if i >= 0 && wellCased(word) == word {
			return licences[i]
		}
	}
	return ""
}

// licenceWords are the words and brackets of an expression.
func licenceWords(s string) []string {
	return strings.Fields(strings.NewReplacer("(", " ( ", ")", " ) ").Replace(s))
}

// simpleLicence is an identifier, made when the first is read.
var simpleLicence = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`^((DocumentRef-[A-Za-z0-9.-]+:)?LicenseRef-[A-Za-z0-9.-]+|[A-Za-z0-9.-]+\+?)$`)
})

// isLicence reports whether words are a licence expression.
func isLicence(words []string) bool {
	rest, ok := licenceTerm(words)
	for ok && len(rest) > 0 && (rest[0] == "AND" || rest[0] == "OR") {
		rest, ok = licenceTerm(rest[1:])
	}
	return ok && len(rest) == 0
}

// licenceTerm reads what AND and OR join: a licence, maybe with an exception, or an
// expression in brackets. It gives what is left.
func licenceTerm(words []string) (rest []string, ok bool) {
	if len(words) == 0 {
		return nil, false
	}
	if words[0] == "(" {
		depth := 0
		for i, w := range words {
			switch w {
			case "(":
				depth++
			case ")":
				depth--
			}
			if depth == 0 {
				return words[i+1:], isLicence(words[1:i])
			}
		}
		return nil, false
	}
	if !isLicenceName(words[0]) {
		return nil, false
	}
	if len(words) > 2 && words[1] == "WITH" {
		return words[3:], isLicenceName(words[2])
	}
	return words[1:], true
}

func isLicenceName(word string) bool {
	return simpleLicence().MatchString(word) && word != "AND" && word != "OR" && word != "WITH"
}
