package server

import (
	"context"
	"encoding/json"
	"errors"
	"net/http"
	"strconv"
	"strings"
	"sync"

	"github.com/danielgtaylor/huma/v2"
	"github.com/danielgtaylor/huma/v2/adapters/humamux"

	"tankful/plan"
	"tankful/server/picture"
)

// once: huma has one function for all APIs of a program that makes its errors.
var setErrors = sync.OnceFunc(func() {
	huma.NewError = func(status int, message string, errs ...error) huma.StatusError {
		x := &refusal{Status: status, Title: message}
		for _, err := range errs {
			if err != nil {
				x.Detail = strings.TrimSpace(x.Detail + " " + err.Error() + ".")
			}
		}
		return x
	}
})

// api is what the operations of the API have in common.
type api struct {
	huma.API
	s *Server
}

// routesAPI registers the operations under /api.
func (s *Server) routesAPI() {
	setErrors()
	cfg := huma.DefaultConfig("Tankful", orWord(s.Engine, "dev"))
	cfg.OpenAPIPath, cfg.DocsPath, cfg.SchemasPath = "/api/openapi", "", ""
	cfg.CreateHooks = nil // no $schema members
	cfg.Info.Description = "Properties, measuring, the outfit, days, plans, records and quotes of one outfit. Amounts are text with their unit; figures in SI are named for it. Send an access token as \"Authorization: Bearer\"."
	cfg.Components.SecuritySchemes = map[string]*huma.SecurityScheme{"token": {Type: "http", Scheme: "bearer"}}
	cfg.Security = []map[string][]string{{"token": {}}}
	a := &api{humamux.New(s.router, cfg), s}
	a.properties()
	a.outfit()
	a.plans()
	a.offers()
	a.people()
}

// op is an operation. Its errors are one table's.
func op[In, Out any](a *api, method, path, id, summary string, f func(context.Context, *In) (*Out, error), set ...func(*huma.Operation)) {
	o := huma.Operation{OperationID: id, Method: method, Path: path, Summary: summary, MaxBodyBytes: mostSmall, BodyReadTimeout: bodyTime} // of errors the document has one form for all
	if method == http.MethodPost && strings.HasSuffix(path, "s") {
		o.DefaultStatus = http.StatusCreated
	}
	for _, f := range set {
		f(&o)
	}
	huma.Register(a.API, o, func(ctx context.Context, in *In) (*Out, error) {
		most := otherTime
		if path == "/api/quotes" { // passes are laid for each
			most = planTime
		}
		ctx, cancel := context.WithTimeout(ctx, most)
		defer cancel()
		out, err := f(ctx, in)
		if err != nil {
			return nil, a.error(err)
		}
		return out, nil
	})
}

func (a *api) error(err error) error {
	x := a.s.refused(err)
	if x.RetryAfter > 0 {
		return huma.ErrorWithHeaders(x, http.Header{"Retry-After": {strconv.Itoa(x.RetryAfter)}})
	}
	return x
}

// document is an answer that is a document of another package: what it holds is said there.
func document(kind, what string) func(*huma.Operation) {
	return func(o *huma.Operation) {
		o.Responses = map[string]*huma.Response{"200": {Description: what, Content: map[string]*huma.MediaType{kind: {Schema: &huma.Schema{Type: huma.TypeObject, Description: what}}}}}
	}
}

const geoJSON = "application/geo+json"

// anyText takes a body as it is: an entry is read by what reads day files, which says what is wrong with it.
func anyText(o *huma.Operation) { o.SkipValidateBody = true }

func large(o *huma.Operation) { o.MaxBodyBytes, o.SkipValidateBody = mostBody, true }

// OutlinesBody lets an operation take a body as it is sent.
type OutlinesBody struct {
	RawBody []byte `contentType:"application/geo+json"`
}

