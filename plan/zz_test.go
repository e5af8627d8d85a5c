package plan_test

import (
	"fmt"
	"syscall"
	"testing"

	"tankful/plan"
)

func TestZZ(t *testing.T) {
	cpu := func() float64 {
		var r syscall.Rusage
		_ = syscall.Getrusage(syscall.RUSAGE_SELF, &r)
		return float64(r.Utime.Sec) + float64(r.Utime.Usec)/1e6
	}
	d := demoDay(t, "us")
	t0 := cpu()
	p, _ := plan.Make(d)
	fmt.Println("minutes", p.Minutes, "bound", p.BoundMinutes, "cpu", cpu()-t0)
}
