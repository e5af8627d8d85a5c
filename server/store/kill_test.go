package store_test

import (
	"bufio"
	"context"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"testing"
	"time"

	"tankful/server"
	"tankful/server/store"
	"tankful/server/storetest"
)

// TestMain is the writer too: a process of its own that saves and appends, says what was acknowledged, and is killed while it does.
func TestMain(m *testing.M) {
	if at := os.Getenv("TANKFUL_WRITE_TO"); at != "" {
		if err := write(at, os.Getenv("TANKFUL_ROUND")); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		return
	}
	os.Exit(m.Run())
}

func open(ctx context.Context, at string) (*store.Store, error) {
	if strings.HasPrefix(at, "postgres://") {
		return store.Postgres(ctx, at)
	}
	return store.Folder(ctx, at)
}

// write goes on until it is killed.
func write(at, round string) error {
	ctx := context.Background()
	s, err := open(ctx, at)
	if err != nil {
		return err
	}
	fail := make(chan error)
	for w := range 4 {
		go func() {
			for n := 0; ; n++ {
				id := fmt.Sprintf("r%s-w%d-n%d", round, w, n)
				if _, err := s.Save(ctx, "", server.Change{Item: server.Item{Kind: server.Properties, ID: id, Name: "Lawn " + id, Body: json.RawMessage(`{"id":"` + id + `"}`)}}); err != nil {
					fail <- err
					return
				}
				e, err := s.Append(ctx, id, server.Entry{Log: server.Worked, About: id, Body: json.RawMessage(`{}`)})
				if err != nil {
					fail <- err
					return
				}
				fmt.Printf("%s %d\n", id, e.Seq) // acknowledged
			}
		}()
	}
	return <-fail
}

// The writer is killed (SIGKILL) again and again while it writes: the database opens, and whatever was acknowledged is there, word and entry too. TANKFUL_KILLS is how often, 5 without it.
func TestKilled(t *testing.T) {
	kills := 5
	if n, err := strconv.Atoi(os.Getenv("TANKFUL_KILLS")); err == nil {
		kills = n
	}
	t.Run("SQLite", func(t *testing.T) { killed(t, t.TempDir(), kills) })
	t.Run("Postgres", func(t *testing.T) { killed(t, storetest.Schema(t), kills) })
}

func killed(t *testing.T, at string, kills int) {
	ctx := context.Background()
	acknowledged := 0
	for round := range kills {
		cmd := exec.Command(os.Args[0])
		cmd.Env = append(os.Environ(), "TANKFUL_WRITE_TO="+at, "TANKFUL_ROUND="+strconv.Itoa(round))
		cmd.Stderr = os.Stderr
		out, err := cmd.StdoutPipe()
		if err != nil {
			t.Fatal(err)
		}
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		lines := make(chan []string)
		first := make(chan struct{})
		go func() {
			var said []string
			for in := bufio.NewScanner(out); in.Scan(); {
				if said = append(said, in.Text()); len(said) == 1 {
					close(first)
				}
			}
			lines <- said
		}()
		<-first
		time.Sleep(time.Duration(5+rand.IntN(60)) * time.Millisecond)
		if err := cmd.Process.Kill(); err != nil {
			t.Fatal(err)
		}
		said := <-lines
		_ = cmd.Wait()
		s, err := open(ctx, at)
		if err != nil {
			t.Fatalf("round %d: after the kill the database does not open: %v", round, err)
		}
		for _, line := range said {
			id, seq, ok := strings.Cut(line, " ")
			if !ok {
				continue // the last line was cut
			}
			acknowledged++
			it, err := s.Item(ctx, server.Properties, id)
			if err != nil || it.Version != 1 {
				t.Errorf("round %d: %s was acknowledged and is gone: %v", round, id, err)
			}
			e, err := s.Entries(ctx, server.EntryQuery{Log: server.Worked, About: id, Limit: 5})
			if err != nil || len(e) != 1 || fmt.Sprint(e[0].Seq) != seq {
				t.Errorf("round %d: entry %s of %s was acknowledged and there are %v: %v", round, seq, id, e, err)
			}
		}
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
	}
	t.Logf("%d kills, %d acknowledged pairs of writes", kills, acknowledged)
	if acknowledged < kills {
		t.Errorf("%d writes in %d rounds", acknowledged, kills)
	}
}
