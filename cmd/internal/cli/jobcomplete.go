package cli

import (
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"netlore/store"
	"netlore/store/board"
	"netlore/store/sheet"
)

// completeJob offers the numbers of jobs.
func (a *app) completeJob(cmd *cobra.Command, args []string, word string) ([]string, cobra.ShellCompDirective) {
	var offers []string
	if len(args) == 0 {
		offers = a.jobIDs(cmd.Context())
	}
	return beginning(word, offers), cobra.ShellCompDirectiveNoFileComp | cobra.ShellCompDirectiveKeepOrder
}

// completeStep offers the numbers of jobs, then the words of a step, and the
// names that are on the boards of the job.
func (a *app) completeStep(cmd *cobra.Command, args []string, word string) ([]string, cobra.ShellCompDirective) {
	if len(args) == 0 {
		return a.completeJob(cmd, args, word)
	}
	text := "netlore 1\njob 1\n  1 " + strings.Join(append(slices.Clone(args[1:]), word), " ")
	slot := sheet.SlotAt(text, len(text))
	head := word[:max(0, len(word)-(len(text)-slot.At.Start))] // the shell completes its last word
	var offers []string
	for _, w := range slot.Words {
		offers = append(offers, head+w.Word+"\t"+w.Says)
	}
	ofRole := slices.Contains(slot.Names, sheet.RoleSort)
	if slot.Place || ofRole {
		a.completing(cmd.Context(), func(base *store.Base) error {
			j, err := base.Job(cmd.Context(), args[0])
			if err != nil {
				return err
			}
			boards, err := benchBoards(cmd.Context(), base, j.Homes)
			names := placesBeginning(boards, slot.Typed)
			if ofRole {
				names = beginning(slot.Typed, rolesOn(boards))
			}
			for _, name := range names {
				offers = append(offers, head+name)
			}
			return err
		})
	}
	return offers, cobra.ShellCompDirectiveNoFileComp | cobra.ShellCompDirectiveKeepOrder
}

// rolesOn are the roles of the boards on the bench.
func rolesOn(all []benchBoard) (roles []string) {
	for _, m := range all {
		if m.role != "" {
			roles = append(roles, board.QuoteName(m.role))
		}
	}
	return roles
}

// placesBeginning are the names on the bench, with their roles in a stack, that
// begin with what is typed.
func placesBeginning(all []benchBoard, typed string) []string {
	var names []string
	for _, m := range all {
		prefix := ""
		if m.role != "" {
			prefix = board.QuoteName(m.role) + ":"
		}
		if prefix != "" && len(typed) < len(prefix) {
			names = append(names, beginning(typed, []string{prefix})...)
			continue
		}
		for _, name := range m.b.Names() {
			names = append(names, beginning(typed, []string{prefix + board.QuoteName(name)})...)
		}
	}
	slices.SortFunc(names, board.CompareNatural)
	return slices.Compact(names)
}