// ChangeHead are the heads of a change: If-Match with the ETag that was changed, or If-None-Match: * for what is new.
type ChangeHead struct {
	IfMatch     string `header:"If-Match" doc:"The ETag of the version that is changed."`
	IfNoneMatch string `header:"If-None-Match" doc:"* for something new."`
	Key         string `header:"Idempotency-Key" doc:"A key of the caller's: sent again, the first answer is given again."`
}

// was is the version that a change was made from.
func (h *ChangeHead) was() (int64, error) {
	if h.IfNoneMatch == "*" {
		return 0, nil
	}
	if h.IfMatch == "" {
		return 0, &refusal{Status: http.StatusPreconditionRequired, Title: "say which version you change", Detail: "Send If-Match with the ETag that you read, or If-None-Match: * for something new."}
	}
	n, err := strconv.ParseInt(strings.Trim(strings.TrimPrefix(h.IfMatch, "W/"), `"`), 10, 64)
	if err != nil || n < 1 {
		return 0, &refusal{Status: http.StatusBadRequest, Title: "If-Match is no ETag of this server", Detail: `It is a number in quotes, such as "3".`}
	}
	return n, nil
}

// key is a caller's key with who it belongs to, so that two people's keys never meet.
func (h *ChangeHead) key(ctx context.Context) string {
	if h.Key == "" {
		return ""
	}
	return "of " + who(ctx) + " " + h.Key
}

// who is the ID of who asks.
func who(ctx context.Context) string {
	if p := person(ctx); p != nil {
		return p.ID
	}
	return ""
}

func etag(version int64) string { return `"` + strconv.FormatInt(version, 10) + `"` }

// listIn and listOut are a list's.
type listIn struct {
	Search string `query:"search" doc:"Words; each must begin a word of the item."`
	State  string `query:"state"`
	Due    string `query:"due" doc:"What is due by this date."`
	BBox   string `query:"bbox" doc:"west,south,east,north in degrees."`
	After  string `query:"after" doc:"The next of the page before."`
	Limit  int    `query:"limit" default:"50" minimum:"1" maximum:"1000"`
}

type listOut struct {
	Body struct {
		Items []shownItem `json:"items"`
		Next  string      `json:"next,omitempty"`
		More  bool        `json:"more"`
	}
}

func (a *api) list(ctx context.Context, kind Kind, in *listIn) (*listOut, error) {
	q := Query{Kind: kind, Search: in.Search, State: in.State, DueUntil: in.Due, After: in.After, Limit: in.Limit}
	if in.BBox != "" {
		b, err := parseBox(in.BBox)
		if err != nil {
			return nil, err
		}
		q.Within = b
	}
	page, err := a.s.Store.Items(ctx, q)
	if err != nil {
		return nil, err
	}
	out := &listOut{}
	out.Body.Items, out.Body.Next, out.Body.More = []shownItem{}, page.Next, page.More
	for _, it := range page.Items {
		out.Body.Items = append(out.Body.Items, shown(it))
	}
	return out, nil
}

// ItemPath is the path of an item.
type ItemPath struct {
	ID string `path:"id" maxLength:"64"`
}

// bytesOut is a body as it is, with its ETag.
type bytesOut struct {
	ETag        string `header:"ETag"`
	ContentType string `header:"Content-Type"`
	Body        []byte
}

type savedOut struct {
	ETag string `header:"ETag"`
	Body struct {
		ID       string        `json:"id"`
		Version  int64         `json:"version"`
		Problems []liveProblem `json:"problems"`
	}
}

type nothing struct{}

func savedAs(it Item, found []liveProblem) *savedOut {
	out := &savedOut{ETag: etag(it.Version)}
	out.Body.ID, out.Body.Version, out.Body.Problems = it.ID, it.Version, found
	if found == nil {
		out.Body.Problems = []liveProblem{}
	}
	return out
}

