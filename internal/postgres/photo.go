package postgres

import (
	"context"
	"time"

	"github.com/jackc/pgx/v5"

	"longpoint/internal/account"
	"longpoint/internal/fault"
	"longpoint/internal/joblog"
)

// PhotoState says what became of a photo's bytes.
type PhotoState string

// The states of a photo's bytes.
const (
	PhotoWaiting PhotoState = "waiting" // not all here yet
	PhotoStored  PhotoState = "stored"
	PhotoRefused PhotoState = "refused" // arrived, and was no photo
)

// Photo is one photo that the log names, with what became of its bytes.
type Photo struct {
	JobID, ID, ItemID, RoomID, PersonID string
	SHA256                              string // of what the phone kept
	Bytes, Received                     int64
	State                               PhotoState
	Reason                              string // why it was refused
	FullSHA256, ThumbSHA256             string // of what was stored
	Width, Height                       int64  // of what was stored, else as the phone said
	Withdrawn                           bool
	SettledAt                           *time.Time
}

// photoRow is what the log says of a photo.
type photoRow struct {
	PhotoID   string  `json:"photo_id"`
	CommandID string  `json:"command_id"`
	RoomID    *string `json:"room_id"`
	ItemID    *string `json:"item_id"`
	PersonID  string  `json:"person_id"`
	SHA256    string  `json:"sha256"`
	Bytes     int64   `json:"bytes"`
	Width     int64   `json:"width"`
	Height    int64   `json:"height"`
}

func (r photoRow) key() string { return r.PhotoID }

func newPhotoRow(room, item string, p joblog.PhotoEntry) photoRow {
	return photoRow{PhotoID: p.PhotoID, CommandID: p.CommandID, RoomID: orNull(room), ItemID: orNull(item), PersonID: p.PersonID,
		SHA256: p.SHA256, Bytes: p.Bytes, Width: p.Width, Height: p.Height}
}

func photoRows(room, item string, photos []joblog.PhotoEntry) []photoRow {
	out := make([]photoRow, 0, len(photos))
	for _, p := range photos {
		out = append(out, newPhotoRow(room, item, p))
	}
	return out
}

const insertPhotos = `
	insert into photos (
		company_id,
		job_id,
		photo_id,
		command_id,
		room_id,
		item_id,
		person_id,
		sha256,
		bytes,
		width,
		height
	)
	select
		@company,
		@job,
		r.photo_id,
		r.command_id,
		r.room_id,
		r.item_id,
		r.person_id,
		r.sha256,
		r.bytes,
		r.width,
		r.height
	from jsonb_to_recordset(@rows::jsonb) as r (
		photo_id uuid,
		command_id uuid,
		room_id uuid,
		item_id uuid,
		person_id uuid,
		sha256 text,
		bytes bigint,
		width bigint,
		height bigint
	)`

const upsertPhotos = insertPhotos + `
	on conflict on constraint photos_pkey do update
	set command_id = excluded.command_id,
		room_id = excluded.room_id,
		item_id = excluded.item_id,
		person_id = excluded.person_id,
		sha256 = excluded.sha256,
		bytes = excluded.bytes,
		width = excluded.width,
		height = excluded.height,
		withdrawn = false`

// A photo taken back keeps its row and its bytes, as the log keeps its entry.
const withdrawPhotos = `
	update photos t
	set withdrawn = true
	from jsonb_to_recordset(@rows::jsonb) as r (photo_id uuid)
	where t.company_id = @company
		and t.job_id = @job
		and t.photo_id = r.photo_id`

const withdrawPhotoOf = `
	update photos
	set withdrawn = true
	where company_id = @company
		and job_id = @job
		and command_id = @command`

const photosStanding = `
	select
		photo_id,
		command_id,
		room_id,
		item_id,
		person_id,
		sha256,
		bytes,
		width,
		height
	from photos
	where company_id = @company
		and job_id = @job
		and not withdrawn`

func scanPhotoRow(rows pgx.CollectableRow) (photoRow, error) {
	var r photoRow
	err := rows.Scan(
		&r.PhotoID,
		&r.CommandID,
		&r.RoomID,
		&r.ItemID,
		&r.PersonID,
		&r.SHA256,
		&r.Bytes,
		&r.Width,
		&r.Height,
	)
	return r, err
}

