package server

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"mime/multipart"
	"net/http"
	"net/url"
	"regexp"
	"strconv"
	"strings"
	"time"

	"github.com/gorilla/mux"

	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/server/picture"
)

// Tiles are pictures of the ground cut into tiles, for the map. Tile gives nil where there is none.
type Tiles interface {
	Name() string
	Type() string
	Deepest() int
	Tile(ctx context.Context, z, x, y int) ([]byte, error)
}

const (
	mostPicture  = 48 << 20 // bytes of an upload
	mostPictures = 12       // of a property
	// tilesItem is the item that holds the address of map tiles, among the pictures; its state is no property's ID.
	tilesItem, tilesState = "tiles", "*tiles"
)

// keptPicture is a picture of a property. A picture is never changed, only taken away.
type keptPicture struct {
	Type string `json:"type"`
	Data []byte `json:"data"`
}

// pictureFacts is a picture in a list.
type pictureFacts struct {
	Box   [4]float64 `json:"box"`   // west, south, east, north, degrees
	Pixel string     `json:"pixel"` // on the ground, as printed
	Note  string     `json:"note,omitempty"`
	// Edge is where the picture's edge lies, longitude and latitude, if outside of it there is white.
	Edge [][2]float64 `json:"edge,omitempty"`
}

// shownPicture is a picture as machines see it.
type shownPicture struct {
	ID    string       `json:"id"`
	Name  string       `json:"name"`
	URL   string       `json:"url"`
	By    string       `json:"by"`
	At    string       `json:"at"`
	Facts pictureFacts `json:"facts"`
}

// under is a picture as the map takes it.
type under struct {
	Name    string       `json:"name"`
	URL     string       `json:"url,omitempty"`
	Extent  []float64    `json:"extent,omitempty"`
	Edge    [][2]float64 `json:"edge,omitempty"`
	Tiles   string       `json:"tiles,omitempty"`
	Deepest int          `json:"deepest,omitempty"`
}

// pictures are those of a property, by name. What is no property's ID has none, as the state of tilesItem is among the pictures' states too.
func (s *Server) pictures(ctx context.Context, property string) ([]shownPicture, error) {
	if !idForm.MatchString(property) {
		return nil, ErrNone
	}
	page, err := s.Store.Items(ctx, Query{Kind: Pictures, State: property, Limit: 100})
	if err != nil {
		return nil, err
	}
	out := []shownPicture{}
	for _, it := range page.Items {
		x := shownPicture{ID: it.ID, Name: it.Name, URL: "/properties/" + property + "/pictures/" + it.ID, By: it.By, At: shown(it).At}
		if err := json.Unmarshal(it.Facts, &x.Facts); err != nil {
			return nil, fmt.Errorf("read picture %q: %w", it.ID, err)
		}
		out = append(out, x)
	}
	return out, nil
}

// listPictures are those of a property that is there.
func (s *Server) listPictures(ctx context.Context, property string) ([]shownPicture, error) {
	it, err := s.Store.Item(ctx, Properties, property)
	if err == nil && it.Gone {
		err = ErrNone
	}
	if err != nil {
		return nil, err
	}
	return s.pictures(ctx, property)
}

// addPicture puts a picture under a property's outlines.
func (s *Server) addPicture(ctx context.Context, property string, src picture.Source, key, by string) (shownPicture, error) {
	there, err := s.listPictures(ctx, property)
	if err != nil {
		return shownPicture{}, err
	}
	if len(there) >= mostPictures {
		return shownPicture{}, &refusal{Status: 422, Title: "there are pictures enough", Detail: fmt.Sprintf("Take one away first: a property has at most %d.", mostPictures)}
	}
	select { // a large one takes a few hundred megabytes for a second
	case s.placing <- struct{}{}:
		defer func() { <-s.placing }()
	case <-ctx.Done():
		return shownPicture{}, fmt.Errorf("wait for a turn: %w", ctx.Err())
	}
	p, ps := picture.Place(src)
	if p == nil {
		return shownPicture{}, orFailed(ps)
	}
	parts, err := s.parts(ctx)
	if err != nil {
		return shownPicture{}, err
	}
	b := p.Box
	f := pictureFacts{Box: [4]float64{b.Left(), b.Bottom(), b.Right(), b.Top()}, Pixel: pixelText(p.Pixel, parts.units()), Note: p.Note}
	for _, at := range p.Edge {
		f.Edge = append(f.Edge, at)
	}
	name := strings.TrimSpace(short(src.Name))
	out, err := s.Store.Save(ctx, key, Change{Item: Item{Kind: Pictures, ID: "p" + fmt.Sprintf("%x", hashed(randomText(16))[:10]), Name: orWord(name, "Picture"), State: property, Bounds: &b, Body: mustJSON(keptPicture{p.Type, p.Data}), Facts: mustJSON(f), By: by, At: s.Now()}})
	if err != nil {
		return shownPicture{}, err
	}
	return shownPicture{ID: out[0].ID, Name: out[0].Name, URL: "/properties/" + property + "/pictures/" + out[0].ID, By: by, At: shown(out[0]).At, Facts: f}, nil
}

