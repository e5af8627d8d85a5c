package route_test

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"tankful/plan/route/bound"
	"tankful/plan/route/routetest"
	"tankful/plan/route/ruin"
)

// Published problems, read as days, against the best cost known. TANKFUL_INSTANCES names a folder of them, with its bks.csv where it has one; then
// all are run, for TANKFUL_TRIALS trials each (by size when it is not set). Without it the smallest proven ones of the reference data are, which
// must be solved: P-n16-k8 (450), E-n22-k4 (375), A-n32-k5 (784), P-n40-k5 (458) and berlin52 (7,542; TSPLIB 95, Reinelt 1995), their best
// costs from CVRPLIB as listed in bks.csv.
func TestInstances(t *testing.T) {
	dir, all := os.Getenv("TANKFUL_INSTANCES"), true
	if dir == "" {
		shared := os.Getenv("TANKFUL_SHARED")
		if shared == "" {
			t.Skip("TANKFUL_SHARED is not set: no published instances")
		}
		dir, all = filepath.Join(shared, "data", "route"), false
	}
	best := bestKnown(t, dir)
	names, err := filepath.Glob(filepath.Join(dir, "*"))
	if err != nil || len(names) == 0 {
		t.Fatalf("no instances in %s: %v", dir, err)
	}
	small := []string{"P-n16-k8", "E-n22-k4", "A-n32-k5", "P-n40-k5", "berlin52"}
	seen := 0
	for _, name := range names {
		base := strings.TrimSuffix(filepath.Base(name), filepath.Ext(name))
		if !all && !slices.Contains(small, base) || filepath.Ext(name) == ".csv" || filepath.Ext(name) == ".sol" {
			continue
		}
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		in, err := routetest.Read(filepath.Base(name), string(text))
		if err != nil {
			t.Logf("not run: %v", err)
			continue
		}
		seen++
		trials := trialsFor(in)
		if !all {
			trials = 300_000
		}
		row := solved(t, in, trials)
		t.Logf("%-12s %-6s %5d stops  cost %10.2f  best known %10.2f  gap %6.3f %%  bound %10.2f  %6.2f s", in.Name, in.Kind, in.Stops, row.cost, best[base], 100*(row.cost/best[base]-1), row.bound, row.seconds)
		if !all && row.cost > best[base]+0.01 {
			t.Errorf("%s: cost %.2f, the best is %.2f", in.Name, row.cost, best[base])
		}
	}
	if seen == 0 {
		t.Errorf("no instance in %s is read", dir)
	}
}

// trialsFor is the number of trials for an instance, about what 2 s hold up to 50 stops, 5 s up to 100, and 10 s beyond, and
// with windows, facilities or splits.
func trialsFor(in *routetest.Instance) int {
	if n, err := strconv.Atoi(os.Getenv("TANKFUL_TRIALS")); err == nil {
		return n
	}
	switch {
	case in.Kind == "sd":
		return 2_000_000
	case in.Kind != "cvrp" && in.Kind != "tsp":
		return 350_000
	case in.Stops <= 51:
		return 500_000
	case in.Stops <= 100:
		return 1_300_000
	}
	return 2_000_000
}

type instanceRow struct{ cost, bound, seconds float64 }

func solved(t testing.TB, in *routetest.Instance, trials int) instanceRow {
	t.Helper()
	began := cpuSeconds()
	p, err := in.Day.Clock(ruin.Search(in.Day, ruin.Options{Seed: 1, Trials: trials}))
	if err != nil {
		t.Fatalf("%s: %v", in.Name, err)
	}
	r := instanceRow{cost: float64(p.Drive), seconds: cpuSeconds() - began}
	if len(p.Left) > 0 || p.Late > 0 {
		t.Errorf("%s: %d stops left out, %v late", in.Name, len(p.Left), p.Late)
	}
	work := 0.0
	for i := range in.Day.Stops {
		work += float64(in.Day.Stops[i].Work)
	}
	r.bound = float64(bound.Of(in.Day, nil).Time) - work
	if r.bound > r.cost*(1+1e-9) {
		t.Errorf("%s: bound %.2f over the cost %.2f", in.Name, r.bound, r.cost)
	}
	return r
}

// bestKnown reads the third column on of bks.csv: instance, kind, stops, best known.
func bestKnown(t testing.TB, dir string) map[string]float64 {
	t.Helper()
	out := map[string]float64{}
	f, err := os.Open(filepath.Join(dir, "bks.csv"))
	if err != nil {
		return out
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range rows[1:] {
		out[r[0]], _ = strconv.ParseFloat(r[3], 64)
	}
	return out
}

// BenchmarkSearch is what a trial costs by size: ns/op is per trial.
func BenchmarkSearch(b *testing.B) {
	dir := filepath.Join(os.Getenv("TANKFUL_SHARED"), "data", "route")
	for _, name := range []string{"P-n40-k5.vrp", "X-n101-k25.vrp", "X-n502-k39.vrp", "R103.txt"} {
		text, err := os.ReadFile(filepath.Join(dir, name))
		if err != nil {
			b.Skip("TANKFUL_SHARED is not set: no published instances")
		}
		in, err := routetest.Read(name, string(text))
		if err != nil {
			b.Fatal(err)
		}
		b.Run(in.Name, func(b *testing.B) {
			ruin.Search(in.Day, ruin.Options{Seed: 1, Trials: b.N})
		})
	}
}
