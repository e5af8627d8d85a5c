package server

import (
	"context"
	"encoding/json"
	"time"

	"github.com/danielgtaylor/huma/v2"
	"github.com/danielgtaylor/huma/v2/sse"
)

// KindPath is the path of a kind of the outfit.
type KindPath struct {
	Kind string `path:"kind" enum:"outfit,fill-point,product,limit,applicator,operator,mix,truck"`
}

// EntryPath is the path of an entry of the outfit.
type EntryPath struct {
	KindPath
	ItemPath
}

func (a *api) outfit() {
	op(a, "GET", "/api/outfit/{kind}", "outfit", "Entries of the outfit, as in a day file", func(ctx context.Context, in *KindPath) (*struct{ Body []shownItem }, error) {
		list, err := a.s.Store.Bodies(ctx, Kind(in.Kind))
		out := &struct{ Body []shownItem }{Body: []shownItem{}}
		for _, it := range list {
			out.Body = append(out.Body, shown(it))
		}
		return out, err
	})
	op(a, "GET", "/api/outfit/{kind}/{id}", "outfit-entry", "One entry of the outfit", func(ctx context.Context, in *EntryPath) (*bytesOut, error) {
		it, err := a.s.Store.Item(ctx, Kind(in.Kind), in.ID)
		if err == nil && it.Gone {
			err = ErrNone
		}
		if err != nil {
			return nil, err
		}
		return &bytesOut{ETag: etag(it.Version), ContentType: "application/json", Body: it.Body}, nil
	}, document("application/json", "an entry of a day file"))
	op(a, "PUT", "/api/outfit/{kind}/{id}", "save-outfit-entry", "Keeps an entry, JSON or YAML as in a day file; what it would make wrong is refused", func(ctx context.Context, in *struct {
		EntryPath
		ChangeHead
		RawBody []byte `contentType:"application/json"`
	}) (*savedOut, error) {
		was, err := in.was()
		if err != nil {
			return nil, err
		}
		it, found, err := a.s.saveEntry(ctx, Kind(in.Kind), in.ID, in.RawBody, was, false, in.key(ctx), who(ctx))
		if err != nil {
			return nil, err
		}
		return savedAs(it, placed(found)), nil
	}, anyText)
	op(a, "DELETE", "/api/outfit/{kind}/{id}", "drop-outfit-entry", "Takes an entry out of the outfit, unless something needs it", func(ctx context.Context, in *struct {
		EntryPath
		ChangeHead
	}) (*nothing, error) {
		was, err := in.was()
		if err != nil {
			return nil, err
		}
		_, _, err = a.s.saveEntry(ctx, Kind(in.Kind), in.ID, nil, was, true, in.key(ctx), who(ctx))
		return nil, err
	})
}

// PlanPath is the path of a plan. (huma reads embedded structs whose types are exported.)
type PlanPath struct {
	Plan string `path:"plan" maxLength:"64"`
}

// planSaid is how far planning has come, or that it is done, or why not.
type planSaid struct {
	Text    string `json:"text"`
	Seconds int    `json:"seconds"`
	Plan    string `json:"plan,omitempty"`
	// Week is set at the end of planning several days.
	Week    *plannedWeek `json:"week,omitempty"`
	Refused *refusal     `json:"refused,omitempty"`
}

