package cli

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"netlore/query/diag"
	"netlore/store/board"
)

// option is the value of a flag that is read in our own words. It is what the
// flag library calls a Value.
type option struct {
	name  string // as messages call it
	word  string // stands for the value in help
	takes string // what it takes: "a whole number from 1 on"
	read  func(string) bool
	text  func() string
}

// String is the value as help shows the default of it. The library asks this
// of an option without a value too, to know what no default is.
func (o option) String() string {
	if o.text == nil {
		return ""
	}
	return o.text()
}

func (o option) Type() string { return o.word }

func (o option) Set(s string) error {
	if !o.read(s) {
		return optionError(fmt.Sprintf("%s takes %s, not %q", o.name, o.takes, s))
	}
	return nil
}

// optionError is a complaint about a value, worded in full.
type optionError string

func (e optionError) Error() string { return string(e) }

// name is an option that takes any text, such as the name of a board.
func name(word string, value *string) option {
	return option{word: word, read: func(s string) bool { *value = s; return true }, text: func() string { return *value }}
}

// folder is an option that takes the name of a folder. An empty one is a slip,
// such as a variable of a script that is not set.
func folder(name string, value *string) option {
	read := func(s string) bool { *value = s; return s != "" }
	return option{name, "FOLDER", "the name of a folder", read, func() string { return *value }}
}

// number is an option that takes whole numbers from 1 on.
func number(name string, n *int) option {
	read := func(s string) bool {
		v, err := strconv.Atoi(s)
		if err != nil || v < 1 {
			return false
		}
		*n = v
		return true
	}
	return option{name, "NUMBER", "a whole number from 1 on", read, func() string { return strconv.Itoa(*n) }}
}

// quantity is an option that takes a value above zero with its unit.
func quantity(name string, unit board.Unit, example string, q *board.Quantity) option {
	read := func(s string) bool {
		v, err := board.ParseQuantity(s, unit)
		if err != nil || v.Coef <= 0 {
			return false
		}
		*q = v
		return true
	}
	text := func() string {
		if !q.Known() {
			return ""
		}
		return q.String()
	}
	return option{name, "VALUE", "a value above zero with its unit, such as " + example, read, text}
}

// duration is an option that takes a time from least on.
func duration(name string, least time.Duration, d *time.Duration) option {
	read := func(s string) bool {
		v, err := time.ParseDuration(s)
		if err != nil || v < least {
			return false
		}
		*d = v
		return true
	}
	takes := "a time such as 500ms, 30s or 2m"
	if least >= time.Second {
		takes = fmt.Sprintf("a time of %s or more, such as 1h", least)
	}
	return option{name, "TIME", takes, read, d.String}
}

// choice is an option that takes one of a few words.
func choice(name, word string, value *string, words ...string) option {
	read := func(s string) bool {
		if !slices.Contains(words, s) {
			return false
		}
		*value = s
		return true
	}
	return option{name, word, diag.OneOf(words...), read, func() string { return *value }}
}

// flagError words what the flag library complains about. Other errors stay as
// they are.
func flagError(cmd *cobra.Command, err error) error {
	var done hinted
	if err == nil || errors.As(err, &done) {
		return err
	}
	help := []string{cmd.CommandPath() + " --help lists its options"}
	var ours optionError
	text := err.Error()
	if errors.As(err, &ours) {
		return hint(ours, help...)
	}
	if name, ok := strings.CutPrefix(text, "unknown flag: --"); ok {
		for _, near := range diag.Closest(name, optionNames(cmd)) {
			help = append(help, "did you mean --"+near+"?")
		}
		slices.Reverse(help)
		return hint(fmt.Errorf("%s has no option --%s", cmd.CommandPath(), name), help...)
	}
	if _, letters, ok := strings.Cut(text, " in -"); ok && strings.HasPrefix(text, "unknown shorthand flag: ") {
		return hint(fmt.Errorf("%s has no option -%s", cmd.CommandPath(), letters), help...)
	}
	if name, ok := strings.CutPrefix(text, "flag needs an argument: "); ok {
		if _, letters, short := strings.Cut(name, " in "); short {
			name = letters
		}
		return hint(fmt.Errorf("%s wants a value after it", name), help...)
	}
	return err
}

// optionNames are the long names of the options of a command, as its help lists
// them.
func optionNames(cmd *cobra.Command) []string {
	var names []string
	for line := range strings.Lines(cmd.Flags().FlagUsages()) {
		if _, rest, ok := strings.Cut(line, "--"); ok {
			names = append(names, strings.Fields(rest)[0])
		}
	}
	return names
}