// pixelText is what a pixel is on the ground.
func pixelText(l unit.Length, u unit.System) string {
	if u == unit.Metric {
		return unit.Number(l.In(unit.Metre)*100, 1) + " cm"
	}
	return unit.Number(l.In(unit.Inch), 1) + " in"
}

// onePicture is a picture of a property, neither of which is taken away.
func (s *Server) onePicture(ctx context.Context, property, id string) (Item, error) {
	it, err := s.Store.Item(ctx, Pictures, id)
	if err == nil && (it.Gone || it.State != property || !idForm.MatchString(property)) {
		err = ErrNone
	}
	if err == nil {
		var of Item
		if of, err = s.Store.Item(ctx, Properties, property); err == nil && of.Gone {
			err = ErrNone
		}
	}
	return it, err
}

func (s *Server) dropPicture(ctx context.Context, property, id, by string) error {
	it, err := s.onePicture(ctx, property, id)
	if err != nil {
		return err
	}
	it.Gone, it.By, it.At = true, by, s.Now()
	it.Body = mustJSON(keptPicture{}) // its first version has the bytes
	_, err = s.Store.Save(ctx, "", Change{Item: it, Was: it.Version})
	return err
}

// tileAddress is where browsers may take map tiles from, if the owner has said so.
type tileAddress struct {
	Address string `json:"address"`
	Credit  string `json:"credit"`
	Deepest int    `json:"deepest"`
}

// origin is the host that the page's policy must allow.
func (t *tileAddress) origin() string {
	u, err := url.Parse(t.Address)
	if err != nil || t.Address == "" {
		return ""
	}
	return u.Scheme + "://" + u.Host
}

// plainHost is a name or an IPv4 address, with a port or without. It goes into the page's policy, where other characters have a meaning of their own: what url.Parse
// takes for a host is wider, and the zone of an IPv6 address may hold anything.
var plainHost = regexp.MustCompile(`^[A-Za-z0-9]([A-Za-z0-9.-]{0,251}[A-Za-z0-9])?(:[0-9]{1,5})?$`)

// check says what is wrong with an address.
func (t *tileAddress) check() (ps problem.List) {
	if t.Address == "" {
		return nil
	}
	u, err := url.Parse(t.Address)
	bad := func(what string) {
		ps.Errorf("address-invalid", "address", "Write it like https://tiles.example/{z}/{x}/{y}.png.", "%s", what)
	}
	switch {
	case err != nil || u.Scheme != "https" && u.Scheme != "http" || u.Host == "" || u.User != nil:
		bad("it is no address of a server on the web")
	case strings.ContainsAny(t.Address, " \t\r\n\"'<>;,\\*"):
		bad("it holds a character that an address does not have")
	case !plainHost.MatchString(u.Host):
		bad("the name of its server is not plain letters, digits, dots and hyphens")
	}
	for _, part := range []string{"{z}", "{x}", "{y}"} {
		if !strings.Contains(t.Address, part) {
			bad("it lacks " + part)
		}
	}
	if len(t.Address) > 500 || len(t.Credit) > 200 {
		ps.Errorf("text-too-long", "address", "Shorten it.", "an address has at most 500 letters, a credit 200")
	}
	if t.Deepest < 1 || t.Deepest > 23 {
		ps.Errorf("zoom-invalid", "deepest", "Write 1 to 23; most servers have 19.", "%d is no zoom", t.Deepest)
	}
	return ps
}

