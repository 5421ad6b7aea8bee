package app

import (
	"context"
	"errors"
	"fmt"

	"longpoint/internal/account"
	"longpoint/internal/fault"
	"longpoint/internal/httpapi"
	"longpoint/internal/photo"
	"longpoint/internal/postgres"
)

// PhotoConfig says where photos are kept: in a folder, or in a bucket where one is named.
type PhotoConfig struct {
	Dir    string
	Bucket photo.BucketConfig
}

// closable is a storage that is let go of at the end.
type closable interface {
	photo.Storage
	Close() error
}

// openPhotos opens the storage; nil where none is named.
//
// Errors are a *Problem.
func openPhotos(cfg PhotoConfig) (closable, error) {
	if cfg.Bucket.Endpoint != "" {
		s, err := photo.OpenBucket(cfg.Bucket)
		if err != nil {
			return nil, problem(err, "%s Set LONGPOINT_S3_ENDPOINT, LONGPOINT_S3_BUCKET, LONGPOINT_S3_ACCESS_KEY and LONGPOINT_S3_SECRET_KEY.", fault.SentenceOf(err))
		}
		return s, nil
	}
	if cfg.Dir == "" {
		return nil, nil
	}
	s, err := photo.OpenFolder(cfg.Dir)
	if err != nil {
		return nil, problem(err, "Photos cannot be kept in %s (%v): set LONGPOINT_PHOTO_DIR to a folder this user may write to.", cfg.Dir, err)
	}
	return s, nil
}

// CheckPhotos tries the storage out: it puts, reads and removes something. where is the
// storage in words.
//
// Errors are a *Problem.
func CheckPhotos(ctx context.Context, cfg PhotoConfig) (where string, err error) {
	where = "the folder " + cfg.Dir
	if cfg.Bucket.Endpoint != "" {
		where = "the bucket " + cfg.Bucket.Bucket + " at " + cfg.Bucket.Endpoint
	}
	s, err := openPhotos(cfg)
	if err != nil {
		return where, err
	}
	if s == nil {
		return "", problem(nil, "No photo storage is named: set LONGPOINT_PHOTO_DIR to a folder, or LONGPOINT_S3_ENDPOINT to a service.")
	}
	defer func() { err = errors.Join(err, s.Close()) }()
	if err := s.Check(ctx); err != nil {
		return where, problem(err, "Photos cannot be kept in %s (%v): set it right, or name another in LONGPOINT_PHOTO_DIR or LONGPOINT_S3_ENDPOINT.", where, rootOf(err))
	}
	return where, nil
}

// rootOf is what went wrong in the end, without what each layer said about it.
func rootOf(err error) error {
	for {
		next := errors.Unwrap(err)
		if next == nil {
			return err
		}
		err = next
	}
}

// photos keeps what the log names: parts and what became of them in the database, whole
// pictures in the storage.
type photos struct {
	pg      *postgres.Store
	storage photo.Storage
	ingest  *photo.Ingester
}

var _ httpapi.Photos = (*photos)(nil)

func newPhotos(pg *postgres.Store, storage photo.Storage) *photos {
	return &photos{pg, storage, photo.NewIngester()}
}

func line(p postgres.Photo) httpapi.PhotoLine {
	return httpapi.PhotoLine{PhotoID: p.ID, ItemID: p.ItemID, RoomID: p.RoomID, PersonID: p.PersonID, State: string(p.State),
		Reason: p.Reason, Sentence: photo.Reason(p.Reason).Sentence(), Received: p.Received, Bytes: p.Bytes, Width: p.Width, Height: p.Height, Settled: p.SettledAt}
}

func (k *photos) Photos(ctx context.Context, v account.Viewer, job string) ([]httpapi.PhotoLine, error) {
	all, err := k.pg.Photos(ctx, v, job)
	if err != nil {
		return nil, err
	}
	out := make([]httpapi.PhotoLine, 0, len(all))
	for _, p := range all {
		out = append(out, line(p))
	}
	return out, nil
}

