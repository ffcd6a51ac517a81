package main

import (
	"strings"

	"github.com/spf13/cobra"
)

// text is the value of a flag that takes a text, with what kind of text it is.
type text struct {
	to   *string
	kind string
}

func (t text) String() string     { return *t.to }
func (t text) Set(s string) error { *t.to = s; return nil }
func (t text) Type() string       { return t.kind }

// texts is the value of a flag that may be given several times.
type texts struct {
	to   *[]string
	kind string
}

func (t texts) String() string     { return strings.Join(*t.to, ", ") }
func (t texts) Set(s string) error { *t.to = append(*t.to, s); return nil }
func (t texts) Type() string       { return t.kind }

// folderFlag adds a flag that takes a folder.
func folderFlag(cmd *cobra.Command, to *string, name, usage string) {
	cmd.Flags().Var(text{to, "folder"}, name, usage)
	completes(cmd, name, folders)
}

// folders completes the name of a folder.
func folders(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
	return nil, cobra.ShellCompDirectiveFilterDirs
}

// wordFlag adds a flag that takes one of a few words.
func wordFlag(cmd *cobra.Command, to *string, name, kind string, words []string, usage string) {
	cmd.Flags().Var(text{to, kind}, name, usage)
	completes(cmd, name, cobra.FixedCompletions(words, cobra.ShellCompDirectiveNoFileComp))
}

func completes(cmd *cobra.Command, flag string, by cobra.CompletionFunc) {
	if err := cmd.RegisterFlagCompletionFunc(flag, by); err != nil {
		panic("ashtally: " + err.Error()) // the flag was declared just before
	}
}
