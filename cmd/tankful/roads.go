package main

import (
	"fmt"
	"os"

	"github.com/spf13/cobra"

	"tankful/geo/road"
)

func roadsCommand(e *env) *cobra.Command {
	var out string
	cmd := &cobra.Command{
		Use:   "roads EXTRACT",
		Short: "Keep the roads of an OpenStreetMap extract for day files",
		Long: `Reads an extract of OpenStreetMap (.osm.pbf) and keeps its drivable roads in a compact
file, with their one-way streets and speed limits. A day file that names the file under
travel, roads: FILE, is planned by fastest ways on them, and its overview shows the ways.

Traffic, turn restrictions, gates, and the heights and weights that a truck may have are
not known. The data is (c) OpenStreetMap contributors, under the Open Database License:
sheets that are made with it say so.`,
		Example: `  tankful roads town.osm.pbf --out town.roads`,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) != 1 {
				return &usageError{"tankful roads takes one extract", exampleLine(cmd)}
			}
			return nil
		},
	}
	cmd.Flags().StringVar(&out, "out", "", "the `FILE` to keep the roads in")
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		if out == "" {
			return &usageError{"--out is missing: where to keep the roads", exampleLine(cmd)}
		}
		f, err := os.Open(args[0])
		if err != nil {
			return fmt.Errorf("read roads: %w", err)
		}
		defer f.Close()
		g, found := road.Read(cmd.Context(), args[0], f)
		if err := interrupted(cmd.Context()); err != nil {
			return err
		}
		if err := found.Err(); err != nil {
			return refuse(e, err, false)
		}
		printProblems(e.err, found)
		b, err := g.MarshalBinary()
		if err != nil {
			return err
		}
		if err := os.WriteFile(out, b, 0o644); err != nil {
			return fmt.Errorf("keep the roads: %w", reason(err))
		}
		junctions, segments := g.Size()
		_, err = fmt.Fprintf(e.out, "%s: %s between %s. %s\n", out, plural(segments, "road"), plural(junctions, "junction"), g.Credit())
		return err
	}
	return cmd
}
