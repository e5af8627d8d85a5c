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
var tagKeys = []string{"building", "building:part", "golf", "waterway", "water", "natural", "leisure", "landuse", "landcover", "amenity", "area:highway", "highway",
	"railway", "aeroway", "barrier", "man_made", "power", "tourism", "historic", "shop", "office", "place", "boundary", "public_transport"}

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
	"area:highway": {"*": geo.Hardscape}, "highway": {"*": geo.Hardscape}, "building:part": {"*": geo.Building},
	"railway": {"platform": geo.Hardscape, "rail": geo.Hardscape, "tram": geo.Hardscape}, "aeroway": {"runway": geo.Hardscape, "taxiway": geo.Hardscape, "apron": geo.Hardscape, "helipad": geo.Hardscape},
	"barrier": {"hedge": geo.Bed, "wall": geo.Hardscape, "retaining-wall": geo.Hardscape}, "public_transport": {"platform": geo.Hardscape},
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

// relationTypes are values of the tag type, which every OpenStreetMap relation has.
var relationTypes = set("multipolygon", "boundary", "site", "route")

// background are tags of outlines that tell who uses the ground, whose it is or what it is called, not what
// covers it: a school's outline holds its lawns and its roofs alike (OpenStreetMap wiki; from memory).
var background = map[string]map[string]bool{
	"landuse": set("residential", "commercial", "retail", "industrial", "institutional", "education", "religious", "military", "railway", "farmyard", "farmland", "highway",
		"allotments", "conservation"),
	"amenity": set("school", "kindergarten", "college", "university", "hospital", "clinic", "place-of-worship", "community-centre", "townhall", "police", "fire-station",
		"library", "marketplace", "restaurant", "cafe", "bank", "theatre", "arts-centre", "social-facility", "public-building", "prison", "nursing-home"),
	"leisure": set("nature-reserve", "sports-centre", "stadium", "marina", "sports-hall", "fitness-centre", "water-park", "summer-camp", "resort"),
	"natural": set("bay", "peninsula", "cape", "valley", "ridge", "coastline"),
	"power":   set("substation", "plant", "generator"), "man_made": set("works", "wastewater-plant", "water-works"), "aeroway": set("aerodrome", "terminal"),
	"railway": set("station"), "public_transport": set("station"), "waterway": set("boatyard"),
	"tourism": set("*"), "historic": set("*"), "shop": set("*"), "office": set("*"), "place": set("*"), "boundary": set("*"),
}

// between are words of a name after which another thing is spoken of.
var between = set("by", "behind", "at", "near", "along", "beside", "in", "of", "around", "next", "under", "between", "before", "after", "above", "below",
	"with", "without", "to", "from", "for", "on", "opposite", "past", "off", "round", "and")
