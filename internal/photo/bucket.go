package photo

import (
	"bytes"
	"context"
	"crypto/tls"
	"fmt"
	"net/http"
	"net/url"
	"path"
	"time"

	"github.com/minio/minio-go/v7"
	"github.com/minio/minio-go/v7/pkg/credentials"

	"longpoint/internal/fault"
)

// BucketConfig says which bucket of an S3-compatible service to keep photos in.
type BucketConfig struct {
	// Endpoint is the service's address, https://host or http://host:port.
	Endpoint string
	Bucket   string
	// Region may be empty where the service has none.
	Region string
	// Prefix is put before every key, for a bucket that holds other things too.
	Prefix            string
	AccessKey, Secret string
}

// Bucket is storage in a bucket of an S3-compatible service.
type Bucket struct {
	client *minio.Client
	cfg    BucketConfig
}

var _ Storage = (*Bucket)(nil)

// Times of one question to the service: a photo is under a megabyte.
const (
	bucketDial   = 5 * time.Second
	bucketAnswer = 15 * time.Second
)

// OpenBucket makes the storage. It asks nothing yet; Check does.
//
// Errors: invalid for settings that cannot be.
func OpenBucket(cfg BucketConfig) (*Bucket, error) {
	u, err := url.Parse(cfg.Endpoint)
	if err != nil || u.Scheme != "https" && u.Scheme != "http" || u.Host == "" || u.User != nil {
		return nil, fault.Because(fault.Invalid, "The photo storage's address cannot be read: write it like https://objects.example.com.", err)
	}
	if cfg.Bucket == "" || cfg.AccessKey == "" || cfg.Secret == "" {
		return nil, fault.New(fault.Invalid, "The photo storage needs a bucket, an access key and a secret key.")
	}
	t := http.DefaultTransport.(*http.Transport).Clone()
	t.TLSClientConfig = &tls.Config{MinVersion: tls.VersionTLS12}
	t.ResponseHeaderTimeout = bucketAnswer
	t.TLSHandshakeTimeout = bucketDial
	t.DisableCompression = true // or a stored length would not be the length given
	client, err := minio.New(u.Host, &minio.Options{
		Creds:        credentials.NewStaticV4(cfg.AccessKey, cfg.Secret, ""),
		Secure:       u.Scheme == "https",
		Region:       cfg.Region,
		BucketLookup: minio.BucketLookupPath,
		Transport:    t,
		MaxRetries:   3,
	})
	if err != nil {
		return nil, fault.Because(fault.Invalid, "The photo storage's settings cannot be used.", err)
	}
	return &Bucket{client, cfg}, nil
}

// Close lets go of idle connections.
func (s *Bucket) Close() error { return nil }

func (s *Bucket) name(key string) string { return path.Join(s.cfg.Prefix, key) }

// Put uploads in one request, which S3 stores whole or not at all.
func (s *Bucket) Put(ctx context.Context, key string, data []byte) (err error) {
	defer fault.In(&err, "keeping", key)
	if err := checkKey(key); err != nil {
		return err
	}
	_, err = s.client.PutObject(ctx, s.cfg.Bucket, s.name(key), bytes.NewReader(data), int64(len(data)),
		minio.PutObjectOptions{ContentType: "image/jpeg", DisableMultipart: true})
	return translateS3(err)
}

// Open asks for the object's size; its bytes come as they are read.
func (s *Bucket) Open(ctx context.Context, key string) (_ Object, err error) {
	defer fault.In(&err, "opening", key)
	if err := checkKey(key); err != nil {
		return nil, err
	}
	o, err := s.client.GetObject(ctx, s.cfg.Bucket, s.name(key), minio.GetObjectOptions{})
	if err != nil {
		return nil, translateS3(err)
	}
	i, err := o.Stat()
	if err != nil {
		_ = o.Close()
		return nil, translateS3(err)
	}
	return object{o, i.Size}, nil
}

// object is an object being read, with its size.
type object struct {
	*minio.Object
	size int64
}

func (o object) Size() int64 { return o.size }

// Remove deletes the object of a key.
func (s *Bucket) Remove(ctx context.Context, key string) (err error) {
	defer fault.In(&err, "removing", key)
	if err := checkKey(key); err != nil {
		return err
	}
	err = translateS3(s.client.RemoveObject(ctx, s.cfg.Bucket, s.name(key), minio.RemoveObjectOptions{}))
	if fault.Is(err, fault.NotFound) {
		return nil
	}
	return err
}

// Check tries the bucket out.
func (s *Bucket) Check(ctx context.Context) error { return checkRound(ctx, s) }

func translateS3(err error) error {
	if err == nil {
		return nil
	}
	switch r := minio.ToErrorResponse(err); {
	case r.Code == "NoSuchKey" || r.Code == "NoSuchObject":
		return errGone(err)
	case r.Code == "NoSuchBucket" || r.StatusCode == http.StatusForbidden || r.StatusCode == http.StatusBadRequest:
		// The settings are wrong; trying again does not help.
		return fault.Because(fault.Internal, "", fmt.Errorf("the photo storage refused: %w", err))
	}
	return errStorage(err)
}