func (a *api) properties() {
	op(a, "GET", "/api/properties", "list-properties", "Properties by words, place or what is due", func(ctx context.Context, in *listIn) (*listOut, error) {
		return a.list(ctx, Properties, in)
	})
	op(a, "POST", "/api/properties", "new-property", "A new property from GeoJSON; its ID is made of its name when the query gives none", func(ctx context.Context, in *struct {
		ID  string `query:"id"`
		Key string `header:"Idempotency-Key"`
		OutlinesBody
	}) (*savedOut, error) {
		var g ground
		_ = json.Unmarshal(in.RawBody, &g) // what is wrong with it is said where it is saved
		id := orWord(in.ID, orWord(slug(g.Account.Name), "property-"+strings.ToLower(randomLetters())))
		h := ChangeHead{Key: in.Key}
		it, found, err := a.s.saveProperty(ctx, id, in.RawBody, 0, h.key(ctx), who(ctx))
		if err != nil {
			return nil, err
		}
		return savedAs(it, placed(found)), nil
	}, large)
	op(a, "GET", "/api/properties/{id}", "property", "A property's newest outlines as GeoJSON", func(ctx context.Context, in *ItemPath) (*bytesOut, error) {
		it, err := a.s.Store.Item(ctx, Properties, in.ID)
		if err == nil && it.Gone {
			err = ErrNone
		}
		if err != nil {
			return nil, err
		}
		return &bytesOut{ETag: etag(it.Version), ContentType: geoJSON, Body: it.Body}, nil
	}, document(geoJSON, "a FeatureCollection (RFC 7946) with the member account"))
	op(a, "PUT", "/api/properties/{id}", "save-property", "A further measuring of a property; those before stay", func(ctx context.Context, in *struct {
		ItemPath
		ChangeHead
		OutlinesBody
	}) (*savedOut, error) {
		was, err := in.was()
		if err != nil {
			return nil, err
		}
		it, found, err := a.s.saveProperty(ctx, in.ID, in.RawBody, was, in.key(ctx), who(ctx))
		if conflict := (*ConflictError)(nil); errors.As(err, &conflict) {
			x := a.s.refused(err)
			x.Yours = json.RawMessage(in.RawBody)
			return nil, x
		}
		if err != nil {
			return nil, err
		}
		return savedAs(it, placed(found)), nil
	}, large)
	op(a, "DELETE", "/api/properties/{id}", "drop-property", "Takes a property out of the lists; its versions stay", func(ctx context.Context, in *struct {
		ItemPath
		ChangeHead
	}) (*nothing, error) {
		was, err := in.was()
		if err != nil {
			return nil, err
		}
		return nil, a.s.dropProperty(ctx, in.ID, was, in.key(ctx), who(ctx))
	})
	op(a, "GET", "/api/properties/{id}/measure", "measure-property", "What the newest outlines measure", func(ctx context.Context, in *ItemPath) (*struct{ Body propertyFacts }, error) {
		it, err := a.s.Store.Item(ctx, Properties, in.ID)
		if err != nil {
			return nil, err
		}
		out := &struct{ Body propertyFacts }{}
		return out, json.Unmarshal(it.Facts, &out.Body)
	})
	op(a, "GET", "/api/properties/{id}/versions", "property-versions", "All measurings of a property, the newest first", func(ctx context.Context, in *ItemPath) (*struct{ Body []shownItem }, error) {
		list, err := a.s.Store.Versions(ctx, Properties, in.ID)
		if err == nil && len(list) == 0 {
			err = ErrNone
		}
		out := &struct{ Body []shownItem }{Body: []shownItem{}}
		for _, it := range list {
			out.Body = append(out.Body, shown(it))
		}
		return out, err
	})
	op(a, "GET", "/api/properties/{id}/versions/{version}", "property-version", "One measuring as GeoJSON", func(ctx context.Context, in *struct {
		ItemPath
		Version int64 `path:"version"`
	}) (*bytesOut, error) {
		it, err := a.s.Store.Version(ctx, Properties, in.ID, in.Version)
		if err != nil {
			return nil, err
		}
		return &bytesOut{ETag: etag(it.Version), ContentType: geoJSON, Body: it.Body}, nil
	}, document(geoJSON, "a FeatureCollection (RFC 7946) with the member account"))
	op(a, "GET", "/api/properties/{id}/difference", "property-difference", "Turf gained and lost between two measurings", func(ctx context.Context, in *struct {
		ItemPath
		Was int64 `query:"was" minimum:"1" required:"true"`
		Is  int64 `query:"is" minimum:"1" required:"true"`
	}) (*bytesOut, error) {
		c, err := a.s.difference(ctx, in.ID, in.Was, in.Is)
		if err != nil {
			return nil, err
		}
		return &bytesOut{ContentType: "application/json", Body: mustJSON(plan.ChangeOf(c))}, nil
	}, document("application/json", "what tankful measure --against --json says of a property, in SI"))
	op(a, "POST", "/api/measure", "measure", "Measures GeoJSON without keeping it", func(ctx context.Context, in *OutlinesBody) (*struct{ Body *liveMeasure }, error) {
		out, err := a.s.live(ctx, in.RawBody)
		return &struct{ Body *liveMeasure }{out}, err
	}, large)
	op(a, "GET", "/api/properties/{id}/pictures", "pictures", "The pictures that lie under a property's outlines", func(ctx context.Context, in *ItemPath) (*struct{ Body []shownPicture }, error) {
		list, err := a.s.listPictures(ctx, in.ID)
		return &struct{ Body []shownPicture }{list}, err
	})
	op(a, "POST", "/api/properties/{id}/pictures", "add-picture", "Puts a picture under the outlines: a PNG or JPEG with the text of its world file, or a GeoTIFF. It is warped onto degrees once", func(ctx context.Context, in *struct {
		ItemPath
		Key  string `header:"Idempotency-Key"`
		Body struct {
			Name        string `json:"name" maxLength:"200"`
			Data        []byte `json:"data" doc:"the file, in base64"`
			World       string `json:"world,omitempty" maxLength:"4096"`
			Coordinates string `json:"coordinates,omitempty" doc:"EPSG:26915, UTM 15N, or the text of a .prj file; degrees without"`
		}
	}) (*struct{ Body shownPicture }, error) {
		h := ChangeHead{Key: in.Key}
		p, err := a.s.addPicture(ctx, in.ID, picture.Source{Name: in.Body.Name, Data: in.Body.Data, World: in.Body.World, Coordinates: in.Body.Coordinates}, h.key(ctx), who(ctx))
		return &struct{ Body shownPicture }{p}, err
	}, func(o *huma.Operation) { o.MaxBodyBytes, o.BodyReadTimeout = mostPicture, pictureTime })
	op(a, "DELETE", "/api/properties/{id}/pictures/{picture}", "drop-picture", "Takes a picture away", func(ctx context.Context, in *struct {
		ItemPath
		Picture string `path:"picture" maxLength:"64"`
	}) (*nothing, error) {
		return nil, a.s.dropPicture(ctx, in.ID, in.Picture, who(ctx))
	})
	op(a, "POST", "/api/tape", "sum-tape", "Adds up what was measured with a tape or a wheel, in lines as tankful tape reads them, without keeping it; kept it is account.tape of a property", func(ctx context.Context, in *struct {
		Body struct {
			Text     string `json:"text"`
			Accuracy string `json:"accuracy,omitempty"`
		}
	}) (*struct{ Body tapeSum }, error) {
		out, err := a.s.sumTape(ctx, in.Body.Text, in.Body.Accuracy)
		return &struct{ Body tapeSum }{out}, err
	})
	op(a, "POST", "/api/read", "read-file", "Reads a file of outlines in any format that tankful measure takes", func(_ context.Context, in *struct {
		Name    string `query:"name" required:"true" maxLength:"200"`
		RawBody []byte `contentType:"application/octet-stream"`
	}) (*struct{ Body readFile }, error) {
		return &struct{ Body readFile }{readOutlines(in.Name, in.RawBody)}, nil
	}, large)
}
