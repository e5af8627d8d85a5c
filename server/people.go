package server

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"crypto/subtle"
	"encoding/base64"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"regexp"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"golang.org/x/crypto/argon2"
)

// Person is who has signed in.
type Person struct {
	ID   string `json:"id"`
	Name string `json:"name"`
	Role Role   `json:"role"`
}

// Kinds of secrets.
const (
	secretPassword   = "password"
	secretInvitation = "invitation"
	secretToken      = "token"
	secretSession    = "session"
)

const (
	tokenHead      = "tankful_"
	invitationTime = 7 * 24 * time.Hour
	leastPassword  = 10
	mostPassword   = 200
)

// Costs of argon2id, as the OWASP Password Storage Cheat Sheet has them: 19 MiB, two passes, one lane.
const (
	argonMemory = 19 * 1024
	argonTime   = 2
	argonLanes  = 1
)

// hashPassword gives salt and hash.
func hashPassword(password string) []byte {
	salt := make([]byte, 16)
	_, _ = rand.Read(salt) // never fails
	return append(salt, argon2.IDKey([]byte(password), salt, argonTime, argonMemory, argonLanes, 32)...)
}

func samePassword(kept []byte, password string) bool {
	if len(kept) != 48 {
		return false
	}
	return subtle.ConstantTimeCompare(argon2.IDKey([]byte(password), kept[:16], argonTime, argonMemory, argonLanes, 32), kept[16:]) == 1
}

// nobody is compared where there is no such person, so that the answer takes as long.
var nobody = hashPassword("nobody has this password")

// check finds who signs in with a name and a password.
func (s *Server) check(ctx context.Context, id, password string) (*Person, error) {
	wrong := &refusal{Status: http.StatusUnauthorized, Title: "name or password is wrong", Detail: "Try again, or ask the owner for a new invitation."}
	if len(password) > mostPassword {
		return nil, wrong
	}
	select {
	case s.hashing <- struct{}{}:
		defer func() { <-s.hashing }()
	case <-ctx.Done():
		return nil, ctx.Err()
	}
	id = strings.ToLower(strings.TrimSpace(id))
	kept, err := s.Store.Secret(ctx, secretPassword, []byte(id), s.Now())
	if errors.Is(err, ErrNone) {
		_ = samePassword(nobody, password)
		return nil, wrong
	}
	if err != nil {
		return nil, err
	}
	if !samePassword(kept.Body, password) {
		return nil, wrong
	}
	p, err := s.personNamed(ctx, id)
	if errors.Is(err, ErrNone) {
		return nil, wrong
	}
	return p, err
}

// personNamed is a person who may sign in.
func (s *Server) personNamed(ctx context.Context, id string) (*Person, error) {
	it, err := s.Store.Item(ctx, People, id)
	if err != nil {
		return nil, err
	}
	if it.Gone {
		return nil, ErrNone
	}
	var p Person
	if err := json.Unmarshal(it.Body, &p); err != nil {
		return nil, fmt.Errorf("read person %q: %w", id, err)
	}
	return &p, nil
}

var signInName = regexp.MustCompile(`^[a-z0-9][a-z0-9._-]{1,39}$`)

// newPerson makes a person with a password.
func (s *Server) newPerson(ctx context.Context, p Person, password, by string) error {
	p.ID = strings.ToLower(strings.TrimSpace(p.ID))
	p.Name = strings.TrimSpace(p.Name)
	var faults []string
	if !signInName.MatchString(p.ID) {
		faults = append(faults, "Write a name to sign in with: 2 to 40 letters a to z, digits, dots or dashes.")
	}
	if p.Name == "" || utf8.RuneCountInString(p.Name) > 80 {
		faults = append(faults, "Write your name, at most 80 letters.")
	}
	if n := utf8.RuneCountInString(password); n < leastPassword || len(password) > mostPassword {
		faults = append(faults, fmt.Sprintf("Choose a password of %d letters at least.", leastPassword))
	}
	if !slices.Contains(Roles, p.Role) {
		faults = append(faults, "Choose a role.")
	}
	if len(faults) > 0 {
		return &refusal{Status: http.StatusUnprocessableEntity, Title: "that cannot be taken", Detail: strings.Join(faults, " ")}
	}
	body, err := json.Marshal(p)
	if err != nil {
		return err
	}
	if by == "" {
		by = p.ID
	}
	_, err = s.Store.Save(ctx, "", Change{Item: Item{Kind: People, ID: p.ID, Name: p.Name, State: string(p.Role), Body: body, By: by, At: s.Now()}})
	var conflict *ConflictError
	if errors.As(err, &conflict) {
		return &refusal{Status: http.StatusUnprocessableEntity, Title: "that cannot be taken", Detail: "Choose another name to sign in with: somebody has this one."}
	}
	if err != nil {
		return err
	}
	return s.Store.SetSecret(ctx, []byte(p.ID), Secret{Kind: secretPassword, ID: "password", Owner: p.ID, Body: hashPassword(password)})
}

