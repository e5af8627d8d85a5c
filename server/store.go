package server

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"time"

	"github.com/paulmach/orb"
)

// Kind is what an item is.
type Kind string

// The kinds. Those of the outfit hold an entry of a day file, under the key that KindKeys has for them.
const (
	Properties  Kind = "property"   // GeoJSON; every measuring is a version
	Outfit      Kind = "outfit"     // the head of every day: yard, units, hours, travel; its only item is "outfit"
	FillPoints  Kind = "fill-point" // where water is taken on
	Products    Kind = "product"    // with what its label allows
	Limits      Kind = "limit"      // of the place
	Applicators Kind = "applicator"
	Operators   Kind = "operator" // with their catch tests
	Mixes       Kind = "mix"
	Trucks      Kind = "truck" // with its tanks
	PriceBooks  Kind = "price-book"
	Days        Kind = "day"    // a day as it is asked for
	Plans       Kind = "plan"   // a day as it was planned; never changed
	Quotes      Kind = "quote"  // a quote; its state is what became of it
	People      Kind = "person" // who may sign in
	Pictures    Kind = "picture"
)

// Item is one thing that people share, at one version of it. Versions count from 1 without gaps, and none is ever changed or taken away: what is
// taken away is Gone in its newest version.
type Item struct {
	Kind    Kind
	ID      string
	Version int64
	// Name is what people call it, and what it is searched by, together with ID and Words.
	Name string
	// Words are further text to be searched, State a word of its kind, Due the date (ISO 8601) from which something is to be done, "" for none.
	Words, State, Due string
	// Bounds is where it lies, nil for what lies nowhere.
	Bounds *orb.Bound
	// Body is what was entered. Facts is what the engine made of it, for lists, with the engine that did. Heads have no Body.
	Body, Facts json.RawMessage
	By          string
	At          time.Time
	Gone        bool
}

// Change is a new version of an item. Was is the version that it was made from, 0 for an item that is not there yet.
type Change struct {
	Item
	Was int64
}

// Query asks for heads of items that are not gone.
type Query struct {
	Kind Kind
	// Search are words, of which each must begin a word of the item; Within a window of the map; State one state; DueUntil what is due by a date.
	Search   string
	Within   *orb.Bound
	State    string
	DueUntil string
	// Backwards asks for the last names first; it does not go with Search and Within.
	Backwards bool
	// After is the Next of the page before; Limit is 1 to 1,000.
	After string
	Limit int
}

// Page is a part of what was asked for; Next is "" on the last. A query with Search or Within has one page, and More says that it does not hold all.
type Page struct {
	Items []Item
	Next  string
	More  bool
}

// Log is a series of entries that are only ever added to.
type Log string

// The logs.
const (
	Worked  Log = "worked"  // what crews enter on the day; about a plan
	Applied Log = "applied" // the record of what was put on; about a property
	Audit   Log = "audit"   // who did what; about an item, "person/kim"
)

// Entry is one entry of a log. Seq orders all entries of a log. Refers is the entry that this one corrects, 0 for none.
type Entry struct {
	Log    Log
	About  string
	Seq    int64
	Refers int64
	Body   json.RawMessage
	By     string
	At     time.Time
}

// EntryQuery asks for entries in their order. About "" is all; After is the Seq to go on from; Limit is 1 to 10,000.
type EntryQuery struct {
	Log   Log
	About string
	After int64
	Limit int
}

// Secret is something kept under the hash of what its owner has: a session, an invitation, a token. ID names it in lists.
type Secret struct {
	Kind, ID string
	Owner    string
	Body     []byte
	Until    time.Time // the zero time is for ever
}

// Errors of a Store. A ConflictError says what is there instead.
var (
	ErrNone = errors.New("no such item")
	ErrFull = errors.New("the store is not empty")
	ErrPage = errors.New("no page gave this place to go on from")
)

// ConflictError is a change of a version that is not the newest any more: Newest is, with its body; its Version is 0 where nothing is there.
type ConflictError struct {
	Was    int64
	Newest Item
}

func (e *ConflictError) Error() string {
	return fmt.Sprintf("%s %q is at version %d by now, not %d", e.Newest.Kind, e.Newest.ID, e.Newest.Version, e.Was)
}

// Store keeps everything. What it has acknowledged is on disk. All methods may be called from many goroutines, and, where the database serves several
// processes, from several servers. An error that is none of the above is of the database.
type Store interface {
	// Item is the newest version of an item, gone or not; ErrNone.
	Item(ctx context.Context, kind Kind, id string) (Item, error)
	// Version is one version of an item; ErrNone.
	Version(ctx context.Context, kind Kind, id string, version int64) (Item, error)
	// Versions are the heads of all versions of an item, the newest first.
	Versions(ctx context.Context, kind Kind, id string) ([]Item, error)
	// Items are the heads that a query asks for, in the order of their names, ids.
	Items(ctx context.Context, q Query) (Page, error)
	// Bodies are all items of a kind that are not gone, with their bodies, by name and id.
	Bodies(ctx context.Context, kind Kind) ([]Item, error)
	// Save makes all changes or none, and enters each into the audit log; *ConflictError. A key that was used before gives what was saved then, and
	// nothing is changed; "" is no key.
	Save(ctx context.Context, key string, changes ...Change) ([]Item, error)
	// Append adds an entry; a key that was used before gives the entry of then. "" is no key.
	Append(ctx context.Context, key string, e Entry) (Entry, error)
	// Entries are those that a query asks for.
	Entries(ctx context.Context, q EntryQuery) ([]Entry, error)
	// Secret is the secret under a hash, unless its time is over; ErrNone.
	Secret(ctx context.Context, kind string, hash []byte, now time.Time) (Secret, error)
	// SetSecret puts a secret under a hash; DropSecret takes it away, and whether it was there: of several callers one is told so.
	SetSecret(ctx context.Context, hash []byte, s Secret) error
	DropSecret(ctx context.Context, kind string, hash []byte) (bool, error)
	// Secrets are those of a kind, of all owners for "", without what is over; DropSecrets takes away by owner and ID ("" for all of the owner).
	Secrets(ctx context.Context, kind, owner string, now time.Time) ([]Secret, error)
	DropSecrets(ctx context.Context, kind, owner, id string) error
	// Sweep takes away secrets whose time is over and keys that were used before a time.
	Sweep(ctx context.Context, now, keysBefore time.Time) error
	// Dump writes everything as it is at one moment, while others go on; Load reads it into a store that has nothing in it; ErrFull.
	Dump(ctx context.Context, w io.Writer) error
	Load(ctx context.Context, r io.Reader) error
	Ping(ctx context.Context) error
	Close() error
}