// writePhotos queues what the command does to the photos.
func (sub *submission) writePhotos(b *batch) error {
	c := sub.command
	switch {
	case c.AddPhoto != nil:
		item, photos := "", sub.scope.Room.Photos
		if sub.scope.Item != nil {
			item, photos = sub.scope.Item.ID, sub.scope.Item.Photos
		}
		// Not an upsert: the same photo on another item of the job is another command's.
		return queue(b, insertPhotos, "", sub.company, c.JobID, put(newPhotoRow(sub.scope.Room.ID, item, photos[len(photos)-1])))
	case c.Withdraw != nil:
		b.exec(withdrawPhotoOf, pgx.NamedArgs{"company": sub.company, "job": c.JobID, "command": c.Withdraw.CommandID})
	}
	return nil
}

const photoColumns = `
	select
		f.job_id,
		f.photo_id,
		coalesce(f.item_id::text, ''),
		coalesce(f.room_id::text, ''),
		f.person_id,
		f.sha256,
		f.bytes,
		f.received,
		f.state,
		coalesce(f.reason, ''),
		coalesce(f.full_sha256, ''),
		coalesce(f.thumb_sha256, ''),
		coalesce(f.stored_width, f.width),
		coalesce(f.stored_height, f.height),
		f.withdrawn,
		f.settled_at
	from photos f
	join jobs j
		on j.company_id = f.company_id
		and j.job_id = f.job_id
	where f.company_id = @company
		and f.job_id = @job`

const readPhotos = photoColumns + `
		and not f.withdrawn` + mayRead + `
	order by f.photo_id`

const readPhoto = photoColumns + `
		and not f.withdrawn
		and f.photo_id = @photo` + mayRead

// Who took a photo delivers it, also after leaving the job.
const readOwnPhoto = photoColumns + `
		and f.photo_id = @photo
		and f.person_id = @person`

func photoFields(p *Photo) []any {
	return []any{&p.JobID, &p.ID, &p.ItemID, &p.RoomID, &p.PersonID, &p.SHA256, &p.Bytes, &p.Received, &p.State, &p.Reason,
		&p.FullSHA256, &p.ThumbSHA256, &p.Width, &p.Height, &p.Withdrawn, &p.SettledAt}
}

func scanPhoto(rows pgx.CollectableRow) (Photo, error) {
	var p Photo
	return p, rows.Scan(photoFields(&p)...)
}

// Photos lists the photos of a job that were not taken back, in the order they were made.
// Who may read the job may read them.
//
// Errors: as Job.
func (s *Store) Photos(ctx context.Context, v account.Viewer, jobID string) (out []Photo, err error) {
	defer fault.In(&err, "reading the photos of job", jobID)
	if err := checkID("job", jobID); err != nil {
		return nil, err
	}
	err = s.inCompany(ctx, v.CompanyID, toRead, func(w *work) error {
		args := readArgs(v, pgx.NamedArgs{"job": jobID})
		var last int64
		b := w.batch()
		b.one(errNotThere("job"), jobIsThere, args, &last)
		list(b, &out, scanPhoto, readPhotos, args)
		b.commit()
		return w.send(ctx, b)
	})
	return out, err
}

// Photo returns one of them. Errors: as Job, and not_found for the photo.
func (s *Store) Photo(ctx context.Context, v account.Viewer, jobID, photoID string) (Photo, error) {
	return s.onePhoto(ctx, v, jobID, photoID, readPhoto)
}

// OwnPhoto returns a photo that the viewer took, whether or not they are still on the job,
// and taken back or not. Errors: as Photo.
func (s *Store) OwnPhoto(ctx context.Context, v account.Viewer, jobID, photoID string) (Photo, error) {
	return s.onePhoto(ctx, v, jobID, photoID, readOwnPhoto)
}

func (s *Store) onePhoto(ctx context.Context, v account.Viewer, jobID, photoID, sql string) (p Photo, err error) {
	defer fault.In(&err, "reading photo", photoID, "of job", jobID)
	for what, id := range map[string]string{"job": jobID, "photo": photoID} {
		if err := checkID(what, id); err != nil {
			return p, err
		}
	}
	err = s.inCompany(ctx, v.CompanyID, toRead, func(w *work) error {
		b := w.batch()
		b.one(errNotThere("photo"), sql, readArgs(v, pgx.NamedArgs{"job": jobID, "photo": photoID}), photoFields(&p)...)
		b.commit()
		return w.send(ctx, b)
	})
	return p, err
}

// Conditions on whose bytes may change: the viewer's own photo, still waiting, with so many
// of its bytes here.
const ownWaiting = `
	where company_id = @company
		and job_id = @job
		and photo_id = @photo
		and person_id = @person
		and state = 'waiting'
		and received = @from`

const countPart = `
	update photos
	set received = @from + @length` + ownWaiting

const insertPart = `
	insert into photo_parts (
		company_id,
		job_id,
		photo_id,
		starts_at,
		content
	)
	values (
		@company,
		@job,
		@photo,
		@from,
		@content
	)`

