package main

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"strconv"

	"tankful/calc/unit"
	"tankful/plan"
	"tankful/plan/sheet"
	"tankful/plan/sheet/draw"
)

// How large a map of passes is at most: a sheet of Letter or A4 within its margins.
const (
	mapWidth  = 7.5 * unit.Inch
	mapHeight = 10 * unit.Inch
)

// drawPasses draws the passes of each property as SVG into a folder.
func drawPasses(ctx context.Context, e *env, path string, laid []covered, units unit.System) error {
	if err := os.MkdirAll(path, 0o777); err != nil {
		return err
	}
	dir := folder{path, map[string]bool{}}
	for _, c := range laid {
		if c.plan == nil {
			continue
		}
		if err := interrupted(ctx); err != nil {
			return err
		}
		ground := plan.MapOf(c.site)
		var svg bytes.Buffer
		if err := draw.MapSVG(&svg, sheet.PassMap(&ground, &c.plan.PassPlan, units), mapWidth, mapHeight); err != nil {
			return fmt.Errorf("draw the passes of %s: %w", c.plan.ID, err)
		}
		name := fileName(c.plan.ID)
		for n := 2; dir.wrote[name+".svg"]; n++ { // two names may differ in letters that a file name does without
			name = fileName(c.plan.ID, strconv.Itoa(n))
		}
		if err := dir.write(name+".svg", svg.Bytes()); err != nil {
			return err
		}
	}
	return nil
}
