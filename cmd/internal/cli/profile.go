package cli

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"netlore/query/diag"
	"netlore/query/readings"
	"netlore/store"
	"netlore/store/board"
	"netlore/store/sheet"
)

// newProfile makes `netlore profile`.
func newProfile(a *app) *cobra.Command {
	remove := false
	cmd := &cobra.Command{
		Use:   "profile [METER [WORD...]]",
		Short: "state what the shop's meters are like, list or show it",
		Long: `Profile states what a meter is like in diode mode, in the words of a sheet:

  netlore profile M1 'bench meter, left' test 1mA open 3.2V shows mV
  netlore profile M1 leads 0.2ohm red-on-ground address 10.0.0.7

  test      the current that it drives into a short
  open      what it has between its leads when they touch nothing
  shows     V or mV: what a number without a unit is in
  leads     what both leads together have; short them in ohms to see
  red-on-ground, black-on-ground    how it is used
  address   where it is on the network: read --live M1, meter M1

What is stated otherwise gives way; the rest stays. Without words it shows one
meter, without a name it lists them.

Readings name their meter: read --meter M1. The profile then says what 412 is,
what counts as a hard short, what leak a low reading comes from, and which
readings cannot be. Profiles are kept for all boards, and are exported and
added as sheets like everything else: export meters.`,
		Args:              cobra.ArbitraryArgs,
		ValidArgsFunction: a.completeProfile,
		RunE: func(cmd *cobra.Command, args []string) error {
			switch {
			case remove && len(args) != 1:
				return errors.New("name the meter to remove, and nothing else: netlore profile --remove M1")
			case remove:
				return runForgetMeter(cmd.Context(), a, args[0])
			case len(args) > 1 || len(args) == 1 && strings.Contains(args[0], " "):
				return runState(cmd.Context(), a, profileText(args))
			}
			return runProfile(cmd.Context(), a, args)
		},
	}
	cmd.Flags().SetInterspersed(false)
	cmd.Flags().BoolVar(&remove, "remove", false, "withdraw all that is stated of the meter; its readings stay")
	return cmd
}

// profileText puts the words of a command line together. The shell has taken the
// quotation marks off those that need them: a text, an address with a port.
func profileText(args []string) string {
	if len(args) == 1 {
		return args[0]
	}
	words := slices.Clone(args)
	for i, word := range words {
		if !strings.Contains(word, `"`) {
			words[i] = board.QuoteName(word)
		}
	}
	return strings.Join(words, " ")
}

// readMeter reads what is stated of a meter. Complaints are about the words.
func readMeter(text string) (board.Meter, error) {
	const lead = "meter "
	text = strings.NewReplacer("\n", " ", "\r", " ").Replace(text)
	file, list := sheet.Parse("", []byte("netlore 1\n"+lead+text+"\n"))
	if list.HasErrors() {
		return board.Meter{}, inText(list, text, len(lead))
	}
	content, _ := sheet.Read(file)
	if len(content.Knowledge.Meters) != 1 {
		return board.Meter{}, errors.New("name the meter, then say what it is like: netlore profile M1 test 1mA shows mV")
	}
	return content.Knowledge.Meters[0], nil
}

func runState(ctx context.Context, a *app, text string) error {
	m, err := readMeter(text)
	if err != nil {
		return err
	}
	return a.writing(ctx, func(base *store.Base) error {
		r, err := base.StateMeter(ctx, m, a.author())
		if err != nil {
			return err
		}
		all, err := base.Meters(ctx)
		if err != nil {
			return err
		}
		if r.New == 0 && !a.json {
			a.say("%s was stated so already", board.QuoteName(m.Name))
		}
		return a.showMeter(all, m.Name)
	})
}

func runForgetMeter(ctx context.Context, a *app, name string) error {
	return a.withdrawing(ctx, func(base *store.Base) error {
		_, err := base.ForgetMeter(ctx, name, a.author())
		if errors.Is(err, store.ErrUnknownMeter) {
			all, listing := base.Meters(ctx)
			return errors.Join(listing, noMeter(all, name))
		}
		if err != nil {
			return err
		}
		return a.line("%s removed; its readings stay", board.QuoteName(name))
	})
}

