package photo

import (
	"context"
	"io"
	"regexp"
	"time"

	"longpoint/internal/fault"
)

// Storage keeps bytes under keys (KeyOf). What is under a key never changes: the key holds
// the hash of it. Implementations are safe for concurrent use, by several programs too.
//
// Errors are faults: not_found; unavailable when the storage does not answer; internal.
type Storage interface {
	// Put keeps data under key, whole or not at all, and returns when it would outlive a
	// power cut. The same again does nothing.
	Put(ctx context.Context, key string, data []byte) error
	// Open reads what is under key. Close the object when done. Errors: not_found.
	Open(ctx context.Context, key string) (Object, error)
	// Remove takes away what is under key; what is not there is gone already.
	Remove(ctx context.Context, key string) error
	// Check puts, reads and removes something, to say whether the storage can be used.
	Check(ctx context.Context) error
}

// Object is what is kept under one key.
type Object interface {
	io.ReadSeekCloser
	Size() int64
}

// KeyOf is where bytes of a company are kept: by company, so that one company's can be
// counted, moved or deleted, and so that nobody learns from a key being taken that another
// company has the same photo.
func KeyOf(company, hash string) string { return company + "/" + hash[:2] + "/" + hash + ".jpg" }

// keyForm is every key there is; anything else is a mistake of ours and never reaches a file
// system.
var keyForm = regexp.MustCompile(`^[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}/[0-9a-f]{2}/[0-9a-f]{64}\.jpg$`)

func checkKey(key string) error {
	if !keyForm.MatchString(key) {
		return fault.New(fault.Internal, "a key of another form: "+key)
	}
	return nil
}

func errGone(cause error) error {
	return fault.Because(fault.NotFound, "There is no such photo.", cause)
}

func errStorage(cause error) error {
	return fault.Because(fault.Unavailable, "The photo storage does not answer. Try again in a moment.", cause)
}

// checkRound is Check for any storage.
func checkRound(ctx context.Context, s Storage) error {
	// A key of no company; its content differs each time, so that a stale answer shows.
	data := []byte("longpoint checks its photo storage " + time.Now().Format(time.RFC3339Nano))
	key := KeyOf("00000000-0000-0000-0000-000000000000", Hash(data))
	if err := s.Put(ctx, key, data); err != nil {
		return err
	}
	o, err := s.Open(ctx, key)
	if err != nil {
		return err
	}
	got, err := io.ReadAll(o)
	_ = o.Close()
	if err != nil {
		return errStorage(err)
	}
	if Hash(got) != Hash(data) {
		return fault.New(fault.Internal, "the photo storage gave back other bytes than it was given")
	}
	return s.Remove(ctx, key)
}