// setUpOwner makes the first person of a new store; word is what the server printed when it started.
func (s *Server) setUpOwner(ctx context.Context, p Person, password, word string) error {
	if subtle.ConstantTimeCompare([]byte(strings.TrimSpace(word)), []byte(s.SetUpWord)) != 1 {
		return &refusal{Status: http.StatusForbidden, Title: "the set-up word is wrong", Detail: "The server printed it when it started."}
	}
	needs, err := s.NeedsOwner(ctx)
	if err != nil {
		return err
	}
	if !needs {
		return &refusal{Status: http.StatusForbidden, Title: "the owner is set up already", Detail: "Sign in."}
	}
	p.Role = Owner
	return s.newPerson(ctx, p, password, "")
}

func hashed(token string) []byte {
	h := sha256.Sum256([]byte(token))
	return h[:]
}

// invite makes an invitation and gives its token, which is not kept.
func (s *Server) invite(ctx context.Context, role Role, by string) (token string, err error) {
	if !slices.Contains(Roles, role) {
		return "", &refusal{Status: http.StatusUnprocessableEntity, Title: "there is no such role", Detail: "Choose a role."}
	}
	token = randomText(24)
	return token, s.Store.SetSecret(ctx, hashed(token), Secret{Kind: secretInvitation, ID: randomText(6), Owner: by, Body: []byte(role), Until: s.Now().Add(invitationTime)})
}

var errInvitation = &refusal{Status: http.StatusNotFound, Title: "the invitation is over", Detail: "Ask the owner for a new one: each is good for one person and seven days."}

// renews begins the body of an invitation that is for a new password of somebody who is there already.
const (
	renews    = "again "
	renewTime = 24 * time.Hour
)

// renew makes a link by which somebody sets a new password, once.
func (s *Server) renew(ctx context.Context, id, by string) (token string, err error) {
	if _, err := s.personNamed(ctx, id); err != nil {
		return "", err
	}
	token = randomText(24)
	return token, s.Store.SetSecret(ctx, hashed(token), Secret{Kind: secretInvitation, ID: randomText(6), Owner: by, Body: []byte(renews + id), Until: s.Now().Add(renewTime)})
}

// invited is the role that an invitation is for, or who it is for when it is for a new password.
func (s *Server) invited(ctx context.Context, token string) (role Role, again string, err error) {
	x, err := s.Store.Secret(ctx, secretInvitation, hashed(token), s.Now())
	if errors.Is(err, ErrNone) {
		return "", "", errInvitation
	}
	if id, ok := strings.CutPrefix(string(x.Body), renews); ok {
		return "", id, err
	}
	return Role(x.Body), "", err
}

// newPassword sets the password of somebody who is there, and ends every session of theirs.
func (s *Server) newPassword(ctx context.Context, id, password string) error {
	if n := utf8.RuneCountInString(password); n < leastPassword || len(password) > mostPassword {
		return &refusal{Status: http.StatusUnprocessableEntity, Title: "that cannot be taken", Detail: fmt.Sprintf("Choose a password of %d letters at least.", leastPassword)}
	}
	if _, err := s.personNamed(ctx, id); err != nil {
		return err
	}
	if err := s.Store.SetSecret(ctx, []byte(id), Secret{Kind: secretPassword, ID: "password", Owner: id, Body: hashPassword(password)}); err != nil {
		return err
	}
	return s.Store.DropSecrets(ctx, secretSession, id, "")
}

