package pass

import (
	"testing"

	"github.com/twpayne/go-geom"

	"tankful/geo"
)

// A hole that no outline says anything of may be a pond: the walk goes round it. Hardscape in it is walked over.
func TestUnknownHoleIsWalkedRound(t *testing.T) {
	l := lawn([][]geom.Coord{rect(0, 0, 70, 70), rect(28, 28, 14, 14)})
	across := []geom.Coord{{20 * 0.3048, 35 * 0.3048}, {50 * 0.3048, 35 * 0.3048}}
	if l.ground().Clear(across[0], across[1]) {
		t.Error("the way leads over a hole of which nothing is known")
	}
	l.LeftOut = map[geo.Surface]*geom.MultiPolygon{geo.Hardscape: lawn([][]geom.Coord{rect(28, 28, 14, 14)}).Net}
	if !l.ground().Clear(across[0], across[1]) {
		t.Error("no way leads over a patio")
	}
}
