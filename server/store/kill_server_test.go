//go:build linux

package store_test

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"os/user"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"tankful/server"
	"tankful/server/store"
)

// cluster is a PostgreSQL of the test's own.
type cluster struct {
	t        *testing.T
	dir, bin string
	as       []string
}

func newCluster(t *testing.T) *cluster {
	t.Helper()
	c := &cluster{t: t}
	found, _ := filepath.Glob("/usr/lib/postgresql/*/bin/initdb")
	if name, err := exec.LookPath("initdb"); err == nil {
		found = append(found, name)
	}
	if len(found) == 0 {
		t.Skip("no PostgreSQL: initdb is not there")
	}
	c.bin = filepath.Dir(found[0])
	var err error
	if c.dir, err = os.MkdirTemp("", "pg"); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = os.RemoveAll(c.dir) })
	if os.Getuid() == 0 { // it refuses to run as root
		u, err := user.Lookup("postgres")
		if err != nil {
			t.Skip("no PostgreSQL: there is no user postgres to run it")
		}
		uid, _ := strconv.Atoi(u.Uid)
		gid, _ := strconv.Atoi(u.Gid)
		if err := os.Chown(c.dir, uid, gid); err != nil {
			t.Fatal(err)
		}
		c.as = []string{"runuser", "-u", "postgres", "--"}
	}
	c.run("initdb", "-D", c.dir+"/data", "-A", "trust", "-U", "tankful", "-E", "UTF8", "--locale=C.UTF-8")
	c.start()
	t.Cleanup(func() { c.kill() })
	return c
}

func (c *cluster) run(name string, args ...string) {
	c.t.Helper()
	line := append(append([]string{}, c.as...), append([]string{filepath.Join(c.bin, name)}, args...)...)
	cmd := exec.Command(line[0], line[1:]...)
	cmd.Dir = c.dir
	if name != "pg_ctl" { // what it starts keeps its output open
		if out, err := cmd.CombinedOutput(); err != nil {
			c.t.Fatalf("%s: %v\n%s", name, err, out)
		}
		return
	}
	if err := cmd.Run(); err != nil {
		log, _ := os.ReadFile(c.dir + "/log")
		c.t.Fatalf("%s: %v\n%s", name, err, log)
	}
}

func (c *cluster) start() {
	c.t.Helper()
	c.run("pg_ctl", "-D", c.dir+"/data", "-l", c.dir+"/log", "-w", "-t", "60", "-o", "-c listen_addresses='' -k "+c.dir, "start")
}

func (c *cluster) url() string { return "postgres://tankful@/postgres?host=" + c.dir }

// kill ends the postmaster and all that it has started, at once and without a word.
func (c *cluster) kill() {
	text, err := os.ReadFile(c.dir + "/data/postmaster.pid")
	if err != nil {
		return
	}
	line, _, _ := strings.Cut(string(text), "\n")
	pid, err := strconv.Atoi(line)
	if err != nil {
		return
	}
	_ = syscall.Kill(pid, syscall.SIGSTOP) // it starts no more, and hears nothing of what dies
	children := childrenOf(pid)
	_ = syscall.Kill(pid, syscall.SIGKILL)
	for _, p := range children {
		_ = syscall.Kill(p, syscall.SIGKILL)
	}
	for range 1000 { // until none holds the shared memory
		alive := syscall.Kill(pid, 0) == nil
		for _, p := range children {
			alive = alive || syscall.Kill(p, 0) == nil
		}
		if !alive {
			break
		}
		time.Sleep(5 * time.Millisecond)
	}
}

func childrenOf(parent int) (out []int) {
	stats, _ := filepath.Glob("/proc/[0-9]*/stat")
	for _, name := range stats {
		text, err := os.ReadFile(name)
		if err != nil {
			continue
		}
		after := strings.Fields(string(text[strings.LastIndexByte(string(text), ')')+1:]))
		if len(after) > 1 && after[1] == strconv.Itoa(parent) {
			pid, _ := strconv.Atoi(filepath.Base(filepath.Dir(name)))
			out = append(out, pid)
		}
	}
	return out
}

