package server

import (
	"encoding/json"
	"fmt"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"time"

	"github.com/gorilla/mux"
	"github.com/paulmach/orb"
)

// OGC API - Features, Part 1: Core (OGC 17-069r4), classes core and geojson, for programs that read maps. One collection, the outlines: a feature is a property with all its turf.

const outlines = "properties"

var conformance = []string{"http://www.opengis.net/spec/ogcapi-features-1/1.0/conf/core", "http://www.opengis.net/spec/ogcapi-features-1/1.0/conf/geojson"}

type link struct {
	Href  string `json:"href"`
	Rel   string `json:"rel"`
	Type  string `json:"type,omitempty"`
	Title string `json:"title,omitempty"`
}

func (s *Server) base(r *http.Request) string {
	if s.Address != "" {
		return strings.TrimRight(s.Address, "/")
	}
	scheme := "http"
	if s.Secure {
		scheme = "https"
	}
	return scheme + "://" + r.Host
}

func writeJSON(w http.ResponseWriter, kind string, v any) {
	w.Header().Set("Content-Type", kind)
	_ = json.NewEncoder(w).Encode(v)
}

func (s *Server) routesFeatures() {
	get := func(path string, f func(w http.ResponseWriter, r *http.Request) error) {
		s.router.Methods("GET", "HEAD").Path(path).HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
			if err := f(w, r); err != nil {
				s.refuse(w, r, err)
			}
		})
	}
	get("/features", func(w http.ResponseWriter, r *http.Request) error {
		b := s.base(r)
		writeJSON(w, "application/json", map[string]any{"title": "Tankful", "description": "Outlines of the properties", "links": []link{
			{b + "/features", "self", "application/json", "this document"}, {b + "/features/api", "service-desc", "application/vnd.oai.openapi+json;version=3.1", "the API"},
			{b + "/features/conformance", "conformance", "application/json", "conformance"}, {b + "/features/collections", "data", "application/json", "collections"}}})
		return nil
	})
	get("/features/conformance", func(w http.ResponseWriter, _ *http.Request) error {
		writeJSON(w, "application/json", map[string]any{"conformsTo": conformance})
		return nil
	})
	get("/features/api", func(w http.ResponseWriter, r *http.Request) error {
		http.Redirect(w, r, "/api/openapi.json", http.StatusSeeOther)
		return nil
	})
	get("/features/collections", func(w http.ResponseWriter, r *http.Request) error {
		b := s.base(r)
		writeJSON(w, "application/json", map[string]any{"links": []link{{b + "/features/collections", "self", "application/json", ""}}, "collections": []any{collection(b)}})
		return nil
	})
	get("/features/collections/{collection}", func(w http.ResponseWriter, r *http.Request) error {
		if mux.Vars(r)["collection"] != outlines {
			return ErrNone
		}
		writeJSON(w, "application/json", collection(s.base(r)))
		return nil
	})
	get("/features/collections/{collection}/items", s.featureItems)
	get("/features/collections/{collection}/items/{id}", s.featureItem)
}

func collection(base string) any {
	at := base + "/features/collections/" + outlines
	return map[string]any{"id": outlines, "title": "Properties", "description": "Properties with their turf and what is left out of it", "itemType": "feature", "crs": []string{"http://www.opengis.net/def/crs/OGC/1.3/CRS84"},
		"links": []link{{at, "self", "application/json", ""}, {at + "/items", "items", "application/geo+json", ""}}}
}

func parseBox(text string) (*orb.Bound, error) {
	bad := &refusal{Status: http.StatusBadRequest, Title: "bbox is no window", Detail: "Write west,south,east,north in degrees."}
	parts := strings.Split(text, ",")
	if len(parts) != 4 {
		return nil, bad
	}
	var v [4]float64
	for i, p := range parts {
		x, err := strconv.ParseFloat(strings.TrimSpace(p), 64)
		if err != nil || !(x >= -180 && x <= 180) {
			return nil, bad
		}
		v[i] = x
	}
	if v[0] > v[2] || v[1] > v[3] || v[1] < -90 || v[3] > 90 {
		return nil, bad
	}
	return &orb.Bound{Min: orb.Point{v[0], v[1]}, Max: orb.Point{v[2], v[3]}}, nil
}

