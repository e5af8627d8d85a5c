package intake

import "tankful/geo"

// builtIn are the words understood in any of the surface members.
var builtIn = meanings(map[geo.Surface][]string{
	geo.Turf: {"turf", "lawn", "grass", "green", "fairway"},
	geo.Bed:  {"bed", "flowerbed", "flower-bed", "garden-bed", "planting", "trees", "sand", "mulch"},
	geo.Hardscape: {"hardscape", "path", "drive", "driveway", "walk", "sidewalk", "patio", "parking", "court", "playground",
		"plaza", "road", "paving", "asphalt", "concrete", "paved", "paving-stones", "gravel"},
	geo.Building: {"building", "house", "garage", "shed"},
	geo.Water:    {"water", "pond", "pool", "stream"},
	geo.KeepOff:  {"keep-off", "keepoff", "exclusion", "no-spray", "buffer"},
})

// pavingTag are the built-in words that are also values of the OpenStreetMap tag surface,
// which says what something is made of.
var pavingTag = set("grass", "sand", "mulch", "asphalt", "concrete", "paved", "paving-stones", "gravel")

// hardSurface are values of the tag surface that make a park tag's ground no turf.
var hardSurface = set("asphalt", "concrete", "concrete:plates", "paved", "paving-stones", "sett", "gravel", "fine-gravel", "compacted",
	"clay", "sand", "tartan", "acrylic", "artificial-turf", "rubber", "wood", "metal")

// tagKeys are the OpenStreetMap keys that say what an area is, the more telling first.
var tagKeys = []string{"building", "golf", "waterway", "water", "natural", "leisure", "landuse", "landcover", "amenity", "highway", "man_made"}

// tagMeaning is what plain OpenStreetMap tags mean here ("*" is any other value), by the
// descriptions of the tags in the OpenStreetMap wiki (from memory).
var tagMeaning = map[string]map[string]geo.Surface{
	"building": {"*": geo.Building},
	"golf": meanings(map[geo.Surface][]string{
		geo.Turf: {"green", "fairway", "tee", "rough", "driving-range"}, geo.Bed: {"bunker"},
		geo.Water: {"water-hazard", "lateral-water-hazard"}, geo.Hardscape: {"cartpath", "path"}, geo.Building: {"clubhouse"},
	}),
	"waterway": {"riverbank": geo.Water, "dock": geo.Water, "river": geo.Water, "stream": geo.Water, "canal": geo.Water, "ditch": geo.Water},
	"water":    {"*": geo.Water},
	"natural": meanings(map[geo.Surface][]string{
		geo.Turf: {"grassland"}, geo.Water: {"water", "wetland"},
		geo.Bed: {"wood", "scrub", "sand", "tree-row", "shrubbery", "heath", "bare-rock", "beach"},
	}),
	"leisure": meanings(map[geo.Surface][]string{
		geo.Turf:      {"park", "garden", "pitch", "golf-course", "common", "dog-park", "recreation-ground", "miniature-golf"},
		geo.Hardscape: {"track", "playground", "outdoor-seating", "bleachers"}, geo.Water: {"swimming-pool"},
	}),
	"landuse": meanings(map[geo.Surface][]string{
		geo.Turf: {"grass", "recreation-ground", "village-green", "cemetery", "meadow"},
		geo.Bed:  {"flowerbed", "forest", "orchard", "vineyard", "plant-nursery"}, geo.Water: {"basin", "reservoir"}, geo.Hardscape: {"garages"},
	}),
	"landcover": {"grass": geo.Turf, "trees": geo.Bed, "flowerbed": geo.Bed, "scrub": geo.Bed, "water": geo.Water, "sand": geo.Bed},
	"amenity": meanings(map[geo.Surface][]string{
		geo.Turf: {"grave-yard"}, geo.Hardscape: {"parking", "parking-space", "bicycle-parking", "fuel"}, geo.Water: {"fountain"}, geo.Building: {"shelter"},
	}),
	"highway": {"*": geo.Hardscape},
	"man_made": meanings(map[geo.Surface][]string{
		geo.Hardscape: {"pier", "bridge", "courtyard"}, geo.Building: {"silo", "storage-tank", "water-tower", "reservoir-covered", "tower"},
	}),
}

func meanings(lists map[geo.Surface][]string) map[string]geo.Surface {
	out := map[string]geo.Surface{}
	for s, list := range lists {
		for _, w := range list {
			out[w] = s
		}
	}
	return out
}

func set(list ...string) map[string]bool {
	out := map[string]bool{}
	for _, w := range list {
		out[w] = true
	}
	return out
}
