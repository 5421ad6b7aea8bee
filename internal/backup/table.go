package backup

import (
	"compress/gzip"
	"context"
	"crypto/sha256"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgxpool"
)

// connect makes one connection. The address may be a pool's, with the pool's own settings in it, which no server knows.
func connect(ctx context.Context, owner string) (*pgx.Conn, error) {
	pooled, err := pgxpool.ParseConfig(owner)
	if err != nil {
		return nil, err
	}
	return pgx.ConnectConfig(ctx, pooled.ConnConfig)
}

// table is one table as the catalog has it.
type table struct {
	name    string
	columns []string
	key     []string // of its primary key
	needs   []string // tables its foreign keys point to
}

// ofCompany says whether each row belongs to a company, and so whether row-level security shows it only then.
func (t table) ofCompany() bool { return slices.Contains(t.columns, "company_id") }

// What the migrations keep for themselves is made anew by them.
const notKept = "schema_migrations"

const readTables = `
	select
		c.relname::text,
		(select array_agg(a.attname::text order by a.attnum)
			from pg_attribute a
			where a.attrelid = c.oid and a.attnum > 0 and not a.attisdropped and a.attgenerated = ''),
		coalesce((select array_agg(a.attname::text order by k.at)
			from pg_index i
			cross join unnest(i.indkey) with ordinality as k (attnum, at)
			join pg_attribute a on a.attrelid = c.oid and a.attnum = k.attnum
			where i.indrelid = c.oid and i.indisprimary), '{}'),
		coalesce((select array_agg(distinct r.relname::text)
			from pg_constraint f
			join pg_class r on r.oid = f.confrelid
			where f.conrelid = c.oid and f.contype = 'f' and f.confrelid <> c.oid), '{}')
	from pg_class c
	where c.relnamespace = 'public'::regnamespace
		and c.relkind in ('r', 'p')
		and not c.relispartition
		and c.relname <> '` + notKept + `'
	order by c.relname`

const countUncarried = `
	select
		count(*)
	from pg_class
	where relnamespace = 'public'::regnamespace
		and relkind in ('S', 'm')`

// tables lists the tables such that each comes after those its rows refer to.
func tables(ctx context.Context, conn *pgx.Conn) ([]table, error) {
	var uncarried int
	if err := conn.QueryRow(ctx, countUncarried).Scan(&uncarried); err != nil {
		return nil, err
	}
	if uncarried > 0 {
		return nil, fmt.Errorf("the schema has %d sequences or materialized views, which a backup does not carry", uncarried)
	}
	rows, err := conn.Query(ctx, readTables)
	if err != nil {
		return nil, err
	}
	all, err := pgx.CollectRows(rows, func(r pgx.CollectableRow) (t table, err error) {
		return t, r.Scan(&t.name, &t.columns, &t.key, &t.needs)
	})
	if err != nil {
		return nil, err
	}
	return inOrder(all)
}

// inOrder puts each table after those it needs.
func inOrder(all []table) ([]table, error) {
	var out []table
	placed := map[string]bool{}
	for len(out) < len(all) {
		before := len(out)
		for _, t := range all {
			ready := !slices.ContainsFunc(t.needs, func(n string) bool { return !placed[n] })
			if ready && !placed[t.name] {
				placed[t.name] = true
				out = append(out, t)
			}
		}
		if len(out) == before {
			return nil, fmt.Errorf("the tables' foreign keys go round in a circle: no order puts them back")
		}
	}
	return out, nil
}

// quoted names columns for a statement.
func quoted(names []string, more string) string {
	var out []string
	for _, n := range names {
		out = append(out, pgx.Identifier{n}.Sanitize()+more)
	}
	return strings.Join(out, ", ")
}

// Text that does not depend on the server's or the role's settings.
var plainText = []string{
	`set local timezone = 'UTC'`,
	`set local datestyle = 'ISO, YMD'`,
	`set local intervalstyle = 'iso_8601'`,
	`set local extra_float_digits = 1`,
	`set local bytea_output = 'hex'`,
}

// dump writes a table's rows, company by company: an owner whom row-level security binds sees only those of the
// company that is named, and COPY refuses to pass over rows in silence.
func dump(ctx context.Context, conn *pgx.Conn, t table, companies []string, w io.Writer) (rows int64, sum string, err error) {
	h := sha256.New()
	w = io.MultiWriter(w, h)
	order := ""
	if len(t.key) > 0 {
		order = " order by " + quoted(t.key, `::text collate "C"`)
	}
	from := "select " + quoted(t.columns, "") + " from public." + pgx.Identifier{t.name}.Sanitize()
	if !t.ofCompany() {
		tag, err := conn.PgConn().CopyTo(ctx, w, "copy ("+from+order+") to stdout")
		return tag.RowsAffected(), hexOf(h), err
	}
	for _, company := range companies {
		if _, err := conn.Exec(ctx, `select set_config('app.company', $1, true)`, company); err != nil {
			return 0, "", err
		}
		tag, err := conn.PgConn().CopyTo(ctx, w, "copy ("+from+" where company_id = '"+company+"'"+order+") to stdout")
		if err != nil {
			return 0, "", err
		}
		rows += tag.RowsAffected()
	}
	return rows, hexOf(h), nil
}

// readCompanies lists them in the order their rows are written. The ids come from a uuid column.
func readCompanies(ctx context.Context, conn *pgx.Conn) ([]string, error) {
	rows, err := conn.Query(ctx, `select company_id::text from companies order by 1`)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, pgx.RowTo[string])
}

// load puts a table's rows back from a file of a backup.
func load(ctx context.Context, conn *pgx.Conn, t Table, zipped io.Reader) error {
	plain, err := gzip.NewReader(zipped)
	if err != nil {
		return err
	}
	tag, err := conn.PgConn().CopyFrom(ctx, plain, "copy public."+pgx.Identifier{t.Name}.Sanitize()+" ("+quoted(t.Columns, "")+") from stdin")
	if err != nil {
		return err
	}
	if tag.RowsAffected() != t.Rows {
		return fmt.Errorf("%d rows went in, the manifest says %d", tag.RowsAffected(), t.Rows)
	}
	return plain.Close()
}