func (a *api) plans() {
	op(a, "GET", "/api/plans", "list-plans", "Plans; state is the date", func(ctx context.Context, in *listIn) (*listOut, error) { return a.list(ctx, Plans, in) })
	say := map[string]any{"said": planSaid{}}
	sse.Register(a.API, huma.Operation{OperationID: "plan-day", Method: "POST", Path: "/api/plans", Summary: "Plans a day, saying how far it has come; closing the connection gives it up", MaxBodyBytes: mostSmall}, say, func(ctx context.Context, in *struct {
		Key  string `header:"Idempotency-Key"`
		Body askedDay
	}, send sse.Sender) {
		h := ChangeHead{Key: in.Key}
		a.said(ctx, send, func(ctx context.Context, say step) (planSaid, error) {
			_, it, err := a.s.planDay(ctx, &in.Body, h.key(ctx), who(ctx), say)
			return planSaid{Plan: it.ID}, err
		})
	})
	sse.Register(a.API, huma.Operation{OperationID: "plan-rest", Method: "POST", Path: "/api/plans/{plan}/rest", Summary: "Plans the rest of a day from what the crews have entered", MaxBodyBytes: mostSmall}, say, func(ctx context.Context, in *struct {
		PlanPath
		Key string `header:"Idempotency-Key"`
	}, send sse.Sender) {
		h := ChangeHead{Key: in.Key}
		a.said(ctx, send, func(ctx context.Context, say step) (planSaid, error) {
			_, it, err := a.s.planRest(ctx, in.Plan, h.key(ctx), who(ctx), say)
			return planSaid{Plan: it.ID}, err
		})
	})
	sse.Register(a.API, huma.Operation{OperationID: "plan-week", Method: "POST", Path: "/api/weeks", Summary: "Spreads stops over days and keeps a plan for each; closing the connection gives it up", MaxBodyBytes: mostSmall}, say, func(ctx context.Context, in *struct{ Body askedWeek }, send sse.Sender) {
		a.said(ctx, send, func(ctx context.Context, say step) (planSaid, error) {
			w, err := a.s.planWeek(ctx, &in.Body, who(ctx), say)
			return planSaid{Week: w}, err
		})
	})
	sse.Register(a.API, huma.Operation{OperationID: "plan-order", Method: "POST", Path: "/api/plans/{plan}/order", Summary: "Plans the same day again with orders that are fixed by hand; by_hand of the plan says what they cost. Without orders they are free", MaxBodyBytes: mostSmall}, say, func(ctx context.Context, in *struct {
		PlanPath
		Key  string `header:"Idempotency-Key"`
		Body struct {
			Orders []askedOrder `json:"orders"`
		}
	}, send sse.Sender) {
		h := ChangeHead{Key: in.Key}
		a.said(ctx, send, func(ctx context.Context, say step) (planSaid, error) {
			_, it, err := a.s.planOrdered(ctx, in.Plan, in.Body.Orders, h.key(ctx), who(ctx), say)
			return planSaid{Plan: it.ID}, err
		})
	})
	op(a, "GET", "/api/plans/{plan}", "plan", "A plan, the plan.json that tankful day writes", func(ctx context.Context, in *PlanPath) (*bytesOut, error) {
		_, k, it, err := a.s.plan(ctx, in.Plan)
		if err != nil {
			return nil, err
		}
		return &bytesOut{ETag: etag(it.Version), ContentType: "application/json", Body: k.Plan}, nil
	}, document("application/json", "a plan.json; every length, area, volume and time is in SI, the unit at the end of its name"))
	op(a, "GET", "/api/plans/{plan}/day", "plan-day-file", "The day file that the plan was made from, with the versions of the outlines and the program", func(ctx context.Context, in *PlanPath) (*struct{ Body keptPlan }, error) {
		_, k, _, err := a.s.plan(ctx, in.Plan)
		if err != nil {
			return nil, err
		}
		bare := *k
		bare.Plan = nil
		return &struct{ Body keptPlan }{bare}, nil
	})
	op(a, "GET", "/api/plans/{plan}/entries", "entries", "What the crews have entered", func(ctx context.Context, in *PlanPath) (*struct {
		Body struct {
			Entries []crewEntry `json:"entries"`
			Twice   []string    `json:"twice"`
		}
	}, error) {
		p, _, _, err := a.s.plan(ctx, in.Plan)
		if err != nil {
			return nil, err
		}
		w, err := a.s.worked(ctx, p)
		if err != nil {
			return nil, err
		}
		out := &struct {
			Body struct {
				Entries []crewEntry `json:"entries"`
				Twice   []string    `json:"twice"`
			}
		}{}
		out.Body.Entries, out.Body.Twice = w.Entries, append([]string{}, w.Twice...)
		return out, nil
	})
	op(a, "POST", "/api/plans/{plan}/entries", "enter", "Enters what was done; with a key it may be sent again and again", func(ctx context.Context, in *struct {
		PlanPath
		Key  string `header:"Idempotency-Key"`
		Body entered
	}) (*struct{ Body crewEntry }, error) {
		e, err := a.s.enterWork(ctx, in.Plan, in.Body, in.Key, who(ctx))
		return &struct{ Body crewEntry }{e}, err
	})
	op(a, "POST", "/api/plans/{plan}/record", "record-plan", "Puts the finished stops into the record, each once", func(ctx context.Context, in *PlanPath) (*struct{ Body []recorded }, error) {
		list, err := a.s.record(ctx, in.Plan, who(ctx))
		return &struct{ Body []recorded }{list}, err
	})
	op(a, "GET", "/api/records", "records", "The record, of one property or all", func(ctx context.Context, in *struct {
		Property string `query:"property"`
	}) (*struct{ Body []recorded }, error) {
		list, err := a.s.records(ctx, in.Property)
		return &struct{ Body []recorded }{list}, err
	})
	op(a, "POST", "/api/records/{seq}/correction", "correct-record", "An entry in the place of another, which stays", func(ctx context.Context, in *struct {
		Seq  int64  `path:"seq"`
		Key  string `header:"Idempotency-Key"`
		Body applied
	}) (*struct{ Body recorded }, error) {
		h := ChangeHead{Key: in.Key}
		x, err := a.s.correct(ctx, in.Seq, in.Body, h.key(ctx), who(ctx))
		return &struct{ Body recorded }{x}, err
	})
}

