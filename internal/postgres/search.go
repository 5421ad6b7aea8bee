package postgres

import (
	"context"
	"strings"
	"unicode"

	"github.com/jackc/pgx/v5"

	"longpoint/internal/account"
	"longpoint/internal/fault"
)

// Hit is something that holds the words looked for.
type Hit struct {
	Kind   string // job, room, item, entry
	JobID  string
	Job    string
	RoomID string
	Room   string
	ItemID string
	Item   string
	Seq    int64
	Said   string // the text that holds them
}

// mostHits is how many are given: who has not found it among them writes another word.
const mostHits = 40

// mostLooked is how many jobs, how many rooms and openings, and how many entries that hold every word are read and put in order: three
// times what is given. Where more hold them, they are those of the jobs last worked on, the newest first.
const mostLooked = 3 * mostHits

// Names weigh more than what was written in passing, and of alike the newest stands first. Kept words (migration 0014) lead to
// what may hold the question, one job after the other and no further than is enough; the text itself is matched again.
const searchJobs = `
	with asked as (
		select to_tsquery('simple', @query) as q
	),
	wanted as materialized (
		select
			w.low,
			w.low || chr(1114111) as high,
			(1 << (row_number() over ())::int - 1) as bit
		from (
			select distinct l.lexeme collate "C" as low
			from unnest(@words::text[]) as t (word), unnest(to_tsvector('simple', t.word)) as l
		) w
	),
	every as materialized (
		select
			bit_or(bit) as bits,
			count(*) as words
		from wanted
	),
	seen as materialized (
		select
			j.company_id,
			j.job_id,
			j.name,
			j.state ->> 'address' as address,
			j.changed_at
		from jobs j
		where j.company_id = @company` + mayRead + `
		order by
			j.changed_at desc,
			j.job_id
	),
	job_holds as (
		select s.job_id
		from seen s
		join (
			select k.job_id
			from wanted w
			join job_words k
				on k.company_id = @company
				and k.word >= w.low
				and k.word < w.high
			group by k.job_id
			having bit_or(w.bit) = (select bits from every)
		) k
			on k.job_id = s.job_id
		order by
			s.changed_at desc,
			s.job_id
		limit @looked
	),
	name_holds as materialized (
		select
			s.job_id,
			k.thing_id
		from seen s
		cross join lateral (
			select k.thing_id
			from wanted w
			cross join lateral (
				select k.thing_id
				from name_words k
				where k.company_id = @company
					and k.job_id = s.job_id
					and k.word >= w.low
					and k.word < w.high
				offset 0 -- each word by its own range of the key
			) k
			where (select words = 1 from every) or (select bool_and(exists (
				select
				from name_words h
				where h.company_id = @company
					and h.job_id = s.job_id
					and h.word >= o.low
					and h.word < o.high
			)) from wanted o)
			group by k.thing_id
			having bit_or(w.bit) = (select bits from every)
			order by k.thing_id desc
			limit @looked
		) k
		limit @looked
	),
	entry_holds as materialized (
		select
			s.job_id,
			k.seq
		from seen s
		cross join lateral (
			select k.seq
			from wanted w
			cross join lateral (
				select k.seq
				from entry_words k
				where k.company_id = @company
					and k.job_id = s.job_id
					and k.word >= w.low
					and k.word < w.high
				offset 0 -- each word by its own range of the key
			) k
			where (select words = 1 from every) or (select bool_and(exists (
				select
				from entry_words h
				where h.company_id = @company
					and h.job_id = s.job_id
					and h.word >= o.low
					and h.word < o.high
			)) from wanted o)
			group by k.seq
			having bit_or(w.bit) = (select bits from every)
			order by k.seq desc
			limit @looked
		) k
		limit @looked
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
		from job_holds h
		join seen s
			on s.job_id = h.job_id
		union all
		select
			'room',
			r.job_id,
			r.room_id,
			null,
			null,
			r.name,
			3.0
		from name_holds h
		join rooms r
			on r.company_id = @company
			and r.job_id = h.job_id
			and r.room_id = h.thing_id
		union all
		select
			'item',
			i.job_id,
			i.room_id,
			i.item_id,
			null,
			item_said(i.name, r.name, i.kind, i.state),
			3.0
		from name_holds h
		join items i
			on i.company_id = @company
			and i.job_id = h.job_id
			and i.item_id = h.thing_id
		join rooms r
			on r.company_id = i.company_id
			and r.job_id = i.job_id
			and r.room_id = i.room_id
		where i.state -> 'removed' is null
		union all
		select
			'entry',
			e.job_id,
			e.room_id,
			e.item_id,
			e.seq,
			written_words(e.command),
			1.0
		from entry_holds h
		join entries e
			on e.company_id = @company
			and e.job_id = h.job_id
			and e.seq = h.seq
	),
	held as materialized (
		select
			said.*,
			to_tsvector('simple', plain_words(said.text)) as words
		from said
	),
	found as (
		select
			held.*,
			held.weight * ts_rank(held.words, asked.q) as rank
		from held, asked
		where held.words @@ asked.q
		order by
			rank desc,
			seq desc nulls last,
			text,
			job_id,
			coalesce(item_id, room_id)
		limit @limit
	)
	select
		f.kind,
		f.job_id,
		s.name,
		coalesce(f.room_id, i.room_id),
		r.name,
		f.item_id,
		i.name,
		f.seq,
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
	order by
		f.rank desc,
		f.seq desc nulls last,
		f.text,
		f.job_id,
		coalesce(f.item_id, f.room_id)`

