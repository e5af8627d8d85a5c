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

// drawPasses draws the passes of each property into a folder, as files with this ending: .svg or .png.
func drawPasses(ctx context.Context, e *env, path, ending string, laid []covered, units unit.System) error {
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
		var picture bytes.Buffer
		m := c.plan.onMap(sheet.PassMap(&ground, &c.plan.PassPlan, units))
		var err error
		if ending == ".png" {
			err = draw.MapPNG(&picture, m, mapWidth, mapHeight, mapDPI)
		} else {
			err = draw.MapSVG(&picture, m, mapWidth, mapHeight)
		}
		if err != nil {
			return fmt.Errorf("draw the passes of %s: %w", c.plan.ID, err)
		}
		name := fileName(c.plan.ID)
		for n := 2; dir.wrote[name+ending]; n++ { // two names may differ in letters that a file name does without
			name = fileName(c.plan.ID, strconv.Itoa(n))
		}
		if err := dir.write(name+ending, picture.Bytes()); err != nil {
			return err
		}
	}
	return nil
}

// onMap adds where tankfuls run dry to a map of the passes.
func (p *passesPlan) onMap(m sheet.Map) sheet.Map {
	for _, d := range p.Dry {
		m.Marks = append(m.Marks, sheet.Mark{Kind: sheet.TankChange, At: d.At, Text: fmt.Sprintf("LOAD %d ENDS", d.Load)})
	}
	return m
}
