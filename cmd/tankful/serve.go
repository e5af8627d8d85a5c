package main

import (
	"context"
	"crypto/tls"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"time"
	_ "time/tzdata" // for machines without it

	"github.com/spf13/cobra"

	"tankful/server"
	"tankful/server/mbtiles"
	"tankful/server/store"
	"tankful/testdata/demo"
)

// storeFlags say where everything is kept.
type storeFlags struct{ data, database string }

func (f *storeFlags) add(cmd *cobra.Command) {
	cmd.Flags().StringVar(&f.data, "data", "tankful-data", "`folder` that everything is kept in")
	cmd.Flags().StringVar(&f.database, "database", "", "`URL` of a PostgreSQL database instead, postgres://user@host/name, for several servers side by side")
}

// open opens the store that the flags name.
func (f *storeFlags) open(ctx context.Context, cmd *cobra.Command) (*store.Store, error) {
	if f.database != "" {
		if cmd.Flags().Changed("data") {
			return nil, &usageError{"--data and --database are two places: give one", exampleLine(cmd)}
		}
		return store.Postgres(ctx, f.database)
	}
	return store.Folder(ctx, f.data)
}

type serveFlags struct {
	store                            storeFlags
	listen, address, tlsCert, tlsKey string
	demo                             bool
	planners                         int
	under                            []string
	zone                             string
}

func serveCommand(e *env) *cobra.Command {
	var f serveFlags
	cmd := &cobra.Command{
		Use:   "serve",
		Short: "Serve properties, days, quotes and records to people with browsers and phones",
		Long: `Serves pages and an API for the people of one outfit, on this machine alone unless --listen
says more. Everything is kept in one folder, or in PostgreSQL, where several servers may
work side by side. Nothing is asked of any other machine; browsers ask one for map tiles
only when the owner has set its address.

The first start prints a set-up word, with which the owner makes an account; the owner
invites the others. Phones keep a day's pages for places without signal only over https:
give --tls-cert and --tls-key, or put a proxy with https before it and say --address.`,
		Example: `  tankful serve
  tankful serve --demo
  tankful serve --under town.mbtiles
  tankful serve --listen :8443 --tls-cert cert.pem --tls-key key.pem
  tankful serve --database postgres://tankful@localhost/tankful`,
		Args: noArgs,
	}
	f.store.add(cmd)
	fs := cmd.Flags()
	fs.StringVar(&f.listen, "listen", "127.0.0.1:8080", "`address` to listen at; port 0 takes a free one")
	fs.StringVar(&f.address, "address", "", "the `address` by which others reach it, https://office.example, for links on sheets")
	fs.StringVar(&f.tlsCert, "tls-cert", "", "`file` of the certificate (PEM), for https")
	fs.StringVar(&f.tlsKey, "tls-key", "", "`file` of its key (PEM)")
	fs.BoolVar(&f.demo, "demo", false, "begin with the invented outfit, its properties and prices")
	fs.StringVar(&f.zone, "time-zone", "", "`zone` that the outfit works in, America/Chicago: it says what day and hour it is (default: the machine's)")
	fs.StringArrayVar(&f.under, "under", nil, "`file` of map tiles (MBTiles of PNG, JPEG or WebP) to lie under every map; may be given again")
	fs.IntVar(&f.planners, "planners", 0, "how `many` plans are made at once (default: one for each core)")
	cmd.RunE = func(cmd *cobra.Command, _ []string) error { return f.run(cmd, e) }
	return cmd
}

