package storetest

import (
	"context"
	"fmt"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/jackc/pgx/v5"

	"longpoint/internal/account"
	"longpoint/internal/finish"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
	"longpoint/internal/postgres"
)

// everyText is the search as it is meant: the words of every text that the viewer may read are made and matched.
const everyText = `
	with asked as (
		select to_tsquery('simple', @query) as q
	),
	seen as (
		select
			j.company_id,
			j.job_id,
			j.name,
			j.state ->> 'address' as address
		from jobs j
		where j.company_id = @company
			and (@leads or exists (
				select
				from job_people p
				where p.company_id = j.company_id
					and p.job_id = j.job_id
					and p.person_id = @person
					and p.present
			))
	),
	said as (
		select
			'job' as kind,
			s.job_id,
			null::uuid as room_id,
			null::uuid as item_id,
			null::bigint as seq,
			concat_ws(', ', s.name, s.address) as text,
			4.0 as weight
		from seen s
		union all
		select
			'room',
			r.job_id,
			r.room_id,
			null,
			null,
			r.name,
			3.0
		from rooms r
		join seen s
			on s.company_id = r.company_id
			and s.job_id = r.job_id
		where r.company_id = @company
		union all
		select
			'item',
			i.job_id,
			i.room_id,
			i.item_id,
			null,
			concat_ws(', ', i.name, r.name, replace(i.kind, '_', ' '), i.state #>> '{unit,fire_label}'),
			3.0
		from items i
		join seen s
			on s.company_id = i.company_id
			and s.job_id = i.job_id
		join rooms r
			on r.company_id = i.company_id
			and r.job_id = i.job_id
			and r.room_id = i.room_id
		where i.company_id = @company
			and i.state -> 'removed' is null
		union all
		select
			'entry',
			e.job_id,
			e.room_id,
			e.item_id,
			e.seq,
			written_words(e.command),
			1.0
		from entries e
		join seen s
			on s.company_id = e.company_id
			and s.job_id = e.job_id
		where e.company_id = @company
			and e.kind in ('note', 'withdraw', 'reopen_stage', 'pass_stop', 'remove_item', 'miscut', 'say_remark', 'move_remark', 'close_walk',
				'add_photo', 'log_coat', 'set_product', 'return_offcut', 'sign_off')
	),
	found as (
		select
			said.*,
			said.weight * ts_rank(to_tsvector('simple', plain_words(said.text)), asked.q) as rank
		from said, asked
		where to_tsvector('simple', plain_words(said.text)) @@ asked.q
		order by rank desc, seq desc nulls last, text, job_id, coalesce(item_id, room_id)
		limit 40
	)
	select
		f.kind,
		f.job_id,
		s.name,
		coalesce(coalesce(f.room_id, i.room_id)::text, ''),
		coalesce(r.name, ''),
		coalesce(f.item_id::text, ''),
		coalesce(i.name, ''),
		coalesce(f.seq, 0),
		f.text
	from found f
	join seen s
		on s.job_id = f.job_id
	left join items i
		on i.company_id = @company
		and i.job_id = f.job_id
		and i.item_id = f.item_id
	left join rooms r
		on r.company_id = @company
		and r.job_id = f.job_id
		and r.room_id = coalesce(f.room_id, i.room_id)
	order by f.rank desc, f.seq desc nulls last, f.text, f.job_id, coalesce(f.item_id, f.room_id)`

// readEverything searches by everyText, as the service's role.
func (s *site) readEverything(v account.Viewer, typed string) (out []postgres.Hit) {
	s.t.Helper()
	var asked []string
	for _, word := range postgres.Asked(typed) {
		asked = append(asked, "'"+postgres.Plain(word)+"':*")
	}
	if len(asked) == 0 {
		return nil
	}
	s.must(s.as(v.CompanyID, func(tx pgx.Tx) error {
		rows, err := tx.Query(ctx(s.t), everyText, pgx.NamedArgs{"company": v.CompanyID, "person": v.PersonID, "leads": v.Role.Leads(), "query": strings.Join(asked, " & ")})
		if err != nil {
			return err
		}
		out, err = pgx.CollectRows(rows, pgx.RowToStructByPos[postgres.Hit])
		return err
	}))
	return out
}

