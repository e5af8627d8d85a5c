package store

import (
	"context"
	"encoding/hex"
	"fmt"
	"time"

	"tankful/server"
)

// Secret is the secret under a hash.
func (s *Store) Secret(ctx context.Context, kind string, hash []byte, now time.Time) (server.Secret, error) {
	x := server.Secret{Kind: kind}
	var until int64
	err := s.row(ctx, `SELECT id, owner, body, until FROM secrets WHERE kind = $1 AND hash = $2 AND (until = 0 OR until > $3)`, kind, hex.EncodeToString(hash), micro(now)).Scan(&x.ID, &x.Owner, &x.Body, &until)
	if err != nil {
		return server.Secret{}, none(err, "%s", kind)
	}
	x.Until = fromMicro(until)
	return x, nil
}

// SetSecret puts a secret under a hash.
func (s *Store) SetSecret(ctx context.Context, hash []byte, x server.Secret) error {
	body := x.Body
	if body == nil {
		body = []byte{}
	}
	_, err := s.write.ExecContext(ctx, `INSERT INTO secrets (kind, hash, id, owner, body, until) VALUES ($1, $2, $3, $4, $5, $6)
		ON CONFLICT (kind, hash) DO UPDATE SET id = excluded.id, owner = excluded.owner, body = excluded.body, until = excluded.until`, x.Kind, hex.EncodeToString(hash), x.ID, x.Owner, body, micro(x.Until))
	if err != nil {
		return fmt.Errorf("keep a %s: %w", x.Kind, err)
	}
	return nil
}

// DropSecret takes the secret under a hash away, and says whether it was there.
func (s *Store) DropSecret(ctx context.Context, kind string, hash []byte) (bool, error) {
	done, err := s.write.ExecContext(ctx, `DELETE FROM secrets WHERE kind = $1 AND hash = $2`, kind, hex.EncodeToString(hash))
	if err != nil {
		return false, fmt.Errorf("drop a %s: %w", kind, err)
	}
	n, err := done.RowsAffected()
	return n > 0, err
}

// Secrets are those of a kind and owner, without what is over.
func (s *Store) Secrets(ctx context.Context, kind, owner string, now time.Time) ([]server.Secret, error) {
	rows, err := s.read.QueryContext(ctx, `SELECT id, owner, body, until FROM secrets WHERE kind = $1 AND (owner = $2 OR $2 = '') AND (until = 0 OR until > $3) ORDER BY owner, id`, kind, owner, micro(now))
	if err != nil {
		return nil, fmt.Errorf("read %ss: %w", kind, err)
	}
	defer rows.Close()
	out := []server.Secret{}
	for rows.Next() {
		x := server.Secret{Kind: kind}
		var until int64
		if err := rows.Scan(&x.ID, &x.Owner, &x.Body, &until); err != nil {
			return nil, fmt.Errorf("read %ss: %w", kind, err)
		}
		x.Until = fromMicro(until)
		out = append(out, x)
	}
	return out, rows.Err()
}

// DropSecrets takes away the secrets of an owner: the one with an ID, or all for "".
func (s *Store) DropSecrets(ctx context.Context, kind, owner, id string) error {
	_, err := s.write.ExecContext(ctx, `DELETE FROM secrets WHERE kind = $1 AND owner = $2 AND (id = $3 OR $3 = '')`, kind, owner, id)
	if err != nil {
		return fmt.Errorf("drop %ss: %w", kind, err)
	}
	return nil
}

// Sweep takes away what is over.
func (s *Store) Sweep(ctx context.Context, now, keysBefore time.Time) error {
	if _, err := s.write.ExecContext(ctx, `DELETE FROM secrets WHERE until > 0 AND until <= $1`, micro(now)); err != nil {
		return fmt.Errorf("sweep secrets: %w", err)
	}
	if _, err := s.write.ExecContext(ctx, `DELETE FROM used WHERE at < $1`, micro(keysBefore)); err != nil {
		return fmt.Errorf("sweep keys: %w", err)
	}
	return nil
}
