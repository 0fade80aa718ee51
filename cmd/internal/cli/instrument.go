package cli

import (
	"strconv"
	"time"

	"github.com/spf13/cobra"

	"netlore/cmd/internal/scpi"
	"netlore/store/board"
)

// instrument connects to what the command names, tells what is remarkable, and
// says where it is.
func (a *app) instrument(word string, timeout time.Duration) (scpi.Address, scpi.Options, error) {
	address, err := scpi.ParseAddress(word)
	return address, scpi.Options{Timeout: timeout, Notice: a.notice}, err
}

func timeoutFlag(cmd *cobra.Command, timeout *time.Duration) {
	*timeout = scpi.DefaultTimeout
	cmd.Flags().Var(duration("--timeout", time.Millisecond, timeout), "timeout", "how long to wait for an answer")
}

// notice tells what is no error, but should be known.
func (a *app) notice(text string) {
	a.wipe()
	if a.json {
		writeJSON(a.Err, map[string]any{"severity": "note", "message": text, "help": []string{}})
		return
	}
	a.say("%s", text)
}

// identityJSON is what an instrument says of itself, with its address.
func identityJSON(address scpi.Address, i scpi.Identity) map[string]any {
	return map[string]any{"address": address.String(), "maker": i.Maker, "model": i.Model, "serial": i.Serial, "firmware": i.Firmware}
}

// shown is a number that was read, for people to look at: to five digits.
// Programs get all of them.
func shown(n scpi.Number, unit board.Unit) string {
	if n.Kind == scpi.Finite {
		text := strconv.FormatFloat(n.Float(), 'e', 4, 64)
		if rounded, err := scpi.ParseNumber(scpi.Answer{Text: text}); err == nil {
			n = rounded
		}
	}
	return readText(n, unit)
}

// readText is a number that was read: "0.412V", OL as a meter shows it, ? for
// none.
func readText(n scpi.Number, unit board.Unit) string {
	switch n.Kind {
	case scpi.Over:
		return "OL"
	case scpi.Under:
		return "-OL"
	case scpi.NotANumber:
		return "?"
	}
	if q, ok := board.NewQuantity(n.Coef, n.Exp, unit); ok {
		return q.String()
	}
	return strconv.FormatFloat(n.Float(), 'g', 6, 64) + unit.String()
}

// readJSON is a number that was read, nil if it is none.
func readJSON(n scpi.Number, unit board.Unit) any {
	if n.Kind != scpi.Finite {
		return nil
	}
	return map[string]any{"text": readText(n, unit), "number": n.Float(), "unit": unit.String()}
}