// errMoved is what a part gets that does not begin where the last one ended.
func errMoved() error {
	return fault.New(fault.Conflict, "Another part of this photo arrived meanwhile. Ask how far it is.")
}

// AddPhotoPart keeps a part of a photo that the viewer took, beginning at the byte from,
// and counts it. It is one transaction: of two parts that begin at the same byte one counts.
//
// Errors: conflict when the photo is not waiting for that byte; unavailable; internal.
func (s *Store) AddPhotoPart(ctx context.Context, v account.Viewer, p Photo, from int64, content []byte) error {
	return s.changePhoto(ctx, v, p, pgx.NamedArgs{"from": from, "length": len(content), "content": content}, countPart, insertPart)
}

const readParts = `
	select
		content
	from photo_parts
	where company_id = @company
		and job_id = @job
		and photo_id = @photo
		and starts_at < @before
	order by starts_at`

// PhotoParts returns the bytes of a photo that have arrived.
//
// Errors: unavailable; internal.
func (s *Store) PhotoParts(ctx context.Context, v account.Viewer, p Photo) (out []byte, err error) {
	defer fault.In(&err, "reading the parts of photo", p.ID)
	err = s.inCompany(ctx, v.CompanyID, toRead, func(w *work) error {
		var parts [][]byte
		b := w.batch()
		list(b, &parts, pgx.RowTo[[]byte], readParts, readArgs(v, pgx.NamedArgs{"job": p.JobID, "photo": p.ID, "before": p.Received}))
		b.commit()
		if err := w.send(ctx, b); err != nil {
			return err
		}
		out = make([]byte, 0, p.Bytes)
		for _, part := range parts {
			out = append(out, part...)
		}
		return nil
	})
	return out, err
}

const deleteParts = `
	delete from photo_parts
	where company_id = @company
		and job_id = @job
		and photo_id = @photo`

const keepPhoto = `
	update photos
	set state = 'stored',
		received = bytes,
		full_sha256 = @full,
		thumb_sha256 = @thumb,
		stored_width = @width,
		stored_height = @height,
		settled_at = @now` + ownWaiting

// KeptPhoto is what was stored of a photo.
type KeptPhoto struct {
	FullSHA256, ThumbSHA256 string
	Width, Height           int64
}

// KeepPhoto says that a photo is whole and stored, and lets go of its parts. p is the photo
// as it was when its last part came.
//
// Errors: conflict when it is not as it was; unavailable; internal.
func (s *Store) KeepPhoto(ctx context.Context, v account.Viewer, p Photo, kept KeptPhoto) error {
	return s.changePhoto(ctx, v, p, pgx.NamedArgs{"from": p.Received, "full": kept.FullSHA256, "thumb": kept.ThumbSHA256,
		"width": kept.Width, "height": kept.Height}, keepPhoto, deleteParts)
}

const refusePhoto = `
	update photos
	set state = 'refused',
		reason = @reason,
		settled_at = @now` + ownWaiting

// RefusePhoto says that what arrived is no photo that can be kept, and lets go of its
// parts. Errors: as KeepPhoto.
func (s *Store) RefusePhoto(ctx context.Context, v account.Viewer, p Photo, reason string) error {
	return s.changePhoto(ctx, v, p, pgx.NamedArgs{"from": p.Received, "reason": reason}, refusePhoto, deleteParts)
}

const restartPhoto = `
	update photos
	set received = 0` + ownWaiting

// RestartPhoto lets go of what has arrived, so that it is sent again. Errors: as KeepPhoto.
func (s *Store) RestartPhoto(ctx context.Context, v account.Viewer, p Photo) error {
	return s.changePhoto(ctx, v, p, pgx.NamedArgs{"from": p.Received}, restartPhoto, deleteParts)
}

// changePhoto runs a change of one photo's row, and what goes with it when the row was as
// expected.
func (s *Store) changePhoto(ctx context.Context, v account.Viewer, p Photo, more pgx.NamedArgs, change, then string) (err error) {
	defer fault.In(&err, "changing photo", p.ID, "of job", p.JobID)
	return s.inCompany(ctx, v.CompanyID, toWrite, func(w *work) error {
		args := readArgs(v, pgx.NamedArgs{"job": p.JobID, "photo": p.ID, "now": w.now})
		for name, value := range more {
			args[name] = value
		}
		var changed int
		b := w.batch()
		b.one(errMoved(), change+` returning 1`, args, &changed)
		if err := w.send(ctx, b); err != nil {
			return err
		}
		b = w.batch()
		b.exec(then, args)
		b.commit()
		return w.send(ctx, b)
	})
}
