package main

import (
	"bytes"
	"image"
	"image/png"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"tankful/calc/unit"
	"tankful/plan/sheet"
	"tankful/plan/sheet/draw"
	"tankful/plan/sheet/sheettest"
)

// pictures are those that README.md shows: sheets of the demo. "go test ./cmd/tankful -run TestPictures -update" draws them anew.
var pictures = []struct {
	file     string
	part     sheet.Part
	property string
	page     int
}{
	{"load-sheet.png", sheet.Loads, "", 2},
	{"stop-sheet.png", sheet.Stops, "spray-street-15", 1},
}

const picturesDPI = 75

func TestPictures(t *testing.T) {
	if oneGoroutine() {
		return
	}
	p := sheettest.Demo(t, unit.US)
	readme, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range pictures {
		d, err := sheet.Truck(p, p.Trucks[0].Truck, sheet.Options{Only: []sheet.Part{x.part}, Property: x.property})
		if err != nil {
			t.Fatal(err)
		}
		var b bytes.Buffer
		if err := draw.PNG(&b, d, x.page, picturesDPI); err != nil {
			t.Fatal(err)
		}
		file := filepath.Join("..", "..", "testdata", "pictures", x.file)
		if *update {
			if err := os.WriteFile(file, b.Bytes(), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		want, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		if len(want) > 200_000 {
			t.Errorf("%s has %d bytes, want at most 200,000", x.file, len(want))
		}
		if differ := unlike(t, b.Bytes(), want); differ > 0.002 {
			t.Errorf("%s: %.2f %% of it is drawn otherwise today: look at it and draw it anew with -update", x.file, differ*100)
		}
		if !strings.Contains(string(readme), "](testdata/pictures/"+x.file+")") {
			t.Errorf("README.md does not show %s", x.file)
		}
	}
}

// unlike is the share of pixels that differ by more than the rounding of another processor may do.
func unlike(t *testing.T, a, b []byte) float64 {
	t.Helper()
	x, err := png.Decode(bytes.NewReader(a))
	if err != nil {
		t.Fatal(err)
	}
	y, err := png.Decode(bytes.NewReader(b))
	if err != nil {
		t.Fatal(err)
	}
	if x.Bounds() != y.Bounds() {
		return 1
	}
	n := 0
	for py := range x.Bounds().Dy() {
		for px := range x.Bounds().Dx() {
			if level(x, px, py)-level(y, px, py) > 24 || level(y, px, py)-level(x, px, py) > 24 {
				n++
			}
		}
	}
	return float64(n) / float64(x.Bounds().Dx()*x.Bounds().Dy())
}

// level is how light a pixel is, 0 to 255.
func level(m image.Image, x, y int) int {
	r, g, b, _ := m.At(x, y).RGBA()
	return int(r+g+b) / 3 >> 8
}