// join takes up an invitation, once.
func (s *Server) join(ctx context.Context, token string, p Person, password string) error {
	x, err := s.Store.Secret(ctx, secretInvitation, hashed(token), s.Now())
	if errors.Is(err, ErrNone) {
		return errInvitation
	}
	if err != nil {
		return err
	}
	again, renewed := strings.CutPrefix(string(x.Body), renews)
	p.Role = Role(x.Body)
	if was, err := s.Store.DropSecret(ctx, secretInvitation, hashed(token)); err != nil || !was {
		return errors.Join(err, errInvitation)
	}
	if renewed {
		err = s.newPassword(ctx, again, password)
	} else {
		err = s.newPerson(ctx, p, password, x.Owner)
	}
	if err != nil {
		return errors.Join(err, s.Store.SetSecret(ctx, hashed(token), x)) // the invitation is not lost over a short password
	}
	return nil
}

// newToken makes an access token for programs; it does what its owner may.
func (s *Server) newToken(ctx context.Context, owner, name string) (string, error) {
	name = strings.TrimSpace(name)
	if name == "" || utf8.RuneCountInString(name) > 60 {
		return "", &refusal{Status: http.StatusUnprocessableEntity, Title: "the token needs a name", Detail: "Write what it is for, at most 60 letters."}
	}
	token := tokenHead + randomText(32)
	return token, s.Store.SetSecret(ctx, hashed(token), Secret{Kind: secretToken, ID: randomText(6), Owner: owner, Body: []byte(name), Until: s.Now().AddDate(1, 0, 0)})
}

// dismiss ends what somebody may do: the role is changed, or the person is gone, and every session of theirs with it.
func (s *Server) changePerson(ctx context.Context, id string, role Role, gone bool, by *Person) error {
	it, err := s.Store.Item(ctx, People, id)
	if err != nil {
		return err
	}
	if id == by.ID {
		return &refusal{Status: http.StatusUnprocessableEntity, Title: "nobody changes their own role", Detail: "Ask another owner."}
	}
	if !slices.Contains(Roles, role) {
		return &refusal{Status: http.StatusUnprocessableEntity, Title: "there is no such role", Detail: "Choose a role."}
	}
	var p Person
	if err := json.Unmarshal(it.Body, &p); err != nil {
		return fmt.Errorf("read person %q: %w", id, err)
	}
	p.Role = role
	body, err := json.Marshal(p)
	if err != nil {
		return err
	}
	next := it
	next.Body, next.State, next.Gone, next.By, next.At = body, string(role), gone, by.ID, s.Now()
	if _, err := s.Store.Save(ctx, "", Change{Item: next, Was: it.Version}); err != nil {
		return err
	}
	if !gone {
		return nil
	}
	return errors.Join(s.Store.DropSecrets(ctx, secretToken, id, ""), s.Store.DropSecrets(ctx, secretSession, id, ""), s.Store.DropSecrets(ctx, secretPassword, id, ""))
}

type personKey struct{}

// person is who has signed in, nil for nobody.
func person(ctx context.Context) *Person {
	p, _ := ctx.Value(personKey{}).(*Person)
	return p
}

// identify finds who asks: by an access token, or by the session of a browser.
func (s *Server) identify(next http.Handler) http.Handler {
	known := s.sessions.LoadAndSave(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		token, byToken := strings.CutPrefix(r.Header.Get("Authorization"), "Bearer ")
		id := ""
		if byToken {
			x, err := s.Store.Secret(r.Context(), secretToken, hashed(token), s.Now())
			if errors.Is(err, ErrNone) {
				s.refuse(w, r, &refusal{Status: http.StatusUnauthorized, Title: "the access token is not known", Detail: "Make a new one."})
				return
			}
			if err != nil {
				s.refuse(w, r, err)
				return
			}
			id = x.Owner
		} else {
			id = s.sessions.GetString(r.Context(), "person")
		}
		if id != "" {
			r = s.as(w, r, id)
		}
		if r != nil {
			next.ServeHTTP(w, r)
		}
	}))
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.URL.Path == "/healthz" || strings.HasPrefix(r.URL.Path, "/web/") {
			next.ServeHTTP(w, r)
			return
		}
		known.ServeHTTP(w, r)
	})
}

// as is the request with its person; nil when it was answered already.
func (s *Server) as(w http.ResponseWriter, r *http.Request, id string) *http.Request {
	p, err := s.personNamed(r.Context(), id)
	switch {
	case errors.Is(err, ErrNone):
		return r
	case err != nil:
		s.refuse(w, r, err)
		return nil
	}
	return r.WithContext(context.WithValue(r.Context(), personKey{}, p))
}

func shortHash(text string) string {
	return base64.RawURLEncoding.EncodeToString(hashed(text))[:8]
}
