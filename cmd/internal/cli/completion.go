package cli

import (
	_ "embed"
	"fmt"

	"github.com/spf13/cobra"

	"netlore/query/diag"
)

// bashCompletion needs nothing but bash itself, and completes inside quotation
// marks too, where questions stand.
//
//go:embed completion.bash
var bashCompletion string

const completionText = `Completion prints a script that makes your shell complete commands, options, the
words of questions, and the names of boards, nets and parts. Try it in the shell
that you are in:

  bash        source <(netlore completion bash)
  zsh         source <(netlore completion zsh)
  fish        netlore completion fish | source
  powershell  netlore completion powershell | Out-String | Invoke-Expression

To have it in every shell, put that line into ~/.bashrc, ~/.zshrc (after
compinit), ~/.config/fish/config.fish or your PowerShell profile.`

// newCompletion makes `netlore completion`.
func newCompletion(a *app) *cobra.Command {
	shells := []string{"bash", "zsh", "fish", "powershell"}
	return &cobra.Command{
		Use:       "completion bash|zsh|fish|powershell",
		Short:     "make your shell complete words and names",
		Long:      completionText,
		Args:      between(1, 1, "name your shell: "+diag.OneOf(shells...)),
		ValidArgs: shells,
		RunE: func(cmd *cobra.Command, args []string) error {
			root := cmd.Root()
			switch args[0] {
			case "bash":
				return a.print(bashCompletion)
			case "zsh":
				return root.GenZshCompletion(a.Out)
			case "fish":
				return root.GenFishCompletion(a.Out, true)
			case "powershell":
				return root.GenPowerShellCompletionWithDesc(a.Out)
			}
			return fmt.Errorf("%q is no shell that netlore knows; it knows %s", args[0], diag.OneOf(shells...))
		},
	}
}