// said runs a long work and sends what it says, and the seconds, as they come.
func (a *api) said(ctx context.Context, send sse.Sender, f func(context.Context, step) (planSaid, error)) {
	ctx, cancel := context.WithTimeout(ctx, planTime)
	defer cancel()
	began := time.Now()
	texts := make(chan string, 16)
	type end struct {
		said planSaid
		err  error
	}
	done := make(chan end, 1)
	go func() {
		x, err := f(ctx, func(text string) {
			select {
			case texts <- text:
			default: // nobody reads any more
			}
		})
		done <- end{x, err}
	}()
	text := "waiting for its turn"
	tick := time.NewTicker(time.Second)
	defer tick.Stop()
	for {
		select {
		case text = <-texts:
		case <-tick.C:
		case e := <-done:
			x := e.said
			x.Text, x.Seconds = "done", int(time.Since(began).Seconds())
			if e.err != nil {
				x.Text, x.Refused = "not planned", a.s.refused(e.err)
			}
			_ = send.Data(x) // who has gone needs no answer
			return
		case <-ctx.Done():
			return
		}
		if send.Data(planSaid{Text: text, Seconds: int(time.Since(began).Seconds())}) != nil {
			return
		}
	}
}

func (a *api) offers() {
	op(a, "GET", "/api/price-books/{id}", "price-book", "The price book", func(ctx context.Context, in *ItemPath) (*bytesOut, error) {
		it, err := a.s.Store.Item(ctx, PriceBooks, in.ID)
		if err != nil {
			return nil, err
		}
		return &bytesOut{ETag: etag(it.Version), ContentType: "application/json", Body: it.Body}, nil
	}, document("application/json", "a price book as tankful quote reads it"))
	op(a, "PUT", "/api/price-books/{id}", "save-price-book", "Keeps the price book, JSON or YAML as tankful quote reads it", func(ctx context.Context, in *struct {
		ItemPath
		ChangeHead
		RawBody []byte `contentType:"application/json"`
	}) (*savedOut, error) {
		was, err := in.was()
		if err == nil && in.ID != theBook {
			err = ErrNone
		}
		if err != nil {
			return nil, err
		}
		it, err := a.s.saveBook(ctx, in.RawBody, was, who(ctx))
		if err != nil {
			return nil, err
		}
		return savedAs(it, nil), nil
	}, anyText)
	op(a, "GET", "/api/quotes", "list-quotes", "Quotes; state is open, sent, accepted or declined", func(ctx context.Context, in *listIn) (*listOut, error) { return a.list(ctx, Quotes, in) })
	op(a, "POST", "/api/quotes", "quote", "Quotes properties, each with a quote of its own", func(ctx context.Context, in *struct {
		Key  string `header:"Idempotency-Key"`
		Body askedQuote
	}) (*struct{ Body []shownItem }, error) {
		h := ChangeHead{Key: in.Key}
		items, _, err := a.s.quote(ctx, &in.Body, h.key(ctx), who(ctx))
		out := &struct{ Body []shownItem }{Body: []shownItem{}}
		for _, it := range items {
			it.Body = nil // costs are not for every eye
			out.Body = append(out.Body, shown(it))
		}
		return out, err
	})
	op(a, "GET", "/api/quotes/{id}", "get-quote", "A quote with its costs", func(ctx context.Context, in *ItemPath) (*struct {
		ETag string `header:"ETag"`
		Body shownItem
	}, error) {
		it, err := a.s.Store.Item(ctx, Quotes, in.ID)
		if err != nil {
			return nil, err
		}
		return &struct {
			ETag string `header:"ETag"`
			Body shownItem
		}{etag(it.Version), shown(it)}, nil
	})
	op(a, "PUT", "/api/quotes/{id}/state", "quote-state", "Says what became of a quote", func(ctx context.Context, in *struct {
		ItemPath
		ChangeHead
		Body struct {
			State   string `json:"state"`
			Program string `json:"program,omitempty"`
		}
	}) (*savedOut, error) {
		was, err := in.was()
		if err != nil {
			return nil, err
		}
		it, err := a.s.setQuoteState(ctx, in.ID, in.Body.State, in.Body.Program, was, who(ctx))
		if err != nil {
			return nil, err
		}
		return savedAs(it, nil), nil
	})
}