func (s *Server) featureItems(w http.ResponseWriter, r *http.Request) error {
	if mux.Vars(r)["collection"] != outlines {
		return ErrNone
	}
	q := Query{Kind: Properties, Limit: 10}
	for key, values := range r.URL.Query() {
		switch v := values[0]; key {
		case "limit":
			n, err := strconv.Atoi(v)
			if err != nil || n < 1 {
				return &refusal{Status: http.StatusBadRequest, Title: "limit is no number", Detail: "Write 1 to 1000."}
			}
			q.Limit = min(n, 1000)
		case "bbox":
			b, err := parseBox(v)
			if err != nil {
				return err
			}
			q.Within = b
		case "after":
			q.After = v
		case "f", "datetime": // all times: a property has none
		default:
			return &refusal{Status: http.StatusBadRequest, Title: "unknown parameter", Detail: "The parameters are limit, bbox, datetime and after."}
		}
	}
	page, err := s.Store.Items(r.Context(), q)
	if err != nil {
		return err
	}
	features := []json.RawMessage{}
	for _, head := range page.Items {
		it, err := s.Store.Item(r.Context(), Properties, head.ID)
		if err != nil {
			return err
		}
		f, err := asFeature(it)
		if err != nil {
			return err
		}
		features = append(features, f)
	}
	self := s.base(r) + r.URL.Path
	links := []link{{self + query(r.URL.Query()), "self", "application/geo+json", ""}}
	if page.Next != "" {
		v := r.URL.Query()
		v.Set("after", page.Next)
		links = append(links, link{self + query(v), "next", "application/geo+json", ""})
	}
	writeJSON(w, "application/geo+json", map[string]any{"type": "FeatureCollection", "features": features, "numberReturned": len(features), "timeStamp": s.Now().UTC().Format(time.RFC3339), "links": links})
	return nil
}

func query(v url.Values) string {
	if len(v) == 0 {
		return ""
	}
	return "?" + v.Encode()
}

func (s *Server) featureItem(w http.ResponseWriter, r *http.Request) error {
	v := mux.Vars(r)
	if v["collection"] != outlines {
		return ErrNone
	}
	it, err := s.Store.Item(r.Context(), Properties, v["id"])
	if err == nil && it.Gone {
		err = ErrNone
	}
	if err != nil {
		return err
	}
	f, err := asFeature(it)
	if err != nil {
		return err
	}
	var feature map[string]any
	if err := json.Unmarshal(f, &feature); err != nil {
		return err
	}
	b := s.base(r)
	feature["links"] = []link{{b + r.URL.Path, "self", "application/geo+json", ""}, {b + "/features/collections/" + outlines, "collection", "application/json", ""}}
	writeJSON(w, "application/geo+json", feature)
	return nil
}

// asFeature is a property as one feature: its outlines as a collection of geometries, with its figures.
func asFeature(it Item) (json.RawMessage, error) {
	var g struct {
		Features []struct {
			Geometry json.RawMessage `json:"geometry"`
		} `json:"features"`
	}
	var f propertyFacts
	if err := json.Unmarshal(it.Body, &g); err != nil {
		return nil, fmt.Errorf("read property %q: %w", it.ID, err)
	}
	if err := json.Unmarshal(it.Facts, &f); err != nil {
		return nil, fmt.Errorf("read the figures of property %q: %w", it.ID, err)
	}
	shapes := []json.RawMessage{}
	for _, x := range g.Features {
		if len(x.Geometry) > 0 {
			shapes = append(shapes, x.Geometry)
		}
	}
	members := map[string]any{"name": it.Name, "version": it.Version, "state": it.State, "net": f.Net, "plus_minus": f.PlusMinus}
	if it.State == stateMeasured {
		members["net_m2"] = float64(f.Measure.Net)
	}
	return mustJSON(map[string]any{"type": "Feature", "id": it.ID, "geometry": map[string]any{"type": "GeometryCollection", "geometries": shapes}, "properties": members}), nil
}
