package postgres

import (
	"context"
	"errors"
	"io"
	"net"
	"strings"

	"github.com/jackc/pgerrcode"
	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"

	"longpoint/internal/fault"
)

const trySoon = "The service is busy or being looked after. Try again in a moment."

// sentences are what a person is told when a named constraint refuses a row, where the
// reason can be theirs. Every other constraint guards against a mistake of ours.
var sentences = map[string]struct {
	code     fault.Code
	sentence string
}{
	"commands_pkey":               {fault.Conflict, "Another command has that id already."},
	"jobs_pkey":                   {fault.Conflict, "Another job has that id already."},
	"photos_pkey":                 {fault.Conflict, "Another photo has that id already."},
	"companies_pkey":              {fault.Conflict, "Another company has that id already."},
	"people_pkey":                 {fault.Conflict, "Another person has that id already."},
	"people_sign_in_key":          {fault.Conflict, "That sign-in name is taken."},
	"people_sign_in_is_free":      {fault.Conflict, "That sign-in name is taken."},
	"rooms_assigned_to_fkey":      {fault.Invalid, "There is no such person in this company."},
	"items_assigned_to_fkey":      {fault.Invalid, "There is no such person in this company."},
	"job_people_person_fkey":      {fault.Invalid, "There is no such person in this company."},
	"people_company_fkey":         {fault.NotFound, "There is no such company."},
	"companies_name_is_written":   {fault.Invalid, "A company needs a name of at most 120 characters."},
	"people_name_is_written":      {fault.Invalid, "A person needs a name of at most 120 characters."},
	"people_sign_in_is_plain":     {fault.Invalid, "A sign-in name is an e-mail address or a name without spaces."},
	"people_role_is_known":        {fault.Invalid, "A person is an owner, a lead or an installer."},
	"people_language_is_known":    {fault.Invalid, "The language is English (en) or Spanish (es)."},
	"people_unit_is_known":        {fault.Invalid, "The unit is inches (in) or millimeters (mm)."},
	"companies_rules_are_a_set":   {fault.Invalid, "House rules are a set of named numbers."},
	"sessions_person_fkey":        {fault.Unauthorized, "Sign in again."},
	"walks_guest_fkey":            {fault.Invalid, "There is no such guest in this company."},
	"entries_person_fkey":         {fault.Unauthorized, "Sign in again."},
	"commands_person_fkey":        {fault.Unauthorized, "Sign in again."},
	"people_passphrase_is_hashed": {fault.Internal, ""},
	"passkeys_credential_key":     {fault.Conflict, "That passkey is there already."},
}

// translate turns whatever the driver or the server says into a fault, by SQLSTATE and
// constraint name. A fault passes as it is, and nil stays nil.
func translate(err error) error {
	if err == nil {
		return nil
	}
	var f *fault.Error
	if errors.As(err, &f) {
		return err
	}
	var pg *pgconn.PgError
	switch {
	case errors.As(err, &pg):
		return translateServer(pg, err)
	case errors.Is(err, pgx.ErrNoRows):
		return fault.Because(fault.NotFound, "There is no such thing.", err)
	case errors.Is(err, context.Canceled), errors.Is(err, context.DeadlineExceeded), pgconn.Timeout(err):
		return fault.Because(fault.Unavailable, trySoon, err)
	}
	var (
		connect *pgconn.ConnectError
		network net.Error
	)
	if errors.As(err, &connect) || errors.As(err, &network) || pgconn.SafeToRetry(err) || lost(err) {
		return fault.Because(fault.Unavailable, trySoon, err)
	}
	return fault.Because(fault.Internal, "", err)
}

func translateServer(pg *pgconn.PgError, err error) error {
	if s, ok := sentences[pg.ConstraintName]; ok && pgerrcode.IsIntegrityConstraintViolation(pg.Code) {
		return fault.Because(s.code, s.sentence, err)
	}
	switch pg.Code {
	case pgerrcode.UniqueViolation:
		return fault.Because(fault.Conflict, "That is there already.", err)
	case pgerrcode.InvalidTextRepresentation,
		pgerrcode.UntranslatableCharacter,
		pgerrcode.CharacterNotInRepertoire,
		pgerrcode.NumericValueOutOfRange,
		pgerrcode.DatetimeFieldOverflow:
		return fault.Because(fault.Invalid, "Something sent holds characters or numbers that cannot be kept.", err)
	case pgerrcode.SerializationFailure,
		pgerrcode.DeadlockDetected,
		pgerrcode.LockNotAvailable,
		pgerrcode.QueryCanceled,
		pgerrcode.ReadOnlySQLTransaction, // a standby, until it takes over
		pgerrcode.IdleInTransactionSessionTimeout:
		return fault.Because(fault.Unavailable, trySoon, err)
	}
	if pgerrcode.IsConnectionException(pg.Code) || pgerrcode.IsInsufficientResources(pg.Code) ||
		pgerrcode.IsOperatorIntervention(pg.Code) {
		return fault.Because(fault.Unavailable, trySoon, err)
	}
	return fault.Because(fault.Internal, "", err)
}

// lost knows a connection that broke under way, for which the driver has no type but text.
func lost(err error) bool {
	text := err.Error()
	return errors.Is(err, io.ErrUnexpectedEOF) || strings.Contains(text, "conn closed") || strings.Contains(text, "closed pool")
}

// violates reports whether err is the refusal of one of these constraints.
func violates(err error, constraints ...string) bool {
	var pg *pgconn.PgError
	if !errors.As(err, &pg) {
		return false
	}
	for _, c := range constraints {
		if pg.ConstraintName == c {
			return true
		}
	}
	return false
}

// gaveWay reports whether the server undid a transaction to let others through.
func gaveWay(err error) bool {
	var pg *pgconn.PgError
	return errors.As(err, &pg) && (pg.Code == pgerrcode.DeadlockDetected || pg.Code == pgerrcode.SerializationFailure)
}
