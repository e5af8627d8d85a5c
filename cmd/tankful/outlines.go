package main

import (
	"context"
	"fmt"
	"os"

	"github.com/spf13/cobra"

	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/geo"
	"tankful/geo/intake"
)

// outlineFlags are the options of every command that reads outlines.
type outlineFlags struct {
	surfaceKey, groupKey, surfaceMap string
	accuracy                         unit.Length
}

func (f *outlineFlags) add(cmd *cobra.Command) {
	fs := cmd.Flags()
	fs.StringVar(&f.surfaceKey, "surface-key", "", "feature `member` that says what a surface is (default: surface, kind, role and the like, then OpenStreetMap tags)")
	fs.StringVar(&f.groupKey, "group-key", "", "feature `member` that groups features into properties; id for the feature's own id (default: property, site, account, parcel, lot, else one property a file)")
	fs.StringVar(&f.surfaceMap, "surface-map", "", "what a file's `words` for surfaces mean, such as path=hardscape,exclusion=keep-off")
}

// addAccuracy is for commands that measure outlines by themselves; a day file has its own entry.
func (f *outlineFlags) addAccuracy(cmd *cobra.Command) {
	cmd.Flags().Var(&f.accuracy, "accuracy", "how well the corners of the outlines are known, such as \"0.5 m\" (default: a guess, which is named)")
	cmd.Flags().Lookup("accuracy").DefValue = ""
}

func (f *outlineFlags) options(cmd *cobra.Command) (intake.Options, error) {
	opt := intake.Options{SurfaceKey: f.surfaceKey, GroupKey: f.groupKey}
	if f.surfaceMap != "" {
		m, err := intake.ParseSurfaceMap(f.surfaceMap)
		if err != nil {
			return opt, &usageError{"--surface-map: " + err.Error(), cmd.CommandPath() + " --surface-map path=hardscape,exclusion=keep-off FILE"}
		}
		opt.SurfaceMap = m
	}
	if cmd.Flags().Changed("accuracy") && !(f.accuracy > 0) {
		return opt, &usageError{"--accuracy must be above zero", cmd.CommandPath() + " --accuracy \"0.5 m\" FILE"}
	}
	return opt, nil
}

// sites reads and measures every property of the files. Problems of a file that belong to no
// property are in the list; those of a property are in its Site.
func (f *outlineFlags) sites(ctx context.Context, e *env, cmd *cobra.Command, paths []string) ([]*geo.Site, problem.List, error) {
	opt, err := f.options(cmd)
	if err != nil {
		return nil, nil, err
	}
	var props []*geo.Property
	var found problem.List
	for _, path := range paths {
		data, err := os.ReadFile(path)
		if err != nil {
			return nil, nil, fmt.Errorf("read outlines: %w", err)
		}
		ps, list := intake.Read(path, data, opt)
		props = append(props, ps...)
		found = append(found, list...)
	}
	found = append(found, repeated(props)...)
	sites := make([]*geo.Site, len(props))
	p := e.progress("measuring", len(props))
	defer p.end()
	for i, prop := range props {
		if err := interrupted(ctx); err != nil {
			return nil, nil, err
		}
		sites[i] = geo.Measure(prop, geo.MeasureOptions{Accuracy: f.accuracy})
		p.step()
	}
	return sites, found, nil
}

// repeated finds properties that two files call by the same id.
func repeated(props []*geo.Property) (ps problem.List) {
	seen := map[string]*geo.Property{}
	for _, p := range props {
		if first := seen[p.ID]; first != nil {
			ps.Warnf("property-repeated", p.Where, "Give each property an id of its own.", "property %q is also in %s; they are measured apart", p.ID, first.Where)
			continue
		}
		seen[p.ID] = p
	}
	return ps
}

// allProblems is the files' problems and those of the sites, sorted.
func allProblems(found problem.List, sites []*geo.Site) problem.List {
	all := append(problem.List{}, found...)
	for _, s := range sites {
		all = append(all, s.Problems...)
	}
	all.Sort()
	return all
}

// endProblems prints what is not an error and returns the errors, if any, as the command's end.
func endProblems(e *env, all problem.List) error {
	if err := all.Err(); err != nil {
		return err
	}
	printProblems(e.err, all)
	return nil
}