// The database itself is killed (SIGKILL, the postmaster and every process of it) again and again while four writers write through one store: what was acknowledged is
// there, once, with its audit entry; what was not is there whole or not at all, and sending it again makes it one; and the store goes on by itself. TANKFUL_KILLS is how often, 3 without it.
func TestDatabaseKilled(t *testing.T) {
	kills := 3
	if n, err := strconv.Atoi(os.Getenv("TANKFUL_KILLS")); err == nil {
		kills = n
	}
	c := newCluster(t)
	ctx := context.Background()
	s, err := store.Postgres(ctx, c.url())
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	var mu sync.Mutex
	var kept, unknown []string
	saved := map[string]bool{} // of the unknown ones: the item was acknowledged, the entry was not
	var done atomic.Int64
	end := make(chan struct{})
	var writers sync.WaitGroup
	entry := func(id string) server.Entry {
		return server.Entry{Log: server.Worked, About: id, Body: json.RawMessage(`{}`)}
	}
	lawn := func(id string) server.Change {
		return server.Change{Item: server.Item{Kind: server.Properties, ID: id, Name: "Lawn " + id, Body: json.RawMessage(`{"id":"` + id + `"}`)}}
	}
	for w := range 4 {
		writers.Go(func() {
			for n := 0; ; n++ {
				select {
				case <-end:
					return
				default:
				}
				id := fmt.Sprintf("w%d-n%d", w, n)
				_, err := s.Save(ctx, "save "+id, lawn(id))
				made := err == nil
				if made {
					_, err = s.Append(ctx, "append "+id, entry(id))
				}
				mu.Lock()
				if err == nil {
					kept = append(kept, id)
					done.Add(1)
				} else {
					unknown = append(unknown, id)
					saved[id] = made
				}
				mu.Unlock()
				if err != nil {
					time.Sleep(20 * time.Millisecond) // it is down
				}
			}
		})
	}
	for round := range kills {
		before := done.Load()
		for began := time.Now(); done.Load() == before; time.Sleep(2 * time.Millisecond) {
			if time.Since(began) > 30*time.Second {
				t.Fatalf("round %d: the store does not go on after the database has come back", round)
			}
		}
		time.Sleep(time.Duration(5+rand.IntN(60)) * time.Millisecond)
		c.kill()
		c.start()
	}
	before := done.Load()
	for began := time.Now(); done.Load() == before && time.Since(began) < 30*time.Second; {
		time.Sleep(2 * time.Millisecond)
	}
	close(end)
	writers.Wait()
	// count is how many there are of an item in its newest version, its audit entries and its entries of work.
	count := func(id string) (n [3]int) {
		t.Helper()
		it, err := s.Item(ctx, server.Properties, id)
		switch {
		case err == nil && it.Version == 1 && string(it.Body) == `{"id":"`+id+`"}`:
			n[0] = 1
		case !errors.Is(err, server.ErrNone):
			t.Errorf("%s: version %d, %v", id, it.Version, err)
		}
		for i, q := range []server.EntryQuery{{Log: server.Audit, About: "property/" + id, Limit: 5}, {Log: server.Worked, About: id, Limit: 5}} {
			e, err := s.Entries(ctx, q)
			if err != nil {
				t.Errorf("%s: %v", id, err)
			}
			n[i+1] = len(e)
		}
		return n
	}
	for _, id := range kept {
		if n := count(id); n != [3]int{1, 1, 1} {
			t.Errorf("%s was acknowledged: item, audit, entry %v", id, n)
		}
	}
	there, halves := 0, 0
	for _, id := range unknown {
		n := count(id)
		if n != [3]int{} && n != [3]int{1, 1, 0} && n != [3]int{1, 1, 1} {
			t.Errorf("%s is there in part: item, audit, entry %v", id, n)
		}
		if saved[id] {
			if halves++; n[0] != 1 {
				t.Errorf("the item %s was acknowledged and is gone", id)
			}
		}
		there += n[0]
		if _, err := s.Save(ctx, "save "+id, lawn(id)); err != nil {
			t.Errorf("%s, sent again: %v", id, err)
		}
		if _, err := s.Append(ctx, "append "+id, entry(id)); err != nil {
			t.Errorf("%s, sent again: %v", id, err)
		}
		if n := count(id); n != [3]int{1, 1, 1} {
			t.Errorf("%s, sent again: item, audit, entry %v", id, n)
		}
	}
	t.Logf("%d kills, %d acknowledged pairs of writes; of %d that met an error %d had their item acknowledged, and %d had it there", kills, len(kept), len(unknown), halves, there)
	if len(kept) < kills {
		t.Errorf("%d writes in %d rounds", len(kept), kills)
	}
}
