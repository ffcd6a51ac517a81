package main

import (
	"errors"
	"fmt"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"ashtally/pipeline/ingest"
)

// wants checks that a command has its n arguments, and else shows how it is
// called.
func wants(n int) cobra.PositionalArgs { return wantsFrom(n, n) }

// wantsFrom checks that a command has at least and at most so many arguments.
func wantsFrom(least, most int) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		switch n := len(args); {
		case n < least:
			return fmt.Errorf("%s is missing; it is called as: ashtally %s", strings.Fields(cmd.Use)[n+1], cmd.Use)
		case n > most:
			return fmt.Errorf("%q is one argument too many; it is called as: ashtally %s", args[most], cmd.Use)
		}
		return nil
	}
}

// noCommand says that there is no such command, and which was probably meant.
func noCommand(root *cobra.Command, name string) error {
	var names []string
	for _, c := range root.Commands() {
		names = append(names, c.Name())
	}
	return fmt.Errorf("there is no command %q%s", name, didYouMean(ingest.Nearest(name, names)))
}

// didYouMean asks for a name that is near; nothing where none is.
func didYouMean(name string) string {
	if name == "" {
		return ""
	}
	return "; did you mean " + name + "?"
}

// wrongFlag puts what is wrong with flags into plain words. A flag that follows an
// unknown command is no concern of its own.
func wrongFlag(cmd *cobra.Command, err error) error {
	if args := cmd.Flags().Args(); !cmd.HasParent() && len(args) > 0 {
		return noCommand(cmd, args[0])
	}
	var unknown *pflag.NotExistError
	var empty *pflag.ValueRequiredError
	var value *pflag.InvalidValueError
	switch {
	case errors.As(err, &unknown):
		return noFlag(cmd, unknown)
	case errors.As(err, &empty):
		return fmt.Errorf("--%s needs %s after it", empty.GetFlag().Name, takes(empty.GetFlag()))
	case errors.As(err, &value):
		return fmt.Errorf("--%s is %q, and takes %s", value.GetFlag().Name, value.GetValue(), takes(value.GetFlag()))
	}
	return err
}

func noFlag(cmd *cobra.Command, unknown *pflag.NotExistError) error {
	if short := unknown.GetSpecifiedShortnames(); short != "" {
		return fmt.Errorf("there is no flag -%s; flags are written out, with two hyphens", unknown.GetSpecifiedName())
	}
	name := unknown.GetSpecifiedName()
	var names []string
	cmd.Flags().VisitAll(func(f *pflag.Flag) { names = append(names, f.Name) })
	near := ingest.Nearest(name, names)
	if near != "" {
		near = "--" + near
	}
	return fmt.Errorf("%s has no flag --%s%s", cmd.Name(), name, didYouMean(near))
}

// takes says what kind of value a flag takes.
func takes(f *pflag.Flag) string {
	switch f.Value.Type() {
	case "bool":
		return "true or false"
	case "int":
		return "a whole number"
	case "float64":
		return "a number"
	}
	return "a value"
}