// shownSecret is an invitation or a token as it is shown: never the thing itself.
type shownSecret struct {
	ID    string `json:"id"`
	Name  string `json:"name"`
	Until string `json:"until"`
}

func (a *api) people() {
	op(a, "GET", "/api/people", "list-people", "Who may sign in", func(ctx context.Context, _ *nothing) (*struct{ Body []Person }, error) {
		list, err := a.s.Store.Bodies(ctx, People)
		out := &struct{ Body []Person }{Body: []Person{}}
		for _, it := range list {
			var p Person
			if err := json.Unmarshal(it.Body, &p); err != nil {
				return nil, err
			}
			out.Body = append(out.Body, p)
		}
		return out, err
	})
	op(a, "PUT", "/api/people/{id}", "change-person", "Changes a role, or ends what somebody may do", func(ctx context.Context, in *struct {
		ItemPath
		Body struct {
			Role string `json:"role"`
			Gone bool   `json:"gone,omitempty"`
		}
	}) (*nothing, error) {
		return nil, a.s.changePerson(ctx, in.ID, Role(in.Body.Role), in.Body.Gone, person(ctx))
	})
	op(a, "POST", "/api/invitations", "invite", "An invitation, good for one person and seven days", func(ctx context.Context, in *struct {
		Body struct {
			Role string `json:"role"`
		}
	}) (*struct {
		Body struct {
			Path string `json:"path"`
		}
	}, error) {
		token, err := a.s.invite(ctx, Role(in.Body.Role), who(ctx))
		out := &struct {
			Body struct {
				Path string `json:"path"`
			}
		}{}
		out.Body.Path = "/join/" + token
		return out, err
	})
	op(a, "GET", "/api/tokens", "list-tokens", "Your access tokens, without themselves", func(ctx context.Context, _ *nothing) (*struct{ Body []shownSecret }, error) {
		list, err := a.s.Store.Secrets(ctx, secretToken, who(ctx), a.s.Now())
		out := &struct{ Body []shownSecret }{Body: []shownSecret{}}
		for _, x := range list {
			out.Body = append(out.Body, shownSecret{x.ID, string(x.Body), x.Until.Format(time.DateOnly)})
		}
		return out, err
	})
	op(a, "POST", "/api/tokens", "new-token", "An access token for a program, good for a year; it is shown this once", func(ctx context.Context, in *struct {
		Body struct {
			Name string `json:"name"`
		}
	}) (*struct {
		Body struct {
			Token string `json:"token"`
		}
	}, error) {
		token, err := a.s.newToken(ctx, who(ctx), in.Body.Name)
		out := &struct {
			Body struct {
				Token string `json:"token"`
			}
		}{}
		out.Body.Token = token
		return out, err
	})
	op(a, "DELETE", "/api/tokens/{id}", "drop-token", "Ends one of your access tokens", func(ctx context.Context, in *ItemPath) (*nothing, error) {
		return nil, a.s.Store.DropSecrets(ctx, secretToken, who(ctx), in.ID)
	})
	op(a, "GET", "/api/audit", "audit", "Who did what", func(ctx context.Context, in *struct {
		About string `query:"about"`
		After int64  `query:"after"`
		Limit int    `query:"limit" default:"200" minimum:"1" maximum:"1000"`
	}) (*struct{ Body []auditLine }, error) {
		list, err := a.s.Store.Entries(ctx, EntryQuery{Log: Audit, About: in.About, After: in.After, Limit: in.Limit})
		out := &struct{ Body []auditLine }{Body: []auditLine{}}
		for _, e := range list {
			out.Body = append(out.Body, auditLine{e.Seq, e.About, e.By, e.At.Format(time.RFC3339), e.Body})
		}
		return out, err
	})
}

type auditLine struct {
	Seq   int64           `json:"seq"`
	About string          `json:"about"`
	By    string          `json:"by"`
	At    string          `json:"at"`
	What  json.RawMessage `json:"what"`
}