func (f *serveFlags) run(cmd *cobra.Command, e *env) error {
	if (f.tlsCert == "") != (f.tlsKey == "") {
		return &usageError{"--tls-cert and --tls-key go together", exampleLine(cmd)}
	}
	now := time.Now
	if f.zone != "" {
		zone, err := time.LoadLocation(f.zone)
		if err != nil {
			return &usageError{fmt.Sprintf("--time-zone: there is no zone %q; write it like America/Chicago", f.zone), exampleLine(cmd)}
		}
		now = func() time.Time { return time.Now().In(zone) }
	}
	ctx := cmd.Context()
	db, err := f.store.open(ctx, cmd)
	if err != nil {
		return err
	}
	defer func() { _ = db.Close() }()
	var under []server.Tiles
	for _, name := range f.under {
		set, err := mbtiles.Open(ctx, name)
		if err != nil {
			return fmt.Errorf("--under: %w", err)
		}
		defer func() { _ = set.Close() }()
		under = append(under, set)
	}
	log := slog.New(slog.NewJSONHandler(e.err, nil))
	s, err := server.New(server.Config{Store: db, Log: log, Now: now, Under: under, Engine: version(), Secure: f.tlsCert != "" || len(f.address) > 8 && f.address[:8] == "https://", Address: f.address, Planners: f.planners})
	if err != nil {
		return err
	}
	if f.demo {
		if err := f.takeDemo(ctx, s, db); err != nil {
			return err
		}
	}
	listener, err := net.Listen("tcp", f.listen)
	if err != nil {
		return fmt.Errorf("listen: %w", err)
	}
	return f.serve(ctx, e, s, log, listener)
}

// takeDemo puts the demo into an empty store; one that has something in it stays as it is.
func (f *serveFlags) takeDemo(ctx context.Context, s *server.Server, db *store.Store) error {
	there, err := db.Items(ctx, server.Query{Kind: server.Properties, Limit: 1})
	if err != nil || len(there.Items) > 0 {
		return err
	}
	if err := s.TakeOver(ctx, demo.DayFile, demo.Files, "demo"); err != nil {
		return fmt.Errorf("take over the demo: %w", err)
	}
	if err := s.TakeOverPrices(ctx, "prices.yaml", demo.Files, "demo"); err != nil {
		return fmt.Errorf("take over the demo's prices: %w", err)
	}
	return nil
}

// Times of connections: a client that sends or reads too slowly is given up. Answers have no limit of their own, as planning says how far it is while it goes on.
const (
	headTime = 10 * time.Second
	bodyTime = 60 * time.Second
	idleTime = 2 * time.Minute
	stopTime = 20 * time.Second
)

// serve answers until ctx ends, then lets what has begun come to its end.
func (f *serveFlags) serve(ctx context.Context, e *env, s *server.Server, log *slog.Logger, listener net.Listener) error {
	h := &http.Server{Handler: s, ReadHeaderTimeout: headTime, ReadTimeout: bodyTime, IdleTimeout: idleTime, MaxHeaderBytes: 64 << 10, ErrorLog: slog.NewLogLogger(log.Handler(), slog.LevelWarn), TLSConfig: &tls.Config{MinVersion: tls.VersionTLS12}}
	at := "http://" + listener.Addr().String()
	if f.tlsCert != "" {
		at = "https://" + listener.Addr().String()
	}
	fmt.Fprintf(e.out, "Tankful answers at %s (ctrl-C ends it)\n", at)
	if needs, err := s.NeedsOwner(ctx); err != nil {
		return err
	} else if needs {
		fmt.Fprintf(e.out, "Nobody can sign in yet. Set up the owner at %s/first with the set-up word %s\n", at, s.SetUpWord)
	}
	ended := make(chan error, 1)
	go func() {
		if f.tlsCert != "" {
			ended <- h.ServeTLS(listener, f.tlsCert, f.tlsKey)
			return
		}
		ended <- h.Serve(listener)
	}()
	sweep := time.NewTicker(time.Hour)
	defer sweep.Stop()
	for {
		select {
		case err := <-ended:
			return fmt.Errorf("serve: %w", err)
		case <-sweep.C:
			if err := s.Sweep(ctx); err != nil {
				log.Error("sweep", "error", err)
			}
		case <-ctx.Done():
			fmt.Fprintln(e.err, "ending: what has begun is answered first")
			end, cancel := context.WithTimeout(context.WithoutCancel(ctx), stopTime)
			defer cancel()
			if err := h.Shutdown(end); err != nil && !errors.Is(err, context.DeadlineExceeded) {
				return fmt.Errorf("end: %w", err)
			}
			return nil
		}
	}
}
