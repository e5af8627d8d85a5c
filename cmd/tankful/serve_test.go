package main

import (
	"bytes"
	"context"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/tls"
	"crypto/x509"
	"database/sql"
	"encoding/pem"
	"io"
	"math/big"
	"net"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"
)

// serving runs "tankful serve" with some flags until the test is done with it; at is its address.
func serving(t *testing.T, flags ...string) (at, said string, stop func() int) {
	t.Helper()
	ctx, cancel := context.WithCancel(context.Background())
	out, in := io.Pipe()
	ended := make(chan int, 1)
	go func() {
		code := run(ctx, env{out: in, err: io.Discard}, append([]string{"serve", "--listen", "127.0.0.1:0"}, flags...))
		in.Close()
		ended <- code
	}()
	first := make([]byte, 1000)
	for !strings.Contains(said, "ctrl-C") || strings.Contains(strings.Join(flags, " "), "--demo") && !strings.Contains(said, "set-up word ") {
		n, err := out.Read(first)
		if err != nil {
			t.Fatalf("serve ended with code %d", <-ended)
		}
		said += string(first[:n])
	}
	go func() { _, _ = io.Copy(io.Discard, out) }()
	stopped := false
	stop = func() int {
		cancel()
		stopped = true
		return <-ended
	}
	t.Cleanup(func() {
		if !stopped {
			stop()
		}
	})
	return regexp.MustCompile(`https?://[0-9.:]+`).FindString(said), said, stop
}

// A server with the demo answers, is copied while it runs, ends when it is told, and the copy makes another that has the same.
func TestServe(t *testing.T) {
	dir := t.TempDir()
	office, copied, other := filepath.Join(dir, "office"), filepath.Join(dir, "copy.gz"), filepath.Join(dir, "other")
	at, _, stop := serving(t, "--demo", "--data", office)
	if answer, err := http.Get(at + "/healthz"); err != nil || answer.StatusCode != 200 {
		t.Errorf("healthz: %v %v", answer, err)
	}
	answer, err := http.Get(at + "/api/properties")
	if err != nil || answer.StatusCode != 401 {
		t.Errorf("who has not signed in gets %v %v", answer, err)
	}
	command := func(want int, args ...string) string {
		var out bytes.Buffer
		if code := run(context.Background(), env{out: &out, err: &out}, args); code != want {
			t.Errorf("%v: exit code %d, want %d: %s", args, code, want, out.String())
		}
		return out.String()
	}
	command(exitDone, "backup", "--data", office, copied)
	if code := stop(); code != exitDone {
		t.Errorf("serve ends with exit code %d", code)
	}
	command(exitDone, "restore", "--data", other, copied)
	if out := command(exitFailed, "restore", "--data", other, copied); !strings.Contains(out, "something in it already") {
		t.Errorf("into a folder that is not empty: %s", out)
	}
	again := filepath.Join(dir, "again.gz")
	command(exitDone, "backup", "--data", other, again)
	a, err := os.ReadFile(copied)
	if err != nil {
		t.Fatal(err)
	}
	b, err := os.ReadFile(again)
	if err != nil || !bytes.Equal(a, b) {
		t.Errorf("a copy of the copy is another: %d and %d bytes, %v", len(a), len(b), err)
	}
	if err := os.WriteFile(copied, a[:len(a)/2], 0o600); err != nil {
		t.Fatal(err)
	}
	if out := command(exitFailed, "restore", "--data", filepath.Join(dir, "third"), copied); !strings.Contains(out, "no whole copy") {
		t.Errorf("half a copy: %s", out)
	}
	command(exitFailed, "backup", "--data", filepath.Join(dir, "nothing"), copied)
	command(exitUsage, "backup")
	command(exitUsage, "serve", "--tls-cert", "x.pem")
	command(exitUsage, "serve", "--data", "x", "--database", "postgres://x")
	command(exitFailed, "serve", "--data", other, "--listen", "nowhere:x")
}

// Tiles out of a file lie under the maps of who has signed in; a file that has none ends the start with what it lacks.
func TestServeUnder(t *testing.T) {
	dir := t.TempDir()
	set := func(name, format string) string {
		path := filepath.Join(dir, name)
		db, err := sql.Open("sqlite", "file:"+path)
		if err != nil {
			t.Fatal(err)
		}
		defer db.Close()
		if _, err := db.Exec(`CREATE TABLE metadata (name text, value text); CREATE TABLE tiles (zoom_level integer, tile_column integer, tile_row integer, tile_data blob);
			INSERT INTO metadata VALUES ('name', 'Town'), ('format', '` + format + `'); INSERT INTO tiles VALUES (1, 0, 1, 'north-west')`); err != nil {
			t.Fatal(err)
		}
		return path
	}
	for path, says := range map[string]string{set("lines.mbtiles", "pbf"): "png, jpg and webp", filepath.Join(dir, "none.mbtiles"): "--under: open"} {
		var out bytes.Buffer
		if code := run(t.Context(), env{out: &out, err: &out}, []string{"serve", "--listen", "127.0.0.1:0", "--data", filepath.Join(dir, "data"), "--under", path}); code != exitFailed || !strings.Contains(out.String(), says) {
			t.Errorf("%s: exit code %d, %s", path, code, out.String())
		}
	}
	at, said, _ := serving(t, "--demo", "--data", filepath.Join(dir, "data"), "--under", set("a.mbtiles", "png"), "--under", set("b.mbtiles", "jpg"))
	_, word, _ := strings.Cut(said, "set-up word ")
	jar, err := cookiejar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	client := &http.Client{Jar: jar}
	get := func(path string) (int, string, string) {
		answer, err := client.Get(at + path)
		if err != nil {
			t.Fatal(err)
		}
		defer answer.Body.Close()
		text, err := io.ReadAll(answer.Body)
		if err != nil {
			t.Fatal(err)
		}
		return answer.StatusCode, answer.Header.Get("Content-Type"), string(text)
	}
	if code, _, _ := get("/under/2/1/0/0"); code != http.StatusUnauthorized {
		t.Errorf("who has not signed in gets %d", code)
	}
	answer, err := client.PostForm(at+"/first", url.Values{"word": {strings.TrimSpace(word)}, "id": {"olive"}, "name": {"Olive Owner"}, "password": {"a long password"}})
	if err != nil || answer.StatusCode != 200 {
		t.Fatalf("the owner: %v %v", answer, err)
	}
	answer.Body.Close()
	if code, kind, text := get("/under/2/1/0/0"); code != 200 || kind != "image/jpeg" || text != "north-west" {
		t.Errorf("a tile: %d %s %q", code, kind, text)
	}
	if code, _, _ := get("/under/1/1/0/1"); code != http.StatusNoContent {
		t.Errorf("no tile: %d", code)
	}
}

