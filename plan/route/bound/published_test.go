package bound_test

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"strconv"
	"syscall"
	"testing"

	"tankful/plan/route/bound"
	"tankful/plan/route/routetest"
)

func cpu() float64 {
	var r syscall.Rusage
	_ = syscall.Getrusage(syscall.RUSAGE_SELF, &r)
	return float64(r.Utime.Sec) + float64(r.Utime.Usec)/1e6
}

// Published problems with their proven optima (CVRPLIB; sources in bks.csv): the bound is never above them and near them. Gaps are logged; TANKFUL_ALL=1 looks at the larger ones too.
func TestPublished(t *testing.T) {
	shared := os.Getenv("TANKFUL_SHARED")
	if shared == "" {
		t.Skip("TANKFUL_SHARED is not set: no published problems")
	}
	dir := filepath.Join(shared, "data", "route")
	f, err := os.Open(filepath.Join(dir, "bks.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	best := map[string]float64{}
	for _, r := range rows[1:] {
		best[r[0]], _ = strconv.ParseFloat(r[3], 64)
	}
	near := map[string]float64{"P-n16-k8": 0.02, "E-n22-k4": 0.01, "A-n32-k5": 0.06, "P-n40-k5": 0.03}
	files := []string{"P-n16-k8.vrp", "E-n22-k4.vrp", "A-n32-k5.vrp", "P-n40-k5.vrp"}
	if os.Getenv("TANKFUL_ALL") != "" {
		files = append(files, "A-n45-k7.vrp", "B-n50-k8.vrp", "E-n51-k5.vrp", "P-n76-k5.vrp", "A-n80-k10.vrp", "X-n101-k25.vrp", "S51D3.sd", "p01_1050.cri")
	}
	for _, name := range files {
		text, err := os.ReadFile(filepath.Join(dir, name))
		if err != nil {
			t.Error(err)
			continue
		}
		in, err := routetest.Read(name, string(text))
		if err != nil {
			t.Error(err)
			continue
		}
		from := cpu()
		is, opt := float64(bound.Of(in.Day, nil).Time), best[in.Name]
		gap := 1 - is/opt
		t.Logf("%-11s %8.1f of %6.0f: %5.2f %% below, %.2f s", in.Name, is, opt, 100*gap, cpu()-from)
		if is > opt*(1+1e-9) {
			t.Errorf("%s: bound %.3f above the optimum %.0f", in.Name, is, opt)
		}
		if n, ok := near[in.Name]; ok && gap > n {
			t.Errorf("%s: %.2f %% below the optimum, want %.2f %%", in.Name, 100*gap, 100*n)
		}
	}
}
