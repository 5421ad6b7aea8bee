package account

import (
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"time"

	"github.com/alexedwards/scs/v2"
)

// What a session holds; everything else about a request is in the request or in the store.
const (
	sessionPerson = "person"
	sessionDevice = "device" // said once, when it begins
	sessionLost   = "lost"   // the lost phone it is on, as the store finds it
)

// Device is the phone or the browser somebody signs in on, as it calls itself.
type Device struct {
	ID   string `json:"id,omitempty"`
	Name string `json:"name,omitempty"`
}

// Session is one device a person is signed in on, as they are shown it.
type Session struct {
	ID         string
	DeviceID   string // empty when it did not say
	DeviceName string
	CreatedAt  time.Time
	LastSeenAt time.Time
	TokenHash  string // to tell which one asks
}

// NewSessions makes the session manager over a store. Only a hash of a token is stored, so
// that a copy of the database signs nobody in. The cookie's name and the lifetime are the
// caller's to set before use.
//
// The manager is put together here: scs.New starts a store in memory whose goroutine cannot
// be stopped for certain. The zero key it keeps a request's session under is its own type,
// and the program has one manager.
func NewSessions(store scs.CtxStore) *scs.SessionManager {
	return &scs.SessionManager{
		Lifetime:         24 * time.Hour,
		Store:            store,
		Codec:            SessionCodec{},
		HashTokenInStore: true,
		ErrorFunc: func(w http.ResponseWriter, _ *http.Request, _ error) {
			http.Error(w, http.StatusText(http.StatusInternalServerError), http.StatusInternalServerError)
		},
		Cookie: scs.SessionCookie{Name: "session", Path: "/", HttpOnly: true, SameSite: http.SameSiteLaxMode, Persist: true},
	}
}

// Remember signs the person in: from now on the session is theirs, under a new token, so
// that one planted before the sign-in is worth nothing. on is the device they are at.
func Remember(ctx context.Context, m *scs.SessionManager, p Person, on Device) error {
	if err := m.RenewToken(ctx); err != nil {
		return fmt.Errorf("renewing the session's token: %w", err)
	}
	m.Put(ctx, sessionPerson, p)
	m.Put(ctx, sessionDevice, on)
	return nil
}

// SignedIn returns whose session the request has. The person is as the store has them now,
// not as they were at sign-in: a changed role counts from the next request on.
func SignedIn(ctx context.Context, m *scs.SessionManager) (Person, bool) {
	p, ok := m.Get(ctx, sessionPerson).(Person)
	return p, ok
}

// OnLostPhone returns the lost phone that the request's session is on; empty is none.
func OnLostPhone(ctx context.Context, m *scs.SessionManager) string {
	return m.GetString(ctx, sessionLost)
}

// SessionCodec writes a session's deadline and person as JSON between the manager and its
// store, which keeps them in columns.
type SessionCodec struct{}

type sessionRecord struct {
	Deadline time.Time `json:"deadline"`
	Person   *Person   `json:"person,omitempty"`
	Device   *Device   `json:"device,omitempty"`
	Lost     string    `json:"lost,omitempty"`
}

// Encode refuses values other than person and device, which the store would have no column for.
func (SessionCodec) Encode(deadline time.Time, values map[string]any) ([]byte, error) {
	record := sessionRecord{Deadline: deadline}
	for key, value := range values {
		switch v := value.(type) {
		case Person:
			record.Person = &v
		case Device:
			record.Device = &v
		case string:
			record.Lost = v
		default:
			return nil, fmt.Errorf("session value %q (%T): sessions hold a person, a device and a lost phone only", key, value)
		}
	}
	return json.Marshal(record)
}

// Decode is the way back.
func (SessionCodec) Decode(b []byte) (time.Time, map[string]any, error) {
	var record sessionRecord
	if err := json.Unmarshal(b, &record); err != nil || record.Person == nil {
		return record.Deadline, map[string]any{}, err
	}
	values := map[string]any{sessionPerson: *record.Person}
	if record.Lost != "" {
		values[sessionLost] = record.Lost
	}
	return record.Deadline, values, nil
}

// EncodeSession writes a stored session for the manager, with the lost phone it is on, if it is.
func EncodeSession(deadline time.Time, p Person, lost string) ([]byte, error) {
	return json.Marshal(sessionRecord{Deadline: deadline, Person: &p, Lost: lost})
}

// DecodeSession reads what the manager hands the store. The person is nil for somebody who
// has not signed in; the device is there only when the session begins.
func DecodeSession(b []byte) (deadline time.Time, p *Person, on Device, err error) {
	var record sessionRecord
	if err := json.Unmarshal(b, &record); err != nil {
		return time.Time{}, nil, Device{}, fmt.Errorf("reading a session: %w", err)
	}
	if record.Device != nil {
		on = *record.Device
	}
	return record.Deadline, record.Person, on, nil
}
