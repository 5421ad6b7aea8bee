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

// Names weigh more than what was written in passing, and of alike the newest stands first.
const searchJobs = `
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
		where j.company_id = @company` + mayRead + `
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
		order by rank desc, seq desc nulls last, text
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
	order by f.rank desc, f.seq desc nulls last, f.text`

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
	// Each is a quoted lexeme: what stands in the quotes is no operator.
	query := "'" + strings.Join(words, "':* & '") + "':*"
	err = s.inCompany(ctx, v.CompanyID, toRead, func(w *work) error {
		b := w.batch()
		list(b, &out, scanHit, searchJobs, readArgs(v, pgx.NamedArgs{"query": plainer.Replace(query), "limit": mostHits}))
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
