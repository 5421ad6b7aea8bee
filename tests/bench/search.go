package main

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"

	"longpoint/internal/pglocal"
)

// A search of a large job alone is to be answered within searchWithin, 95 times in 100, and one among
// a million items within crowdedWithin.
const (
	searchWithin  = 50 * time.Millisecond
	crowdedWithin = 200 * time.Millisecond
)

// asked is what is looked for: a word that stands in most of a log's notes and one that stands in one, a name that
// every other item has and one that nothing has, and words that are common each and seldom together.
var asked = []string{"looked", "looked 19990", "19990", "door", "d", "hall door 17", "another 2999", "nowhere", "door nowhere", "lead"}

// benchSearch measures the search of a company with a large job, then with so many items of other jobs beside it, then
// with as many of another company's.
func benchSearch(ctx context.Context, others int) error {
	return onServer(ctx, 1, func(_ *pglocal.Server, _ string, s *site) error {
		b, err := newBoard(ctx, s, boardEntries)
		if err != nil {
			return err
		}
		fmt.Printf("search of a job of %d items and %d entries, its answer over HTTP:\n", boardOpenings+3*boardRooms, boardEntries)
		late := b.searches(ctx, 60, searchWithin)
		own := s.lead.CompanyID
		if err := b.crowdIn(ctx, own, others); err != nil {
			return err
		}
		fmt.Printf("with %d items of the company's other jobs, and a tenth as many notes:\n", others)
		crowded := b.searches(ctx, 20, crowdedWithin)
		stranger, err := b.anotherCompany(ctx)
		if err != nil {
			return err
		}
		if err := b.crowdIn(ctx, stranger, others); err != nil {
			return err
		}
		fmt.Printf("with as many of another company's besides:\n")
		return errors.Join(late, crowded, b.searches(ctx, 20, crowdedWithin))
	})
}

// searches measures each question so many times, and says which took longer than they may.
func (b *board) searches(ctx context.Context, times int, within time.Duration) (slow error) {
	for _, words := range asked {
		var took []time.Duration
		var found struct {
			Hits []struct{} `json:"hits"`
		}
		for range times {
			began := time.Now()
			if err := b.site.people[0].Get(ctx, "/api/v1/search?q="+strings.ReplaceAll(words, " ", "+"), &found); err != nil {
				return errors.Join(slow, err)
			}
			took = append(took, time.Since(began))
		}
		slices.Sort(took)
		late := took[times*95/100]
		fmt.Printf("  %-16q %2d found, median of %d %v, 95 of 100 within %v\n", words, len(found.Hits), times, round(took[times/2]), round(late))
		slow = errors.Join(slow, failed(late > within, "%q took %v, %v is wanted", words, round(late), within))
	}
	return slow
}

const otherCompany = `
	with company as (
		insert into companies (company_id, name, created_at)
		values (gen_random_uuid(), 'Another house', now())
		returning company_id
	)
	insert into people (company_id, person_id, name, sign_in, passphrase_hash, role, language, unit, created_at)
	select c.company_id, gen_random_uuid(), 'Someone', 'someone', p.passphrase_hash, p.role, p.language, p.unit, p.created_at
	from company c, (select * from people limit 1) p
	returning company_id`

func (b *board) anotherCompany(ctx context.Context) (id string, err error) {
	err = b.site.owner.QueryRow(ctx, otherCompany).Scan(&id)
	return id, err
}

// crowdIn puts other jobs of 300 items and 30 notes into a company, until they have so many items. Their words are put
// in by the statements of migration 0014 that fill its tables, for a million triggers' time.
func (b *board) crowdIn(ctx context.Context, company string, items int) error {
	err := pgx.BeginFunc(ctx, b.site.owner, func(tx pgx.Tx) error {
		if _, err := tx.Exec(ctx, `set local session_replication_role = replica`); err != nil {
			return err
		}
		jobs := (items + 299) / 300
		for _, each := range []struct {
			sql  string
			args []any
		}{
			{`insert into jobs (company_id, job_id, name, next_seq, state, created_at, changed_at)
				select $1, gen_random_uuid(), 'Another ' || n, 331, '{}', j.created_at, j.changed_at
				from jobs j, generate_series(1, $3::int) as n
				where j.job_id = $2`, []any{company, b.job, jobs}},
			{`insert into rooms (company_id, job_id, room_id, name, level, added_seq, state)
				select company_id, job_id, gen_random_uuid(), 'Hall', 'ground', 1, '{}'
				from jobs
				where company_id = $1 and name like 'Another %'`, []any{company}},
			{`insert into items (company_id, job_id, item_id, room_id, name, kind, added_seq, through_seq, projected_at, state)
				select r.company_id, r.job_id, gen_random_uuid(), r.room_id, 'Door ' || n, 'door', n, n, now(), '{}'
				from rooms r
				join jobs j using (company_id, job_id), generate_series(1, 300) as n
				where r.company_id = $1 and j.name like 'Another %'`, []any{company}},
			{`insert into entries (company_id, job_id, seq, command_id, kind, person_id, role, did_at, logged_at, device, rule_book, command)
				select j.company_id, j.job_id, 300 + n, gen_random_uuid(), 'note', p.person_id, 'lead', j.changed_at, j.changed_at, '', '',
					jsonb_build_object('note', jsonb_build_object('text', 'Looked at, ' || n || ', by the lead'))
				from jobs j, (select person_id from people where company_id = $1 limit 1) p, generate_series(1, 30) as n
				where j.company_id = $1 and j.name like 'Another %'`, []any{company}},
			{`insert into job_words (company_id, word, job_id)
				select j.company_id, w, j.job_id
				from jobs j, words_of(j.name) w
				where j.company_id = $1
				order by 1, 2, 3 on conflict do nothing`, []any{company}},
			{`insert into name_words (company_id, job_id, word, thing_id)
				select r.company_id, r.job_id, w, r.room_id
				from rooms r, words_of(r.name) w
				where r.company_id = $1
				order by 1, 2, 3, 4 on conflict do nothing`, []any{company}},
			{`insert into name_words (company_id, job_id, word, thing_id)
				select i.company_id, i.job_id, w, i.item_id
				from items i
				join rooms r using (company_id, job_id, room_id), words_of(item_said(i.name, r.name, i.kind, i.state)) w
				where i.company_id = $1
				order by 1, 2, 3, 4 on conflict do nothing`, []any{company}},
			{`insert into entry_words (company_id, job_id, word, seq)
				select e.company_id, e.job_id, w, e.seq
				from entries e, words_of(written_words(e.command)) w
				where e.company_id = $1 and e.kind = 'note'
				order by 1, 2, 3, 4 on conflict do nothing`, []any{company}},
		} {
			if _, err := tx.Exec(ctx, each.sql, each.args...); err != nil {
				return fmt.Errorf("crowding: %w", err)
			}
		}
		return nil
	})
	if err == nil {
		_, err = b.site.owner.Exec(ctx, `vacuum analyze`)
	}
	return err
}
