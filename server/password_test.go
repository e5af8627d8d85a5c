package server_test

import (
	"net/url"
	"regexp"
	"strings"
	"testing"
)

// Who has forgotten a password gets a link from the owner: it is good once, ends every session, and the old password is over.
func TestNewPassword(t *testing.T) {
	o := newOffice(t)
	crew := o.with("crew lead")
	crew.form("/people", url.Values{"id": {"olive"}, "do": {"password"}}, 403)
	text := o.owner.form("/people", url.Values{"id": {"crew-lead"}, "do": {"password"}}, 200)
	link := regexp.MustCompile(`/join/[A-Za-z0-9_-]+`).FindString(text)
	if link == "" || !strings.Contains(text, "a new password of crew-lead") {
		t.Fatalf("no link: %.1500s", text)
	}
	other := o.visitor()
	if text := other.get(link, 200); !strings.Contains(text, "A new password") || !strings.Contains(text, "crew-lead") {
		t.Errorf("the page: %.800s", text)
	}
	other.form(link, url.Values{"password": {"short"}}, 422)
	other.form(link, url.Values{"password": {"another long one"}, "id": {"olive"}, "name": {"Mallory"}}, 200) // the link says whose it is
	if text := other.get("/", 200); !strings.Contains(text, ", crew lead") {
		t.Errorf("signed in as %.600s", text)
	}
	if text := crew.get("/", 200); strings.Contains(text, "Sign out") {
		t.Error("the old session goes on")
	}
	other.form(link, url.Values{"password": {"a third long one"}}, 404)
	fresh := o.visitor()
	fresh.form("/sign-in", url.Values{"id": {"crew-lead"}, "password": {"a long password"}}, 401)
	if text := fresh.form("/sign-in", url.Values{"id": {"crew-lead"}, "password": {"another long one"}}, 200); !strings.Contains(text, "Sign out") {
		t.Errorf("the new password does not do: %.300s", text)
	}
	if text := o.owner.get("/", 200); !strings.Contains(text, "Sign out") {
		t.Error("the owner was signed out")
	}
	o.owner.form("/people", url.Values{"id": {"nobody"}, "do": {"password"}}, 404)
}