func runProfile(ctx context.Context, a *app, args []string) error {
	return a.reading(ctx, func(base *store.Base) error {
		all, err := base.Meters(ctx)
		switch {
		case err != nil:
			return err
		case len(args) > 0:
			return a.showMeter(all, args[0])
		case a.json:
			for i := range all {
				writeJSON(a.Out, meterJSON(&all[i]))
			}
			return nil
		case len(all) == 0:
			return a.print("nothing is stated of any meter yet; netlore profile M1 test 1mA shows mV does\n")
		}
		t := newText(a, "meter", "test", "open", "shows", "leads", "on ground", "address", "what", "stated by", "on")
		for _, m := range all {
			t.row(m.Name, m.Test, m.Open, m.Shows, m.Leads, m.OnGround(), m.Address, m.Title, m.Author, m.Time.Format("2006-01-02"))
		}
		t.dropEmpty()
		return t.print()
	})
}

func meterJSON(m *store.Meter) map[string]any {
	object := map[string]any{"meter": m.Name, "title": m.Title, "test": quantityJSON(m.Test), "open": quantityJSON(m.Open), "leads": quantityJSON(m.Leads),
		"shows": nil, "on_ground": nil, "address": nil, "author": m.Author, "time": m.Time}
	for key, text := range map[string]string{"shows": m.Shows, "on_ground": m.OnGround(), "address": m.Address} {
		if text != "" {
			object[key] = text
		}
	}
	return object
}

func (a *app) showMeter(all []store.Meter, name string) error {
	i := slices.IndexFunc(all, func(m store.Meter) bool { return m.Name == name })
	if i < 0 {
		return noMeter(all, name)
	}
	m := &all[i]
	if a.json {
		writeJSON(a.Out, meterJSON(m))
		return nil
	}
	facts := m.Facts()
	if facts == nil {
		facts = []string{"nothing is stated of it but its name"}
	}
	for _, mode := range []board.Mode{board.Diode, board.Resistance} {
		facts = append(facts, "in "+mode.String()+", "+readings.ShortReason(mode, &m.Meter))
	}
	facts = append(facts, fmt.Sprintf("stated by %s on %s", m.Author, m.Time.Format("2006-01-02 15:04")))
	return a.headed(titled(board.QuoteName(m.Name), m.Title), facts)
}

// noMeter words a name of which nothing is stated.
func noMeter(all []store.Meter, name string) error {
	var names, help []string
	for _, m := range all {
		names = append(names, m.Name)
	}
	for _, near := range diag.Closest(name, names) {
		help = append(help, "did you mean "+board.QuoteName(near)+"?")
	}
	word := shellWord(name)
	return hint(fmt.Errorf("nothing is stated of a meter called %s", diag.Printable(board.QuoteName(name))),
		append(help, "netlore profile lists the meters", "netlore profile "+word+" test 1mA shows mV states what "+word+" is like")...)
}

// completeProfile offers the names of meters, then the words of a profile.
func (a *app) completeProfile(cmd *cobra.Command, args []string, word string) ([]string, cobra.ShellCompDirective) {
	if len(args) == 0 {
		return a.completeMeter(cmd, args, word)
	}
	var offers []string
	for _, k := range sheet.Kinds() {
		for _, at := range k.Attributes {
			switch {
			case k.Word != "meter" || at.First:
			case at.Word == "":
				offers = append(offers, at.Words...)
			case at.Word == args[len(args)-1] && at.Words != nil:
				return beginning(word, slices.Clone(at.Words)), cobra.ShellCompDirectiveNoFileComp
			default:
				offers = append(offers, at.Word+"\t"+at.Says)
			}
		}
	}
	return beginning(word, offers), cobra.ShellCompDirectiveNoFileComp | cobra.ShellCompDirectiveKeepOrder
}

// completeMeter offers the names of meters that something is stated of.
func (a *app) completeMeter(cmd *cobra.Command, _ []string, word string) (names []string, _ cobra.ShellCompDirective) {
	a.completing(cmd.Context(), func(base *store.Base) error {
		all, err := base.Meters(cmd.Context())
		for _, m := range all {
			names = append(names, m.Name+"\t"+m.Title)
		}
		return err
	})
	return beginning(word, names), cobra.ShellCompDirectiveNoFileComp
}