// tiles is the address that the owner has set; its Address is "" without one.
func (s *Server) tiles(ctx context.Context) (t tileAddress, version int64, err error) {
	it, err := s.Store.Item(ctx, Pictures, tilesItem)
	if errors.Is(err, ErrNone) {
		return t, 0, nil
	}
	if err != nil {
		return t, 0, err
	}
	if !it.Gone {
		err = json.Unmarshal(it.Body, &t)
	}
	return t, it.Version, err
}

// underMap is all that may lie under a map, of a property or of none (""). It also lets the page take tiles from where the owner says.
func (s *Server) underMap(w http.ResponseWriter, r *http.Request, property string) (map[string]any, error) {
	t, _, err := s.tiles(r.Context())
	if err != nil {
		return nil, err
	}
	list := []under{}
	for i, set := range s.Under {
		list = append(list, under{Name: set.Name(), Tiles: fmt.Sprintf("/under/%d/{z}/{x}/{y}", i+1), Deepest: set.Deepest()})
	}
	if property != "" {
		mine, err := s.pictures(r.Context(), property)
		if err != nil {
			return nil, err
		}
		for _, p := range mine {
			list = append(list, under{Name: p.Name, URL: p.URL, Extent: p.Facts.Box[:], Edge: p.Facts.Edge})
		}
	}
	if o := t.origin(); o != "" {
		w.Header().Set("Content-Security-Policy", policy(o))
	}
	return map[string]any{"Tiles": t.Address, "Credit": t.Credit, "Deepest": t.Deepest, "Under": string(mustJSON(list))}, nil
}

func (s *Server) routesPictures() {
	s.page("GET", "/properties/{id}/pictures/{picture}", s.pictureBytes)
	s.page("POST", "/properties/{id}/pictures/{picture}/away", func(w http.ResponseWriter, r *http.Request) error {
		v := mux.Vars(r)
		if err := s.dropPicture(r.Context(), v["id"], v["picture"], person(r.Context()).ID); err != nil {
			return err
		}
		return s.then(w, r, "The picture is taken away.", "/properties/"+v["id"])
	})
	s.router.Methods("POST").Path("/properties/{id}/pictures").HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if err := s.pictureForm(w, r); err != nil {
			s.refuse(w, r, err)
		}
	})
	s.page("GET", "/under/{set:[0-9]+}/{z:[0-9]+}/{x:[0-9]+}/{y:[0-9]+}", s.tile)
	s.page("POST", "/outfit-tiles", s.tilesForm)
}

func (s *Server) pictureBytes(w http.ResponseWriter, r *http.Request) error {
	it, err := s.onePicture(r.Context(), mux.Vars(r)["id"], mux.Vars(r)["picture"])
	if err != nil {
		return err
	}
	var k keptPicture
	if err := json.Unmarshal(it.Body, &k); err != nil {
		return fmt.Errorf("read picture %q: %w", it.ID, err)
	}
	pictureHeads(w, k.Type, len(k.Data))
	w.Header().Set("Cache-Control", "private, max-age=31536000, immutable") // under its ID there is never another
	_, _ = w.Write(k.Data)
	return nil
}

// pictureHeads are those of a picture, which is nothing but a picture whatever somebody has put into it.
func pictureHeads(w http.ResponseWriter, kind string, n int) {
	w.Header().Set("Content-Type", kind)
	w.Header().Set("Content-Length", strconv.Itoa(n))
	w.Header().Set("Content-Security-Policy", "default-src 'none'")
	w.Header().Set("Cache-Control", "private, max-age=86400")
}

func (s *Server) tile(w http.ResponseWriter, r *http.Request) error {
	var n [4]int
	for i, key := range []string{"set", "z", "x", "y"} {
		var err error
		if n[i], err = strconv.Atoi(mux.Vars(r)[key]); err != nil {
			return ErrNone
		}
	}
	if n[0] < 1 || n[0] > len(s.Under) {
		return ErrNone
	}
	set := s.Under[n[0]-1]
	data, err := set.Tile(r.Context(), n[1], n[2], n[3])
	if err != nil {
		return fmt.Errorf("read a tile of %s: %w", set.Name(), err)
	}
	if data == nil {
		w.Header().Set("Cache-Control", "private, max-age=86400")
		w.WriteHeader(http.StatusNoContent)
		return nil
	}
	pictureHeads(w, set.Type(), len(data))
	_, _ = w.Write(data)
	return nil
}

