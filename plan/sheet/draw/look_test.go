package draw

import (
	"fmt"
	"os"
	"testing"
	"time"

	"tankful/geo/intake"
	"tankful/plan"
	"tankful/plan/dayfile"
	"tankful/plan/sheet"
	"tankful/plan/sheet/sheettest"
	"tankful/testdata/demo"
)

func put(t *testing.T, name string, p *plan.Plan, truck string) {
	d, err := sheet.Truck(p, truck)
	if err != nil {
		t.Fatal(err)
	}
	f, _ := os.Create("/tmp/" + name + ".pdf")
	defer f.Close()
	t0 := time.Now()
	if err := PDF(f, d); err != nil {
		t.Fatal(err)
	}
	n, _ := Pages(d)
	fmt.Println(name, truck, n, "pages", time.Since(t0))
	os.WriteFile("/tmp/"+name+".txt", []byte(d.Text()), 0o644)
}

func TestLook(t *testing.T) {
	put(t, "look", sheettest.Plan(), "T1")
	data, err := demo.Files.ReadFile(demo.DayFile)
	if err != nil {
		t.Fatal(err)
	}
	day, probs := dayfile.Parse("day.yaml", data, func(p string) ([]byte, error) { return demo.Files.ReadFile(p) }, intake.Options{})
	if probs.HasErrors() {
		t.Fatal(probs)
	}
	p, probs := plan.Make(day)
	if p == nil {
		t.Fatal(probs)
	}
	for i, tr := range p.Trucks {
		put(t, fmt.Sprintf("demo%d", i), p, tr.Truck)
	}
}
