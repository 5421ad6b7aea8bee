package storetest

import (
	"strings"
	"testing"

	"longpoint/internal/postgres"
	"longpoint/migrations"
)

// notOfACompany are the tables that hold no company's rows, each with its reason.
var notOfACompany = map[string]string{
	"schema_migrations": "made and kept by the migration library: one row, the schema's version",
	"ceremonies":        "what a device was asked before anyone is known; reached by its secret alone, through two functions",
}

func testSchema(t *testing.T) {
	t.Run("company_id leads every key", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		for _, table := range s.companyTables() {
			if n := value[int64](s, `select count(*) from pg_constraint where conrelid = $1::regclass and contype = 'p'`, table); n != 1 {
				t.Errorf("%s: want a primary key, got %d", table, n)
			}
		}
		keys := rows[string](s, `
			select c.conrelid::regclass || ': ' || c.conname || ' leads with ' || a.attname
			from pg_constraint c
			join pg_attribute a
				on a.attrelid = c.conrelid
				and a.attnum = c.conkey[1]
			where c.connamespace = 'public'::regnamespace
				and c.contype in ('p', 'u', 'f')
				and a.attname <> 'company_id'`)
		indexes := rows[string](s, `
			select i.indrelid::regclass || ': ' || i.indexrelid::regclass || ' leads with ' || coalesce(a.attname::text, 'an expression')
			from pg_index i
			join pg_class k on k.oid = i.indexrelid
			left join pg_attribute a
				on a.attrelid = i.indrelid
				and a.attnum = i.indkey[0]
			where k.relnamespace = 'public'::regnamespace
				and i.indisunique
				and a.attname is distinct from 'company_id'`)
		for _, k := range append(keys, indexes...) {
			if table, _, _ := strings.Cut(k, ":"); notOfACompany[table] == "" {
				t.Error(k)
			}
		}
		for _, k := range rows[string](s, `
			select c.conrelid::regclass || ': ' || c.conname || ' refers to ' || a.attname
			from pg_constraint c
			join pg_attribute a
				on a.attrelid = c.confrelid
				and a.attnum = c.confkey[1]
			where c.connamespace = 'public'::regnamespace
				and c.contype = 'f'
				and a.attname <> 'company_id'`) {
			t.Error(k)
		}
	})

	t.Run("row-level security is forced everywhere", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		for _, table := range s.companyTables() {
			if on := value[bool](s, `select relrowsecurity and relforcerowsecurity from pg_class where oid = $1::regclass`, table); !on {
				t.Errorf("%s: want row security enabled and forced", table)
			}
			bound := `((company_id = (NULLIF(current_setting('app.company'::text, true), ''::text))::uuid))`
			got := rows[string](s, `
				select '(' || pg_get_expr(polqual, polrelid) || ')' || '(' || pg_get_expr(polwithcheck, polrelid) || ')'
				from pg_policy
				where polrelid = $1::regclass
					and polcmd = '*'
					and polroles = '{0}'`, table)
			if len(got) != 1 || got[0] != bound+bound {
				t.Errorf("%s: the policy for everyone: want %s, got %v", table, bound+bound, got)
			}
		}
		for _, p := range rows[string](s, `
			select p.polrelid::regclass || ': ' || p.polname
			from pg_policy p
			join pg_class c on c.oid = p.polrelid
			where polroles <> '{0}'
				and polroles <> array[c.relowner]`) {
			t.Errorf("%s is a policy for somebody but everyone and the owner", p)
		}
		for _, v := range rows[string](s, `select relname::text from pg_class where relkind in ('v', 'm') and relnamespace = 'public'::regnamespace`) {
			t.Errorf("%s is a view: it would read with its owner's rights", v)
		}
	})

	t.Run("what is nobody's is out of the service's reach", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		for table := range notOfACompany {
			may := rows[string](s, `
				select p
				from unnest(array['select', 'insert', 'update', 'delete', 'truncate']) p
				where has_table_privilege('longpoint_app', $1, p)`, table)
			if table == "schema_migrations" && len(may) == 1 && may[0] == "select" {
				continue // readiness asks for the version
			}
			if len(may) != 0 {
				t.Errorf("longpoint_app may %v on %s, which row-level security does not guard", may, table)
			}
		}
	})

	t.Run("the service's role owns nothing and runs little", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		if bad := value[bool](s, `select rolsuper or rolbypassrls or rolcreaterole or rolcreatedb from pg_roles where rolname = 'longpoint_app'`); bad {
			t.Error("longpoint_app has a right it must not have")
		}
		for _, name := range rows[string](s, `select relname::text from pg_class where relowner = 'longpoint_app'::regrole`) {
			t.Errorf("longpoint_app owns %s", name)
		}
		for _, f := range rows[string](s, `
			select oid::regprocedure::text
			from pg_proc
			where pronamespace = 'public'::regnamespace
				and prosecdef
				and (
					not coalesce('search_path=pg_catalog, pg_temp' = any (proconfig), false)
					or has_function_privilege('public', oid, 'execute')
				)`) {
			t.Errorf("%s runs as the owner: want its search_path fixed and no right of everyone", f)
		}
		for _, g := range rows[string](s, `
			select table_name || ' ' || privilege_type
			from information_schema.role_table_grants
			where grantee = 'longpoint_app'
				and (
					privilege_type not in ('SELECT', 'INSERT', 'UPDATE', 'DELETE')
					or table_name in ('entries', 'commands') and privilege_type not in ('SELECT', 'INSERT')
					or privilege_type = 'DELETE' and table_name in ('companies', 'people', 'sessions', 'jobs')
				)`) {
			t.Errorf("longpoint_app may %s", g)
		}
	})

	t.Run("down and up again on filled tables", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		s.lived()
		s.store.Close()
		steps := migrations.Count() - 1
		s.must(migrations.Down(ctx(t), s.db.OwnerURL, steps))
		left := rows[string](s, `select relname::text from pg_class where relkind in ('r', 'p', 'S', 'v') and relnamespace = 'public'::regnamespace`)
		if len(left) != 1 || left[0] != "schema_migrations" {
			t.Errorf("left after the way back: want schema_migrations alone, got %v", left)
		}
		if n := value[int64](s, `select count(*) from pg_proc where pronamespace = 'public'::regnamespace`); n != 0 {
			t.Errorf("functions left after the way back: want 0, got %d", n)
		}
		s.must(migrations.Up(ctx(t), s.db.OwnerURL))
		s.store = s.open(s.db.AppURL, postgres.Options{Clock: s.clock.Now})
		s.company, s.lead, s.rosa, s.ivan = s.crew("second")
		s.lived()
		s.wantClean()
	})
}