// pictureForm takes a picture with its world file.
func (s *Server) pictureForm(w http.ResponseWriter, r *http.Request) error {
	id := mux.Vars(r)["id"]
	_ = http.NewResponseController(w).SetReadDeadline(time.Now().Add(pictureTime)) // of the connection, whose own is shorter; one that has none keeps that
	if err := r.ParseMultipartForm(8 << 20); err != nil {
		var large *http.MaxBytesError
		if errors.As(err, &large) {
			return err
		}
		return &refusal{Status: http.StatusBadRequest, Title: "the form cannot be read", Detail: "Go back and send it again."}
	}
	defer func() { _ = r.MultipartForm.RemoveAll() }()
	src := picture.Source{Coordinates: r.PostForm.Get("coordinates")}
	var err error
	if src.Name, src.Data, err = formFile(r.MultipartForm, "picture", mostPicture); err != nil {
		return err
	}
	if src.Data == nil {
		return &refusal{Status: 422, Title: "there is no picture", Detail: "Choose a PNG, JPEG or GeoTIFF file."}
	}
	_, world, err := formFile(r.MultipartForm, "world", 1<<16)
	if err != nil {
		return err
	}
	src.World = string(world)
	if _, prj, err := formFile(r.MultipartForm, "prj", 1<<16); err != nil {
		return err
	} else if len(prj) > 0 && src.Coordinates == "" {
		src.Coordinates = string(prj)
	}
	p, err := s.addPicture(r.Context(), id, src, "", person(r.Context()).ID)
	if err != nil {
		return err
	}
	return s.then(w, r, p.Name+" lies under the outlines; a pixel is about "+p.Facts.Pixel+".", "/properties/"+id)
}

// formFile is a file of a form, nil when none was chosen.
func formFile(f *multipart.Form, key string, most int64) (name string, data []byte, err error) {
	if len(f.File[key]) == 0 || f.File[key][0].Size == 0 {
		return "", nil, nil
	}
	h := f.File[key][0]
	if h.Size > most {
		return "", nil, &refusal{Status: http.StatusRequestEntityTooLarge, Title: "the file is too large", Detail: fmt.Sprintf("%s: at most %d kB are taken.", short(h.Filename), most>>10)}
	}
	in, err := h.Open()
	if err != nil {
		return "", nil, err
	}
	defer in.Close()
	data, err = io.ReadAll(in)
	return h.Filename, data, err
}

// tilesForm sets or takes away the address of map tiles.
func (s *Server) tilesForm(w http.ResponseWriter, r *http.Request) error {
	was, err := strconv.ParseInt(r.PostForm.Get("version"), 10, 64)
	if err != nil {
		return &refusal{Status: http.StatusBadRequest, Title: "the form is not whole", Detail: "Open the page again."}
	}
	t := tileAddress{Address: strings.TrimSpace(r.PostForm.Get("address")), Credit: strings.TrimSpace(r.PostForm.Get("credit")), Deepest: 19}
	if d := strings.TrimSpace(r.PostForm.Get("deepest")); d != "" {
		if t.Deepest, err = strconv.Atoi(d); err != nil {
			t.Deepest = -1
		}
	}
	if err := t.check().Err(); err != nil {
		return err
	}
	if _, err := s.Store.Save(r.Context(), "", Change{Item: Item{Kind: Pictures, ID: tilesItem, Name: "Map tiles", State: tilesState, Body: mustJSON(t), By: person(r.Context()).ID, At: s.Now(), Gone: t.Address == ""}, Was: was}); err != nil {
		return err
	}
	if t.Address == "" {
		return s.then(w, r, "Maps ask no other server for tiles.", "/outfit")
	}
	return s.then(w, r, "Maps take tiles from "+t.origin()+".", "/outfit")
}
