package cli

import (
	"context"
	"errors"
	"strings"

	"github.com/spf13/cobra"

	"netlore/query/diag"
	"netlore/store"
	"netlore/store/board"
	"netlore/store/sheet"
)

type jobCloseOptions struct {
	culprits        []string
	outcome, remark string
	anyway          bool
}

// outcomes are the usual ways in which a job ends, for completion.
var outcomes = []string{"repaired", "returned", "uneconomic"}

// newJobClose makes `netlore job close`.
func newJobClose(a *app) *cobra.Command {
	var opt jobCloseOptions
	cmd := &cobra.Command{
		Use:   "close ID --outcome WORD [--culprit NAME]...",
		Short: "close a job: what was at fault, and how it ended",
		Long: `Close closes a job. What was at fault is what the shop learns from: "jobs with
culprit on VMAIN" finds it again. Leave --culprit out if it was not found.`,
		Example:           "  netlore job close 1042 --culprit lower:C4103 --outcome repaired --remark 'cracked, under SH1'",
		Args:              between(1, 1, "name the job to close"),
		ValidArgsFunction: a.completeJob,
		RunE:              func(cmd *cobra.Command, args []string) error { return runJobClose(cmd.Context(), a, opt, args[0]) },
	}
	f := cmd.Flags()
	f.StringArrayVar(&opt.culprits, "culprit", nil, "what was at fault, once for each or with commas: lower:C4103, 'pad lower:P11'")
	f.Var(name("WORD", &opt.outcome), "outcome", "how it ended: repaired, returned, uneconomic, or a word of yours")
	f.Var(name("TEXT", &opt.remark), "remark", "more about it, which is shared")
	f.BoolVar(&opt.anyway, "anyway", false, "take a culprit that the board is not known to have")
	cmd.RegisterFlagCompletionFunc("outcome", completeWords(outcomes...))
	return cmd
}

func runJobClose(ctx context.Context, a *app, opt jobCloseOptions, id string) error {
	if strings.TrimSpace(opt.outcome) == "" {
		return hint(errors.New("say how the job ended, with --outcome"), "usual are --outcome "+diag.OneOf(outcomes...))
	}
	end := store.Closing{Closed: a.today(), Outcome: opt.outcome, Remark: opt.remark}
	for _, text := range opt.culprits {
		list, err := readTargets(text)
		if err != nil {
			return err
		}
		end.Culprits = append(end.Culprits, list...)
	}
	return a.withdrawing(ctx, func(base *store.Base) error {
		_, boards, err := jobOn(ctx, base, id)
		if err != nil {
			return err
		}
		var list diag.List
		for _, t := range end.Culprits {
			if d := targetProblem(boards, t, opt.anyway); d != nil {
				list = append(list, inWords(*d, t.String()))
			}
		}
		if err := list.Err(); err != nil {
			return err
		}
		j, err := base.CloseJob(ctx, id, end, a.author())
		if err != nil {
			return jobError(ctx, base, id, err)
		}
		if end.Closed.Before(j.Opened) {
			a.complain(diag.List{{Code: "S418", Severity: diag.Warning, Message: "the clock says that job " + id + " was closed before it was opened", Help: []string{"look at the clock of this computer"}}})
		}
		if a.json {
			writeJSON(a.Out, map[string]any{"job": id, "closed": end.Closed, "culprits": targets(j.Culprits), "outcome": j.Outcome, "remark": j.Remark})
			return nil
		}
		text := "job " + board.QuoteName(id) + " closed: " + j.Outcome
		if len(j.Culprits) > 0 {
			text += ", at fault " + culprits(j.Job)
		}
		return a.line("%s", text)
	})
}

// readTargets reads what was at fault, as a sheet says it.
func readTargets(text string) ([]board.Target, error) {
	const head = "netlore 1\n"
	const before = "job 1 culprit "
	file, list := sheet.Parse("", []byte(head+before+text+"\n"))
	content, more := sheet.Read(file)
	list = append(list, more...)
	for i := range list {
		d := &list[i]
		from := len(head) + len(before)
		d.Range = diag.Range{Start: d.Range.Start - from, End: d.Range.End - from}
		d.Edits = nil // they count in the sheet
		*d = d.At(text)
	}
	if err := list.Err(); err != nil {
		return nil, err
	}
	if jobs := content.Knowledge.Jobs; len(jobs) == 1 && len(jobs[0].Culprits) > 0 {
		return jobs[0].Culprits, nil
	}
	return nil, errors.New("--culprit takes names, such as lower:C4103")
}
