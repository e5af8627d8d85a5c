package main

import (
	_ "embed"
	"io"

	"github.com/spf13/cobra"
)

// notices is our licence and those of all that is linked in, written by .ci/notices.
//
//go:embed notices.txt
var notices string

func licensesCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "licenses",
		Short: "Print the licence of Tankful and of everything in it",
		Args:  noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			_, err := io.WriteString(cmd.OutOrStdout(), notices)
			return err
		},
	}
}
