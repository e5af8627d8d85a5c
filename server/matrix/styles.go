package matrix

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"github.com/paulmach/orb"

	"tankful/calc/unit"
)

// osrmRequest asks for a block: the places to drive from, then those to drive to, and which are which.
func (s Service) osrmRequest(ctx context.Context, b block) (*http.Request, error) {
	var at, from, to []string
	for i, p := range slices.Concat(b.from, b.to) {
		at = append(at, degrees(p[0])+","+degrees(p[1]))
		if i < len(b.from) {
			from = append(from, strconv.Itoa(i))
		} else {
			to = append(to, strconv.Itoa(i))
		}
	}
	address := strings.TrimSuffix(s.URL, "/") + "/table/v1/" + url.PathEscape(orDefault(s.Profile, "driving")) + "/" + strings.Join(at, ";") +
		"?annotations=duration,distance&sources=" + strings.Join(from, ";") + "&destinations=" + strings.Join(to, ";")
	return http.NewRequestWithContext(ctx, http.MethodGet, address, nil)
}

func degrees(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }

// readOSRM reads durations in seconds and distances in metres, row by row; null is no way. Cells that the service has estimated itself are taken for not known.
func readOSRM(body []byte) (Table, error) {
	var in struct {
		Code      string       `json:"code"`
		Message   string       `json:"message"`
		Durations [][]*float64 `json:"durations"`
		Distances [][]*float64 `json:"distances"`
		Estimated [][2]int     `json:"fallback_speed_cells"`
	}
	if err := json.Unmarshal(body, &in); err != nil {
		return nil, fmt.Errorf("%w: %w", ErrAnswer, err)
	}
	if in.Code != "Ok" {
		return nil, fmt.Errorf("%w: %s %s", ErrRefused, in.Code, in.Message)
	}
	if in.Distances != nil && len(in.Distances) != len(in.Durations) {
		return nil, fmt.Errorf("%w: %d rows of durations and %d of distances", ErrAnswer, len(in.Durations), len(in.Distances))
	}
	t := make(Table, len(in.Durations))
	for i, row := range in.Durations {
		t[i] = make([]Drive, len(row))
		for j, x := range row {
			if x == nil {
				continue
			}
			t[i][j] = Drive{Time: unit.Time(*x), OK: true}
			if in.Distances == nil {
				continue
			}
			if len(in.Distances[i]) != len(row) {
				return nil, fmt.Errorf("%w: row %d of distances has %d cells", ErrAnswer, i+1, len(in.Distances[i]))
			}
			if y := in.Distances[i][j]; y != nil {
				t[i][j].Road = unit.Length(*y)
			}
		}
	}
	for _, c := range in.Estimated {
		if c[0] >= 0 && c[0] < len(t) && c[1] >= 0 && c[1] < len(t[c[0]]) {
			t[c[0]][c[1]] = Drive{}
		}
	}
	return t, nil
}

// spot is a place as Valhalla has it.
type spot struct {
	Lat float64 `json:"lat"`
	Lon float64 `json:"lon"`
}

func spots(at []orb.Point) []spot {
	out := make([]spot, len(at))
	for i, p := range at {
		out[i] = spot{p[1], p[0]}
	}
	return out
}

func (s Service) valhallaRequest(ctx context.Context, b block) (*http.Request, error) {
	body, err := json.Marshal(struct {
		Sources []spot `json:"sources"`
		Targets []spot `json:"targets"`
		Costing string `json:"costing"`
		Units   string `json:"units"`
	}{spots(b.from), spots(b.to), orDefault(s.Profile, "truck"), "kilometers"})
	if err != nil {
		return nil, err
	}
	req, err := http.NewRequestWithContext(ctx, http.MethodPost, strings.TrimSuffix(s.URL, "/")+"/sources_to_targets", bytes.NewReader(body))
	if err == nil {
		req.Header.Set("Content-Type", "application/json")
	}
	return req, err
}

// readValhalla reads rows of times in seconds with distances in kilometres, or miles where it says so; null is no way.
func readValhalla(body []byte) (Table, error) {
	var in struct {
		Rows [][]struct {
			Time     *float64 `json:"time"`
			Distance *float64 `json:"distance"`
			From     *int     `json:"from_index"`
			To       *int     `json:"to_index"`
		} `json:"sources_to_targets"`
		Units string `json:"units"`
	}
	if err := json.Unmarshal(body, &in); err != nil {
		return nil, fmt.Errorf("%w: %w", ErrAnswer, err)
	}
	long := unit.Kilometre
	switch in.Units {
	case "", "km", "kilometers":
	case "mi", "miles":
		long = unit.Mile
	default:
		return nil, fmt.Errorf("%w: distances in %.20q", ErrAnswer, in.Units)
	}
	t := make(Table, len(in.Rows))
	for i, row := range in.Rows {
		t[i] = make([]Drive, len(row))
		for j, c := range row {
			if c.From != nil && *c.From != i || c.To != nil && *c.To != j {
				return nil, fmt.Errorf("%w: row %d, column %d is of other places", ErrAnswer, i+1, j+1)
			}
			if c.Time == nil {
				continue
			}
			t[i][j] = Drive{Time: unit.Time(*c.Time), OK: true}
			if c.Distance != nil {
				t[i][j].Road = unit.Length(*c.Distance) * long
			}
		}
	}
	return t, nil
}
