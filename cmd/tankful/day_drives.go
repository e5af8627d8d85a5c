package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"time"

	"github.com/paulmach/orb"
	"github.com/spf13/cobra"

	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/plan"
	"tankful/plan/travel"
	"tankful/server/matrix"
)

// serviceFlags say which routing service is asked for driving times; without a URL none is.
type serviceFlags struct {
	url, style, profile, folder, save string
	wait                              unit.Time
}

func (f *serviceFlags) add(cmd *cobra.Command) {
	fs := cmd.Flags()
	fs.StringVar(&f.url, "ask", "", "`URL` of a routing service to ask for driving times; only coordinates are sent (default: none is asked)")
	fs.StringVar(&f.style, "ask-style", string(matrix.OSRM), "what the service understands: osrm (its table service) or valhalla (its matrix)")
	fs.StringVar(&f.profile, "ask-profile", "", "how to drive, in the service's `word` (default: driving for osrm, truck for valhalla)")
	f.wait = 10 * unit.Second
	fs.Var(&f.wait, "ask-wait", "how long to wait for each answer")
	fs.StringVar(&f.folder, "ask-keep", "", "`folder` that keeps the answers, so that they are not asked for again")
	fs.StringVar(&f.save, "save-drives", "", "write the drives that were answered to a `FILE`, for travel.table of the file")
}

// ask asks the service for the drives of a day, or of a week's days together, and enters them. A service that fails is told, and what it did not answer is found otherwise.
func (f *serviceFlags) ask(ctx context.Context, d *plan.Day, try string) (problem.List, error) {
	var l problem.List
	if f.url == "" {
		if f.folder != "" || f.profile != "" || f.save != "" {
			return l, &usageError{"--ask-keep, --ask-profile and --save-drives go with --ask", try}
		}
		return l, nil
	}
	stands := d.Places()
	at := make([]orb.Point, len(stands))
	for i, s := range stands {
		at[i] = s.At
	}
	s := matrix.Service{URL: f.url, Style: matrix.Style(f.style), Profile: f.profile, Folder: f.folder, Timeout: time.Duration(f.wait.In(unit.Second) * float64(time.Second))}
	drives, err := s.Ask(ctx, at)
	switch {
	case errors.Is(err, matrix.ErrService):
		return l, &usageError{"--ask: " + err.Error(), try}
	case ctx.Err() != nil:
		return l, interrupted(ctx)
	case errors.Is(err, matrix.ErrKeep):
		l.Warnf("service-not-kept", f.folder, "Name a folder that can be written to.", "%v", err)
	case err != nil:
		l.Warnf("service-failed", f.url, "Check the address, and that the service runs; or plan without it.", "not all driving times were answered: %v", err)
	}
	t := &travel.Table{}
	for i, from := range stands {
		for j, to := range stands {
			if c := drives[i][j]; i != j && c.OK {
				t.Put(from.Name, to.Name, travel.Cell{Time: d.Travel.Access + c.Time, Road: c.Road})
			}
		}
	}
	d.Travel.Service = t
	if f.save == "" {
		return l, nil
	}
	var b bytes.Buffer
	if err := t.WriteCSV(&b); err != nil {
		return l, err
	}
	if err := os.WriteFile(f.save, b.Bytes(), 0o644); err != nil {
		return l, fmt.Errorf("save the drives: %w", reason(err))
	}
	return l, nil
}
