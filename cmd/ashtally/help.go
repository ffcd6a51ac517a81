package main

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"
)

// helpWidth is what help is wrapped to: a narrow terminal.
const helpWidth = 60

func newHelp() *cobra.Command {
	return &cobra.Command{
		Use:   "help [COMMAND]",
		Short: "say how a command is used",
		Args:  wantsFrom(0, 1),
		RunE: func(cmd *cobra.Command, args []string) error {
			about := cmd.Root()
			if len(args) == 1 {
				found, _, err := cmd.Root().Find(args)
				if err != nil || found == cmd.Root() {
					return noCommand(cmd.Root(), args[0])
				}
				about = found
			}
			return about.Help()
		},
	}
}

// helpText says what a command does, how it is called, with examples, and its flags.
func helpText(cmd *cobra.Command, all []*cobra.Command) string {
	var b strings.Builder
	about := cmd.Long
	if about == "" {
		about = strings.ToUpper(cmd.Short[:1]) + cmd.Short[1:] + "."
	}
	b.WriteString(about + "\n\nUsage:\n")
	if cmd.HasParent() {
		fmt.Fprintf(&b, "  ashtally %s\n", cmd.Use)
	} else {
		b.WriteString("  ashtally COMMAND\n" + commandList(all))
	}
	if cmd.HasExample() {
		b.WriteString("\nExamples:\n" + cmd.Example + "\n")
	}
	if cmd.HasAvailableLocalFlags() {
		b.WriteString("\nFlags:\n" + cmd.LocalFlags().FlagUsagesWrapped(helpWidth))
	}
	if !cmd.HasParent() {
		b.WriteString("\nMore on a command: ashtally COMMAND --help\n")
	}
	return b.String()
}

// commandList lists the commands by when they are needed.
func commandList(all []*cobra.Command) string {
	var b strings.Builder
	title := ""
	for _, c := range all {
		if c.GroupID != title {
			title = c.GroupID
			fmt.Fprintf(&b, "\n%s:\n", title)
		}
		fmt.Fprintf(&b, "  %-11s %s\n", c.Name(), c.Short)
	}
	return b.String()
}
