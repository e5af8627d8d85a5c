package main

import (
	"fmt"
	"runtime/debug"

	"github.com/spf13/cobra"
)

// version is the module's version as the go tool stamped it, "devel" when it did not.
func version() string {
	info, ok := debug.ReadBuildInfo()
	if !ok || info.Main.Version == "" || info.Main.Version == "(devel)" {
		return "devel"
	}
	return info.Main.Version
}

// helpCommand is "tankful help", which refuses a command that is not there.
func helpCommand() *cobra.Command {
	return &cobra.Command{
		Use:               "help [COMMAND]",
		Short:             "Help on a command",
		ValidArgsFunction: cobra.NoFileCompletions,
		RunE: func(cmd *cobra.Command, args []string) error {
			topic, rest, err := cmd.Root().Find(args)
			if err != nil || len(rest) > 0 {
				return &usageError{fmt.Sprintf("there is no help on %q", args[len(args)-1]), "tankful --help"}
			}
			topic.InitDefaultHelpFlag()
			topic.InitDefaultVersionFlag()
			return topic.Help()
		},
	}
}

// strictCompletion adds "tankful completion" and makes it refuse shells that it does not know.
func strictCompletion(root *cobra.Command) {
	root.InitDefaultCompletionCmd("completion")
	cmd, _, err := root.Find([]string{"completion"})
	if err != nil {
		panic(err) // it was added above
	}
	cmd.Short = "Print the completion script for a shell"
	cmd.Example = "  tankful completion bash"
	cmd.Args = func(cmd *cobra.Command, args []string) error {
		if len(args) > 0 {
			return &usageError{fmt.Sprintf("%q is not bash, zsh, fish or powershell", args[0]), exampleLine(cmd)}
		}
		return nil
	}
	cmd.RunE = func(cmd *cobra.Command, _ []string) error { return cmd.Help() }
	for _, shell := range cmd.Commands() {
		shell.Args = noArgs
	}
}
