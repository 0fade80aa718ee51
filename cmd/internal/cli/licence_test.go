package cli

import (
	"strings"
	"testing"
)

// TestLicence: what is taken and what is not by annex D of the SPDX specification 2.3, from
// whose examples the expressions are (from memory).
func TestLicence(t *testing.T) {
	for given, want := range map[string]string{
		"CC0-1.0": "CC0-1.0", "CDDL-1.0": "CDDL-1.0", "CDDL-1.0+": "CDDL-1.0+", "LicenseRef-23": "LicenseRef-23", "LicenseRef-MIT-Style-1": "LicenseRef-MIT-Style-1",
		"DocumentRef-spdx-tool-1.2:LicenseRef-MIT-Style-2": "DocumentRef-spdx-tool-1.2:LicenseRef-MIT-Style-2",
		"LGPL-2.1-only OR MIT":                             "LGPL-2.1-only OR MIT",
		"LGPL-2.1-only OR MIT OR BSD-3-Clause":             "LGPL-2.1-only OR MIT OR BSD-3-Clause",
		"GPL-2.0-or-later WITH Bison-exception-2.2":        "GPL-2.0-or-later WITH Bison-exception-2.2",
		"LGPL-2.1-only OR BSD-3-Clause AND MIT":            "LGPL-2.1-only OR BSD-3-Clause AND MIT",
		"MIT AND (LGPL-2.1-or-later OR BSD-3-Clause)":      "MIT AND (LGPL-2.1-or-later OR BSD-3-Clause)",
		"( MIT ) AND ((A OR B)AND C)":                      "(MIT) AND ((A OR B) AND C)",
		"cc0-1.0":                                          "CC0-1.0",
		"cc-by-4.0 or":                                     "", // identifiers are the same in other letters, AND, OR and WITH are not
		"odbl-1.0 AND LicenseRef-heron":                    "ODbL-1.0 AND LicenseRef-heron",
		"":                                                 "", "AND": "", "MIT AND": "", "MIT MIT": "", "(MIT": "", "MIT)": "", "()": "", "MIT WITH": "", "(MIT) WITH x": "", "MIT WITH OR": "", "CC BY 4.0": "", "our own": "", "Lizenz-Übung": "",
		"CC0": "", "cc-by": "", "CC-BY-SA": "", "Apache": "", "CC0-1": "", "MIT OR CC0": "",
	} {
		var got string
		if err := licence("--licence", &got).Set(given); (err == nil) != (want != "") || err == nil && got != want {
			t.Errorf("%q is taken for %q (%v), want %q", given, got, err, want)
		}
	}
	for given, want := range map[string]string{"CC0": "CC0-1.0", "cc-by": "CC-BY-4.0", "CC-BY-SA": "CC-BY-SA-4.0", "MIT OR apache": "Apache-2.0"} {
		var got string
		err := licence("--licence", &got).Set(given)
		if err == nil || !strings.Contains(err.Error(), "did you mean "+want+"?") {
			t.Errorf("%q: %v, want %s named", given, err, want)
		}
	}
}