// With a certificate the server speaks https, and its cookies are for https alone.
func TestServeTLS(t *testing.T) {
	dir := t.TempDir()
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	x := &x509.Certificate{SerialNumber: big.NewInt(1), NotAfter: time.Now().Add(time.Hour), IPAddresses: []net.IP{net.IPv4(127, 0, 0, 1)}, IsCA: true, BasicConstraintsValid: true}
	cert, err := x509.CreateCertificate(rand.Reader, x, x, &key.PublicKey, key)
	if err != nil {
		t.Fatal(err)
	}
	der, err := x509.MarshalECPrivateKey(key)
	if err != nil {
		t.Fatal(err)
	}
	certFile, keyFile := filepath.Join(dir, "cert.pem"), filepath.Join(dir, "key.pem")
	for name, block := range map[string]*pem.Block{certFile: {Type: "CERTIFICATE", Bytes: cert}, keyFile: {Type: "EC PRIVATE KEY", Bytes: der}} {
		if err := os.WriteFile(name, pem.EncodeToMemory(block), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	at, _, _ := serving(t, "--demo", "--data", filepath.Join(dir, "data"), "--tls-cert", certFile, "--tls-key", keyFile)
	pool := x509.NewCertPool()
	pool.AppendCertsFromPEM(pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: cert}))
	client := &http.Client{Transport: &http.Transport{TLSClientConfig: &tls.Config{RootCAs: pool}}}
	answer, err := client.Get(at + "/sign-in")
	if err != nil {
		t.Fatal(err)
	}
	answer.Body.Close()
	if !strings.HasPrefix(at, "https://") || answer.StatusCode != 200 || answer.Header.Get("Strict-Transport-Security") == "" {
		t.Errorf("%s: %d %v", at, answer.StatusCode, answer.Header)
	}
}

// Who sends a head or a body drop by drop is given up, and others are answered meanwhile.
func TestSlowClients(t *testing.T) {
	at, _, _ := serving(t, "--demo", "--data", t.TempDir())
	for range 50 {
		c, err := net.Dial("tcp", strings.TrimPrefix(at, "http://"))
		if err != nil {
			t.Fatal(err)
		}
		defer c.Close()
		if _, err := io.WriteString(c, "POST /sign-in HTTP/1.1\r\nHost: x\r\nContent-Le"); err != nil {
			t.Fatal(err)
		}
	}
	client := &http.Client{Timeout: 5 * time.Second}
	if answer, err := client.Get(at + "/healthz"); err != nil || answer.StatusCode != 200 {
		t.Errorf("others get %v %v", answer, err)
	}
	c, err := net.Dial("tcp", strings.TrimPrefix(at, "http://"))
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close()
	_, _ = io.WriteString(c, "GET /healthz HTTP/1.1\r\nHo")
	_ = c.SetReadDeadline(time.Now().Add(headTime + 10*time.Second))
	if _, err := io.ReadAll(c); err != nil {
		t.Errorf("a head that never ends is not given up: %v", err)
	}
}

// What cannot be served with is told before anything is kept.
func TestServeRefuses(t *testing.T) {
	for _, c := range []struct {
		flags []string
		code  int
		says  string
	}{
		{[]string{"--time-zone", "Nowhere/Town"}, 2, "America/Chicago"},
		{[]string{"--tls-cert", "a.pem"}, 2, "go together"},
		{[]string{"--under", filepath.Join(t.TempDir(), "no.mbtiles")}, 1, "no.mbtiles"},
		{[]string{"--database", "postgres://localhost:1/x?connect_timeout=1", "--data", "x"}, 2, "two places"},
	} {
		var said bytes.Buffer
		args := append([]string{"serve", "--listen", "127.0.0.1:0"}, c.flags...)
		if c.flags[0] == "--under" {
			args = append(args, "--data", t.TempDir())
		}
		if code := run(context.Background(), env{out: io.Discard, err: &said}, args); code != c.code || !strings.Contains(said.String(), c.says) {
			t.Errorf("%v: code %d, %s", c.flags, code, said.String())
		}
	}
}
