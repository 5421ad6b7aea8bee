package postgres

import (
	"context"
	"errors"
	"fmt"
	"io"
	"testing"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"

	"longpoint/internal/fault"
)

// TestTranslate covers the states a test server cannot easily be brought into; the suite in
// storetest meets the others for real. The states are those of Appendix A of PostgreSQL's
// manual.
func TestTranslate(t *testing.T) {
	t.Parallel()
	server := func(state, constraint string) error {
		return fmt.Errorf("running: %w", &pgconn.PgError{Code: state, ConstraintName: constraint})
	}
	for _, tc := range []struct {
		name string
		err  error
		want fault.Code
	}{
		{"none", nil, ""},
		{"a fault stays", fault.New(fault.Forbidden, "No."), fault.Forbidden},
		{"unique, known", server("23505", "people_sign_in_key"), fault.Conflict},
		{"unique, unknown", server("23505", "other_pkey"), fault.Conflict},
		{"foreign key of a person", server("23503", "items_assigned_to_fkey"), fault.Invalid},
		{"foreign key of our own", server("23503", "takes_item_fkey"), fault.Internal},
		{"check of our own", server("23514", "commands_applied_are_logged"), fault.Internal},
		{"passphrase not hashed", server("23514", "people_passphrase_is_hashed"), fault.Internal},
		{"a constraint's name with another state", server("42501", "people_sign_in_key"), fault.Internal},
		{"row-level security", server("42501", ""), fault.Internal},
		{"syntax", server("42601", ""), fault.Internal},
		{"unknown table", server("42P01", ""), fault.Internal},
		{"bad text", server("22P02", ""), fault.Invalid},
		{"null character in JSON", server("22P05", ""), fault.Invalid},
		{"broken UTF-8", server("22021", ""), fault.Invalid},
		{"number out of range", server("22003", ""), fault.Invalid},
		{"serialization", server("40001", ""), fault.Unavailable},
		{"deadlock", server("40P01", ""), fault.Unavailable},
		{"lock not to be had", server("55P03", ""), fault.Unavailable},
		{"canceled", server("57014", ""), fault.Unavailable},
		{"shutting down", server("57P01", ""), fault.Unavailable},
		{"starting up", server("57P03", ""), fault.Unavailable},
		{"too many connections", server("53300", ""), fault.Unavailable},
		{"disk full", server("53100", ""), fault.Unavailable},
		{"connection failure", server("08006", ""), fault.Unavailable},
		{"a standby", server("25006", ""), fault.Unavailable},
		{"no rows", pgx.ErrNoRows, fault.NotFound},
		{"caller gone", context.Canceled, fault.Unavailable},
		{"caller's time up", fmt.Errorf("reading: %w", context.DeadlineExceeded), fault.Unavailable},
		{"connection cut", fmt.Errorf("reading: %w", io.ErrUnexpectedEOF), fault.Unavailable},
		{"anything else", errors.New("cannot scan"), fault.Internal},
	} {
		got := translate(tc.err)
		if fault.CodeOf(got) != tc.want {
			t.Errorf("%s: want %q, got %q: %v", tc.name, tc.want, fault.CodeOf(got), got)
		}
		if tc.err != nil && !errors.Is(got, tc.err) {
			t.Errorf("%s: the cause is lost: %v", tc.name, got)
		}
	}
}

func TestParseChange(t *testing.T) {
	t.Parallel()
	got, err := parseChange("c j 17")
	if want := (Change{CompanyID: "c", JobID: "j", Seq: 17}); err != nil || got != want {
		t.Errorf("want %+v, got %+v and %v", want, got, err)
	}
	for _, bad := range []string{"", "c j", "c j x", "c j 1 2"} {
		if got, err := parseChange(bad); err == nil {
			t.Errorf("%q: want an error, got %+v", bad, got)
		}
	}
}
