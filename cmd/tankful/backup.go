package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"tankful/server"
)

func backupCommand(e *env) *cobra.Command {
	var f storeFlags
	cmd := &cobra.Command{
		Use:   "backup FILE",
		Short: "Copy everything that a server keeps into one file, while it runs",
		Long: `Writes everything that is kept, as it is at one moment, into one file: every version, the
record, quotes, people and their passwords as hashes. Keep the file as you keep keys.
The server may run meanwhile. "tankful restore" reads it, into a folder or PostgreSQL.`,
		Example: `  tankful backup monday.tankful.gz
  tankful backup --database postgres://tankful@localhost/tankful monday.tankful.gz`,
		Args: oneFile("tankful backup takes the name of the file to write"),
	}
	f.add(cmd)
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		if f.database == "" {
			if _, err := os.Stat(f.data); err != nil {
				return fmt.Errorf("the data folder: %w", err)
			}
		}
		db, err := f.open(cmd.Context(), cmd)
		if err != nil {
			return err
		}
		defer func() { _ = db.Close() }()
		// The file is whole or not there: it gets its name when it is on disk.
		tmp, err := os.CreateTemp(filepath.Dir(args[0]), ".tankful-*")
		if err != nil {
			return fmt.Errorf("write the copy: %w", err)
		}
		defer func() { _ = os.Remove(tmp.Name()) }()
		if err := errors.Join(db.Dump(cmd.Context(), tmp), tmp.Sync(), tmp.Close()); err != nil {
			return fmt.Errorf("write the copy: %w", err)
		}
		if err := os.Rename(tmp.Name(), args[0]); err != nil {
			return fmt.Errorf("write the copy: %w", err)
		}
		fmt.Fprintf(e.err, "wrote %s\n", args[0])
		return nil
	}
	return cmd
}

func restoreCommand(e *env) *cobra.Command {
	var f storeFlags
	cmd := &cobra.Command{
		Use:   "restore FILE",
		Short: "Read such a copy into an empty folder or database",
		Long: `Reads a file of "tankful backup" into a folder, or a database, that has nothing in it yet.
A file that was cut short or changed is refused, and nothing is read.`,
		Example: `  tankful restore --data new-folder monday.tankful.gz`,
		Args:    oneFile("tankful restore takes the file that tankful backup wrote"),
	}
	f.add(cmd)
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		file, err := os.Open(args[0])
		if err != nil {
			return fmt.Errorf("read the copy: %w", err)
		}
		defer func() { _ = file.Close() }()
		db, err := f.open(cmd.Context(), cmd)
		if err != nil {
			return err
		}
		defer func() { _ = db.Close() }()
		err = db.Load(cmd.Context(), file)
		if errors.Is(err, server.ErrFull) {
			return fmt.Errorf("restore %s: there is something in it already: name an empty folder or database", args[0])
		}
		if err != nil {
			return fmt.Errorf("restore %s: %w", args[0], err)
		}
		fmt.Fprintf(e.err, "restored %s\n", args[0])
		return nil
	}
	return cmd
}

// oneFile asks for one argument.
func oneFile(what string) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		if len(args) != 1 {
			return &usageError{what, exampleLine(cmd)}
		}
		return nil
	}
}
