package draw

import (
	"fmt"
	"testing"

	"github.com/tdewolff/canvas"

	"tankful/calc/unit"
)

// A pass of 10 m and then 10 m up, at 1:500 20 mm each: off from 4 to 12 m is from 8 to 24 mm, round the corner.
func TestStretchesOfAPass(t *testing.T) {
	d := drawing{l: mapLayout{scale: 500}}
	pts := []canvas.Point{{X: 0, Y: 0}, {X: 20, Y: 0}, {X: 20, Y: 20}}
	on, off := d.stretches(pts, [][2]unit.Length{{4 * unit.Metre, 12 * unit.Metre}}, 0)
	if got := fmt.Sprint(on, off); got != "[[(0,0) (8,0)] [(20,4) (20,20)]] [[(8,0) (20,0) (20,4)]]" {
		t.Errorf("got %s", got)
	}
	on, off = d.stretches(pts, [][2]unit.Length{{4 * unit.Metre, 12 * unit.Metre}}, 10)
	if got := fmt.Sprint(on, off); got != "[[(20,4) (20,20)]] [[(10,0) (20,0) (20,4)]]" {
		t.Errorf("from 10 mm on: got %s", got)
	}
	on, off = d.stretches(pts, nil, 0)
	if got := fmt.Sprint(on, off); got != "[[(0,0) (20,0) (20,20)]] []" {
		t.Errorf("all on: got %s", got)
	}
}