func scanHit(rows pgx.CollectableRow) (Hit, error) {
	var (
		h                          Hit
		roomID, room, itemID, item *string
		seq                        *int64
		text                       = func(s *string) string { return strings.TrimSpace(deref(s)) }
		err                        = rows.Scan(&h.Kind, &h.JobID, &h.Job, &roomID, &room, &itemID, &item, &seq, &h.Said)
	)
	h.RoomID, h.Room, h.ItemID, h.Item = text(roomID), text(room), text(itemID), text(item)
	if seq != nil {
		h.Seq = *seq
	}
	return h, err
}

func deref(s *string) string {
	if s == nil {
		return ""
	}
	return *s
}

// mostWords bounds a question; a sentence pasted in is not looked for whole.
const mostWords = 8

// Asked parts what was typed into the words that are looked for, each by how it begins.
func Asked(typed string) []string {
	words := strings.FieldsFunc(strings.ToLower(typed), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) && !unicode.IsMark(r) })
	return words[:min(len(words), mostWords)]
}

// Search finds what holds every word of a question in the jobs the viewer may read: jobs,
// rooms, items, and what was written in the log. A word is found by how it begins; case and
// accents do not count. The best come first, at most forty.
//
// Errors: unavailable; internal.
func (s *Store) Search(ctx context.Context, v account.Viewer, typed string) (out []Hit, err error) {
	defer fault.In(&err, "searching")
	words := Asked(typed)
	if len(words) == 0 {
		return nil, nil
	}
	for i, word := range words {
		words[i] = plainer.Replace(word)
	}
	// Each is a quoted lexeme: what stands in the quotes is no operator.
	query := "'" + strings.Join(words, "':* & '") + "':*"
	err = s.inCompany(ctx, v.CompanyID, toRead, func(w *work) error {
		b := w.batch()
		list(b, &out, scanHit, searchJobs, readArgs(v, pgx.NamedArgs{"query": query, "words": words, "looked": mostLooked, "limit": mostHits}))
		b.commit()
		return w.send(ctx, b)
	})
	return out, err
}

// plainer takes accents off as plain_words does.
var plainer = strings.NewReplacer("á", "a", "é", "e", "í", "i", "ó", "o", "ú", "u", "ü", "u", "ñ", "n", "à", "a", "è", "e", "ì", "i", "ò", "o", "ù", "u",
	"â", "a", "ê", "e", "î", "i", "ô", "o", "û", "u", "ä", "a", "ë", "e", "ï", "i", "ö", "o", "ç", "c")

// Plain takes accents and case off a text, for comparing.
func Plain(text string) string { return plainer.Replace(strings.ToLower(text)) }
