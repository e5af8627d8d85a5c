package route_test

import (
	"encoding/csv"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"

	"tankful/plan/route"
	"tankful/plan/route/routetest"
	"tankful/plan/route/ruin"
)

func cpu() float64 {
	var r syscall.Rusage
	_ = syscall.Getrusage(syscall.RUSAGE_SELF, &r)
	return float64(r.Utime.Sec) + float64(r.Utime.Usec)/1e6
}

func TestInstances(t *testing.T) {
	dir := os.Getenv("TANKFUL_INSTANCES")
	trials, _ := strconv.Atoi(os.Getenv("TRIALS"))
	best := map[string]float64{}
	if f, err := os.Open(filepath.Join(dir, "bks.csv")); err == nil {
		rows, _ := csv.NewReader(f).ReadAll()
		for _, r := range rows[1:] {
			best[r[0]], _ = strconv.ParseFloat(r[3], 64)
		}
	}
	names, _ := filepath.Glob(filepath.Join(dir, "*"))
	for _, n := range names {
		b, _ := os.ReadFile(n)
		if o := os.Getenv("ONLY"); o != "" && !strings.Contains(n, o) {
			continue
		}
		in, err := routetest.Read(filepath.Base(n), string(b))
		if err != nil {
			t.Log(err)
			continue
		}
		t0 := cpu()
		dr := ruin.Search(in.Day, ruin.Options{Seed: seed(), Trials: trials})
		p, err := in.Day.Clock(dr)
		if err != nil {
			t.Error(in.Name, err)
			continue
		}
		var _ route.Plan
		fmt.Printf("%-14s %-6s n=%4d cost %.2f best %.2f gap %.3f%% left %d late %.1f loads %d  %.2f s\n", in.Name, in.Kind, in.Stops, float64(p.Drive), best[in.Name], 100*(float64(p.Drive)/best[in.Name]-1), len(p.Left), float64(p.Late), p.Loads, cpu()-t0)
	}
}

func seed() uint64 {
	n, _ := strconv.Atoi(os.Getenv("SEED"))
	return uint64(n)
}
