package cli

import (
	"maps"
	"os"
	"os/exec"
	"slices"
	"strings"
	"testing"

	"netlore/testdata/heron"
)

// completions types lines into a real bash that has read the script, asks for
// completions at the end of each, and returns them. Bash cuts the line into
// words at colons and equal signs before it calls the function, so it is not
// told any.
func completions(t *testing.T, bash string, lines []string) [][]string {
	t.Helper()
	cmd := exec.Command(bash, append([]string{"--norc", "--noprofile", "-c", `
		source <(netlore completion bash)
		[[ $(complete -p netlore) == *"-F _netlore netlore" ]] || echo "not registered"
		for line; do
			COMP_LINE=$line COMP_POINT=${#line} COMPREPLY=()
			_netlore
			printf '%s\n' "${COMPREPLY[@]}"
			printf '\f'
		done`, "bash"}, lines...)...)
	cmd.Stderr = os.Stderr
	out, err := cmd.Output()
	if err != nil {
		t.Fatal(err)
	}
	var all [][]string
	for text := range strings.SplitSeq(strings.TrimSuffix(string(out), "\f"), "\f") {
		all = append(all, strings.Fields(strings.ReplaceAll(strings.TrimSpace(text), " ", "_")))
	}
	if len(all) != len(lines) {
		t.Fatalf("%d answers to %d lines:\n%s", len(all), len(lines), out)
	}
	return all
}

func TestBashCompletion(t *testing.T) {
	leaveToPlainRun(t)
	bash, err := exec.LookPath("bash")
	if err != nil {
		t.Skip("there is no bash here; not tested")
	}
	t.Chdir(t.TempDir())
	heron, err := heron.Sheets.ReadFile("heron-a.lore")
	if err != nil {
		t.Fatal(err)
	}
	for _, text := range []string{string(heron), "netlore 1\nboard Wren rev 1\nnet N$12\n  C1 1\n", "netlore 1\nboard Wren rev 2\nnet N$12\n  C1 1\n",
		"netlore 1\nstack Birds\n  upper Wren rev 1\n  lower Wren rev 2\n"} {
		if code, _, complaints := command(t, text, "--base", "base", "add", "-"); code != exitOK {
			t.Fatal(complaints)
		}
	}
	if code, _, complaints := command(t, "", "--base", "base", "save", "biglids", "hidden capacitors with value at least 10uF"); code != exitOK {
		t.Fatal(complaints)
	}
	if code, _, complaints := command(t, "", "--base", "base", "profile", "M1", "shows", "mV"); code != exitOK {
		t.Fatal(complaints)
	}
	t.Setenv("NETLORE_BASE", "base")
	for _, id := range []string{"7", "12"} {
		if code, _, complaints := command(t, "", "--base", "base", "job", "open", id, "dead", "--of", "Heron-A"); code != exitOK {
			t.Fatal(complaints)
		}
	}
	if code, _, complaints := command(t, "", "--base", "base", "job", "close", "7", "--outcome", "returned"); code != exitOK {
		t.Fatal(complaints)
	}
	lines := map[string]string{
		"netlore hist":                                "history",
		"netlore show H":                              "Heron-A",
		"netlore show her":                            "Heron-A",
		"netlore show Wren ":                          "rev",
		"netlore history Wren rev ":                   "1 2",
		"netlore diff Wren 1 ":                        "1 2",
		"netlore ask --on ":                           "Heron-A Wren Birds",
		"netlore ask --on=W":                          "Wren",
		"netlore ask --as m":                          "markdown",
		"netlore --colour n":                          "never",
		"netlore add --unit ":                         "mm mil inch",
		"netlore completion b":                        "bash",
		"netlore ask --on Heron-A parts on VMA":       "VMAIN VMAIN.all",
		"netlore ask --on Heron-A 'parts on VMA":      "parts_on_VMAIN parts_on_VMAIN.all",
		"netlore ask --on \"Heron-A\" \"parts on VMA": "parts_on_VMAIN parts_on_VMAIN.all",
		"netlore ask --on Heron-A pins of U20":        "U200",
		"netlore ask --on Heron-A parts on VMAIN und": "under",
		"netlore ask --on Wren parts on N":            `N\$12`,
		"netlore ask --on Wren 'parts on N":           "parts_on_N$12",
		"netlore ask --on Birds parts on lower:N":     `N\$12`,
		"netlore ask --on Birds 'parts on lower:N":    "parts_on_lower:N$12",
		"netlore ask --on Birds 'parts on low":        "parts_on_lower:",
		"netlore explain Q":                           "",
		"netlore job re":                              "reopen",
		"netlore job show ":                           "12 7",
		"netlore job undo 1":                          "12",
		"netlore history job ":                        "12 7",
		"netlore job log 12 sep":                      "separated",
		"netlore job log 12 'sep":                     "separated",
		"netlore job log 12 cov":                      "cover-off cover-on",
		"netlore job log 12 hot U20":                  "U200",
		"netlore job log 12 'hot U20":                 "hot_U200",
		"netlore job close 12 --outcome un":           "uneconomic",
		"netlore help job un":                         "undo",
		"netlore saved ":                              "biglids",
		"netlore forget b":                            "biglids",
		"netlore profile ":                            "M1",
		"netlore profile M1 sh":                       "shows",
		"netlore profile M1 shows ":                   "V mV",
		"netlore profile M1 shows V red":              "red-on-ground",
		"netlore read --meter ":                       "M1",
		"netlore meter ":                              "M1",
		"netlore ask --on Heron-A bigl":               "biglids",
		"netlore ask --on Heron-A biglids on VMA":     "VMAIN VMAIN.all",
	}
	typed := slices.Sorted(maps.Keys(lines))
	for i, got := range completions(t, bash, typed) {
		if want := strings.Fields(lines[typed[i]]); !slices.Equal(got, want) {
			t.Errorf("%s\noffers %q, want %q", typed[i], got, want)
		}
	}
}

// A completion must not hang, complain, or make a base where there is none.
func TestCompletionWithoutBase(t *testing.T) {
	t.Chdir(t.TempDir())
	for _, line := range []string{"show ", "ask parts on ", "ask --on ", "diff Wren "} {
		args := append([]string{"--base", "base", "__complete"}, strings.Split(line, " ")...)
		if code, out, complaints := command(t, "", args...); code != exitOK || strings.Contains(complaints, "netlore:") {
			t.Errorf("%s: exit code %d: %s%s", line, code, out, complaints)
		}
	}
	if _, err := os.Stat("base"); !os.IsNotExist(err) {
		t.Errorf("there is a base: %v", err)
	}
}