func (k *photos) Picture(ctx context.Context, v account.Viewer, job, id string, small bool) (httpapi.Picture, error) {
	p, err := k.pg.Photo(ctx, v, job, id)
	if err != nil {
		return httpapi.Picture{}, err
	}
	if p.State != postgres.PhotoStored {
		return httpapi.Picture{}, fault.New(fault.Conflict, "The photo is not all here yet.")
	}
	hash := p.FullSHA256
	if small {
		hash = p.ThumbSHA256
	}
	o, err := k.storage.Open(ctx, photo.KeyOf(v.CompanyID, hash))
	if err != nil {
		return httpapi.Picture{}, err
	}
	return httpapi.Picture{ReadSeekCloser: o, Tag: hash}, nil
}

func (k *photos) Upload(ctx context.Context, v account.Viewer, job, id string) (httpapi.PhotoLine, error) {
	p, err := k.pg.OwnPhoto(ctx, v, job, id)
	return line(p), err
}

// Append keeps a part. The last one is not kept as a part: with it the photo is made ready
// and stored, and only then counted, so that whatever fails in between, the device sends
// that part once more.
func (k *photos) Append(ctx context.Context, v account.Viewer, job, id string, from int64, content []byte) (httpapi.PhotoLine, error) {
	p, err := k.pg.OwnPhoto(ctx, v, job, id)
	if err != nil {
		return httpapi.PhotoLine{}, err
	}
	end := from + int64(len(content))
	switch {
	case p.State != postgres.PhotoWaiting || p.Received != from:
		return line(p), fault.New(fault.Conflict, "Another part of this photo arrived meanwhile. Ask how far it is.")
	case end > p.Bytes:
		return line(p), fault.New(fault.TooLarge, "That is more than the photo has.")
	case end < p.Bytes:
		err = k.pg.AddPhotoPart(ctx, v, p, from, content)
	default:
		err = k.complete(ctx, v, p, content)
	}
	if err != nil {
		return line(p), err
	}
	p, err = k.pg.OwnPhoto(ctx, v, job, id)
	return line(p), err
}

func (k *photos) complete(ctx context.Context, v account.Viewer, p postgres.Photo, last []byte) error {
	data, err := k.pg.PhotoParts(ctx, v, p)
	if err != nil {
		return err
	}
	if int64(len(data)) != p.Received {
		return fault.Because(fault.Internal, "", fmt.Errorf("photo %s: %d bytes in parts, %d counted", p.ID, len(data), p.Received))
	}
	data = append(data, last...)
	if photo.Hash(data) != p.SHA256 {
		if err := k.pg.RestartPhoto(ctx, v, p); err != nil {
			return err
		}
		return photo.Refuse(photo.Changed, nil)
	}
	ready, err := k.ingest.Take(ctx, data)
	if why := photo.ReasonOf(err); why != "" {
		if storeErr := k.pg.RefusePhoto(ctx, v, p, string(why)); storeErr != nil {
			return storeErr
		}
		return err
	}
	if err != nil {
		return fault.Because(fault.Unavailable, "Many photos arrive at once. Try again in a moment.", err)
	}
	for hash, b := range map[string][]byte{ready.FullHash: ready.Full, ready.ThumbHash: ready.Thumb} {
		if err := k.storage.Put(ctx, photo.KeyOf(v.CompanyID, hash), b); err != nil {
			return err
		}
	}
	return k.pg.KeepPhoto(ctx, v, p, postgres.KeptPhoto{FullSHA256: ready.FullHash, ThumbSHA256: ready.ThumbHash,
		Width: int64(ready.Width), Height: int64(ready.Height)})
}

// deliver brings a whole photo at once, for the demonstration.
func (k *photos) deliver(ctx context.Context, v account.Viewer, job, id string, data []byte) error {
	_, err := k.Append(ctx, v, job, id, 0, data)
	return err
}
