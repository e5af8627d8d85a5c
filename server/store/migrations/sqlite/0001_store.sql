-- +goose Up
CREATE TABLE items (
	num     INTEGER PRIMARY KEY,
	kind    TEXT NOT NULL,
	id      TEXT NOT NULL,
	version INTEGER NOT NULL,
	name    TEXT NOT NULL,
	words   TEXT NOT NULL,
	state   TEXT NOT NULL,
	due     TEXT NOT NULL,
	facts   TEXT NOT NULL,
	west REAL, south REAL, east REAL, north REAL,
	author  TEXT NOT NULL,
	at      INTEGER NOT NULL,
	gone    INTEGER NOT NULL,
	UNIQUE (kind, id)
) STRICT;
CREATE INDEX items_by_name ON items (kind, gone, name, id);
CREATE INDEX items_by_state ON items (kind, gone, state, name, id);
CREATE INDEX items_by_due ON items (kind, gone, due) WHERE due <> '';
CREATE TABLE versions (
	kind    TEXT NOT NULL,
	id      TEXT NOT NULL,
	version INTEGER NOT NULL,
	name    TEXT NOT NULL,
	words   TEXT NOT NULL,
	state   TEXT NOT NULL,
	due     TEXT NOT NULL,
	body    TEXT NOT NULL,
	facts   TEXT NOT NULL,
	west REAL, south REAL, east REAL, north REAL,
	author  TEXT NOT NULL,
	at      INTEGER NOT NULL,
	gone    INTEGER NOT NULL,
	PRIMARY KEY (kind, id, version)
) STRICT, WITHOUT ROWID;
CREATE TABLE words (
	kind TEXT NOT NULL,
	word TEXT NOT NULL,
	num  INTEGER NOT NULL,
	PRIMARY KEY (kind, word, num)
) STRICT, WITHOUT ROWID;
CREATE INDEX words_of ON words (num);
CREATE VIRTUAL TABLE places USING rtree(num, west, east, south, north);
CREATE TABLE entries (
	seq    INTEGER PRIMARY KEY AUTOINCREMENT,
	log    TEXT NOT NULL,
	about  TEXT NOT NULL,
	refers INTEGER NOT NULL,
	body   TEXT NOT NULL,
	author TEXT NOT NULL,
	at     INTEGER NOT NULL
) STRICT;
CREATE INDEX entries_by_log ON entries (log, seq);
CREATE INDEX entries_about ON entries (log, about, seq);
CREATE TABLE used (
	key    TEXT PRIMARY KEY,
	answer TEXT NOT NULL,
	at     INTEGER NOT NULL
) STRICT, WITHOUT ROWID;
CREATE TABLE secrets (
	kind  TEXT NOT NULL,
	hash  TEXT NOT NULL,
	id    TEXT NOT NULL,
	owner TEXT NOT NULL,
	body  BLOB NOT NULL,
	until INTEGER NOT NULL,
	PRIMARY KEY (kind, hash)
) STRICT, WITHOUT ROWID;
CREATE INDEX secrets_of ON secrets (kind, owner);
