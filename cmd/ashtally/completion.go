package main

import (
	"fmt"
	"slices"

	"github.com/spf13/cobra"

	"ashtally/pipeline"
	"ashtally/pipeline/phrase"
)

var shells = []string{"bash", "zsh", "fish", "powershell"}

func newCompletion() *cobra.Command {
	return &cobra.Command{
		Use:   "completion SHELL",
		Short: "print what completes commands on the tab key",
		Long: `completion prints a script for bash, zsh, fish or
powershell. With it the tab key completes commands, flags,
folders, and the tables of a results folder. To load it in
each new shell, write it once:

bash
  ashtally completion bash > \
    ~/.local/share/bash-completion/completions/ashtally
zsh
  ashtally completion zsh > "${fpath[1]}/_ashtally"
fish
  ashtally completion fish > \
    ~/.config/fish/completions/ashtally.fish
powershell
  ashtally completion powershell >> $PROFILE`,
		Example: `  ashtally completion bash > ashtally.bash
  ashtally completion zsh > _ashtally
  ashtally completion fish > ashtally.fish
  ashtally completion powershell > ashtally.ps1`,
		ValidArgs: shells,
		Args: func(cmd *cobra.Command, args []string) error {
			if err := wants(1)(cmd, args); err != nil {
				return err
			}
			if !slices.Contains(shells, args[0]) {
				return fmt.Errorf("%q is no shell that is known; it takes %s", args[0], phrase.Either(shells))
			}
			return nil
		},
		RunE: work(func(cmd *cobra.Command, args []string) error {
			root, out := cmd.Root(), cmd.OutOrStdout()
			switch args[0] {
			case "bash":
				return root.GenBashCompletionV2(out, true)
			case "zsh":
				return root.GenZshCompletion(out)
			case "fish":
				return root.GenFishCompletion(out, true)
			}
			return root.GenPowerShellCompletionWithDesc(out)
		}),
	}
}

// oneFolder completes a command's one argument, a folder.
func oneFolder(_ *cobra.Command, args []string, _ string) ([]string, cobra.ShellCompDirective) {
	if len(args) == 0 {
		return nil, cobra.ShellCompDirectiveFilterDirs
	}
	return nil, cobra.ShellCompDirectiveNoFileComp
}

// folderAndTable completes a results folder, and then one of its tables.
func folderAndTable(cmd *cobra.Command, args []string, begun string) ([]string, cobra.ShellCompDirective) {
	if len(args) != 1 {
		return oneFolder(cmd, args, begun)
	}
	tables, err := pipeline.Tables(cmd.Context(), args[0])
	if err != nil {
		return nil, cobra.ShellCompDirectiveNoFileComp
	}
	var names []string
	for _, t := range tables {
		names = append(names, t.Name+"\t"+t.About)
	}
	return names, cobra.ShellCompDirectiveNoFileComp
}
