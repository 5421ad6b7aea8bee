package phototest

import (
	"io"
	"net/http"

	"github.com/johannesboyne/gofakes3"
	"github.com/johannesboyne/gofakes3/backend/s3mem"
)

// Objects is an S3-compatible service that keeps what it is given in memory, in one bucket.
type Objects struct {
	http.Handler
	backend gofakes3.Backend
	bucket  string
}

// NewObjects makes the service and its bucket. It asks nobody for a key.
func NewObjects(bucket string) (*Objects, error) {
	backend := s3mem.New()
	if err := backend.CreateBucket(bucket); err != nil {
		return nil, err
	}
	return &Objects{gofakes3.New(backend, gofakes3.WithLogger(gofakes3.DiscardLog())).Server(), backend, bucket}, nil
}

// All is every object by its name.
func (o *Objects) All() (map[string][]byte, error) {
	list, err := o.backend.ListBucket(o.bucket, &gofakes3.Prefix{}, gofakes3.ListBucketPage{})
	if err != nil {
		return nil, err
	}
	all := make(map[string][]byte, len(list.Contents))
	for _, c := range list.Contents {
		object, err := o.backend.GetObject(o.bucket, c.Key, nil)
		if err != nil {
			return nil, err
		}
		all[c.Key], err = io.ReadAll(object.Contents)
		_ = object.Contents.Close()
		if err != nil {
			return nil, err
		}
	}
	return all, nil
}