func (s *site) search(by account.Person, typed string) []postgres.Hit {
	s.t.Helper()
	out, err := s.store.Search(ctx(s.t), by.Viewer(), typed)
	s.must(err)
	return out
}

// said are words as they are written on a job, some of which begin alike, in two languages, in odd letters and with odd marks.
var said = strings.Fields(`Door door doors Hall hall HALLWAY closet Closet's jamb jambs jamba baño Baño niño ventana strike strikes 80 80½ 1/8 1.5 1e5 3-1/2
	x-y a@b.example https://longpoint.example/a_b ÁRBOL árbol cañón Ölfarbe naïve 門 ドア дверь Дверь it’s “split” 45° ¿cómo? <b>bold</b> & | ! ( ) : * ' \ n° No.7 7 07 the of and`)

func testSearch(t *testing.T) {
	t.Run("what is found is what reading every text finds, in its order", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		r := rand.New(rand.NewPCG(3, 14))
		some := func(most int) string {
			var out []string
			for range 1 + r.IntN(most) {
				out = append(out, said[r.IntN(len(said))])
			}
			return strings.Join(out, " ")
		}
		var doors []house
		for n := range 3 {
			job := newID()
			s.do(s.lead, job, joblog.Command{Kind: joblog.CreateJobKind, CreateJob: &joblog.CreateJob{Name: fmt.Sprint("Job ", some(3)), Address: some(3), Unit: length.Inches}})
			for range 3 {
				room := newID()
				s.do(s.lead, job, joblog.Command{Kind: joblog.AddRoomKind, RoomID: room, AddRoom: &joblog.AddRoom{Name: "Room " + some(2), Level: finish.Ground}})
				for range 3 {
					h := house{job, room, newID()}
					s.addDoor(job, room, h.door, "Door "+some(2))
					doors = append(doors, h)
				}
			}
			if n == 0 {
				s.do(s.lead, job, joblog.Command{Kind: joblog.AssignKind, ItemID: doors[0].door, Assign: &joblog.Assign{PersonID: s.rosa.ID}})
			}
			s.clock.Move(1)
		}
		questions := 0
		compare := func(when string) {
			t.Helper()
			for range 60 {
				q := some(3)
				if runes := []rune(q); r.IntN(2) == 0 {
					q = string(runes[:1+r.IntN(len(runes))])
				}
				for _, by := range []account.Person{s.lead, s.rosa, s.ivan} {
					want, got := s.readEverything(by.Viewer(), q), s.search(by, q)
					if len(want) != len(got) || len(want) > 0 && !reflect.DeepEqual(want, got) {
						t.Fatalf("%s, %s looks for %q: want\n%+v\ngot\n%+v", when, by.Name, q, want, got)
					}
					if len(got) > 0 {
						questions++
					}
				}
			}
		}
		for range 50 {
			h := doors[r.IntN(len(doors))]
			s.do(s.lead, h.job, note(h.door, some(8)))
		}
		compare("as written")
		for range 6 {
			h := doors[r.IntN(len(doors))]
			spec := doorSpec()
			spec.Unit.FireLabel = some(1)
			s.give(s.lead, h.job, joblog.Command{Kind: joblog.SetItemKind, ItemID: h.door, SetItem: &joblog.SetItem{Name: some(2), Spec: spec}})
			s.give(s.lead, doors[r.IntN(len(doors))].job, joblog.Command{Kind: joblog.RemoveItemKind, ItemID: doors[r.IntN(len(doors))].door, RemoveItem: &joblog.RemoveItem{Reason: some(3)}})
			s.exec(`update rooms set name = $1 where room_id = $2`, some(3), doors[r.IntN(len(doors))].room)
			s.exec(`update jobs set name = $1, state = state || jsonb_build_object('address', $2::text) where job_id = $3`, some(2), some(2), doors[r.IntN(len(doors))].job)
		}
		compare("after changes")
		gone := doors[len(doors)-1].door
		for _, table := range []string{"takes", "cuts", "stages", "items"} {
			s.exec(`delete from `+table+` where item_id = $1`, gone)
		}
		compare("with an item gone")
		if questions < 100 {
			t.Errorf("%d questions found something: too few to compare", questions)
		}
		// What the triggers kept is what the step would put into the tables today.
		for table, want := range map[string]string{
			"job_words": `select company_id, w as word, job_id from jobs, words_of(concat_ws(', ', name, state ->> 'address')) w`,
			"name_words": `
				select company_id, job_id, w as word, room_id as thing_id
				from rooms, words_of(name) w
				union
				select i.company_id, i.job_id, w, i.item_id
				from items i
				join rooms r using (company_id, job_id, room_id), words_of(item_said(i.name, r.name, i.kind, i.state)) w
				where i.state -> 'removed' is null`,
			"entry_words": `select company_id, job_id, w as word, seq from entries, words_of(written_words(command)) w`,
		} {
			for _, row := range rows[string](s, `(select 'kept: ' || k::text from (select * from `+table+` except (`+want+`)) k) union all (select 'wanted: ' || k::text from ((`+want+`) except select * from `+table+`) k)`) {
				t.Errorf("%s: %s, and not the other way", table, row)
			}
		}
	})

	t.Run("where more is found than is given, names come first and then the newest", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		h := s.house()
		first := s.do(s.lead, h.job, note(h.door, "A closet once.")).FirstSeq
		s.exec(`
			insert into entries (company_id, job_id, seq, command_id, kind, person_id, role, did_at, logged_at, device, rule_book, command)
			select company_id, job_id, seq + n, gen_random_uuid(), kind, person_id, role, did_at, logged_at, device, rule_book, command
			from entries, generate_series(1, 500) as n
			where job_id = $1 and seq = $2`, h.job, first)
		got := s.search(s.lead, "closet")
		if len(got) != 40 || got[0].Kind != "item" || got[0].ItemID != h.door {
			t.Fatalf("want forty, the closet's door first, got %+v", got)
		}
		for i, hit := range got[1:] {
			if want := first + 500 - int64(i); hit.Kind != "entry" || hit.Seq != want {
				t.Fatalf("after the door, place %d: want entry %d, got %+v", i, want, hit)
			}
		}
	})

	t.Run("nobody finds another company's words, nor those of a job they are not on", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		h := s.house()
		s.do(s.lead, h.job, note(h.door, "Unmistakable"))
		_, stranger, _, _ := s.crew("inland")
		for _, q := range []string{"unmistakable", "closet", "bedroom", "alder"} {
			if len(s.search(s.lead, q)) == 0 || len(s.search(s.rosa, q)) == 0 {
				t.Errorf("%q: its own people find nothing", q)
			}
			for _, by := range []account.Person{s.ivan, stranger} {
				if got := s.search(by, q); len(got) != 0 {
					t.Errorf("%q: %s of %s finds %+v", q, by.Name, by.CompanyID, got)
				}
			}
			// The company is the session's alone: a viewer who says another finds nothing.
			lying := stranger
			lying.CompanyID = s.company.ID
			s.must(s.as(stranger.CompanyID, func(tx pgx.Tx) error {
				for _, table := range []string{"job_words", "name_words", "entry_words"} {
					var n int64
					if err := tx.QueryRow(ctx(t), `select count(*) from `+table+` where company_id = $1`, lying.CompanyID).Scan(&n); err != nil || n != 0 {
						return fmt.Errorf("%s: %d rows, %w", table, n, err)
					}
				}
				return nil
			}))
		}
	})

	t.Run("words are found by their key, under the policy", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		for _, name := range []string{"uuid_eq", "text_ge", "text_lt"} {
			if !value[bool](s, `select proleakproof from pg_proc where proname = $1`, name) {
				t.Errorf("%s is not leakproof on this server: the policy would keep it from the key", name)
			}
		}
		s.must(s.as(s.company.ID, func(tx pgx.Tx) error {
			if _, err := tx.Exec(context.Background(), `set local enable_seqscan = off; set local enable_bitmapscan = off`); err != nil {
				return err
			}
			rows, err := tx.Query(context.Background(), `explain select seq from entry_words where company_id = '`+newID()+`' and job_id = '`+newID()+`' and word >= 'a' and word < 'b'`)
			if err != nil {
				return err
			}
			plan, err := pgx.CollectRows(rows, pgx.RowTo[string])
			if !slices.ContainsFunc(plan, func(l string) bool {
				return strings.Contains(l, "Index Cond") && strings.Contains(l, "word >=") && strings.Contains(l, "word <")
			}) {
				t.Errorf("the words are not in the index's condition:\n%s", strings.Join(plan, "\n"))
			}
			return err
		}))
	})
}
