package httpapi_test

import (
	"net/http"
	"strings"
	"testing"

	"longpoint/internal/app"
	"longpoint/internal/httpapi"
	"longpoint/internal/mail"
	"longpoint/internal/message"
)

func messagesOf(h house) (got httpapi.MessageList) {
	h.lead.t.Helper()
	h.lead.get("/api/v1/messages?job=" + h.job).want(http.StatusOK).into(&got)
	return got
}

// A walkthrough opened with an address is written about, and the list says to whom and not what.
func TestAWalkIsWrittenAbout(t *testing.T) {
	t.Parallel()
	sink, err := mail.OpenSink(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = sink.Close() })
	b := setup(t, func(c *app.Config) {
		c.Mail = mail.Config{URL: sink.URL(), From: "Longpoint <jobs@trim.example>"}
	})
	h := buildHouse(b, b.ours, "Sill Street")
	for _, email := range []string{"ada", "ada@example.com\r\nBcc: eve@example.com", "Ada <ada@example.com>"} {
		body := map[string]any{"guest_name": "Ada Brandt", "language": "en", "address": walkAddress, "email": email}
		h.lead.post(h.path("/walks"), body).refused(http.StatusUnprocessableEntity, "invalid")
	}
	link := openWalk(b, h, map[string]any{"email": "ada@example.com", "lead_email": "lead@example.com"})
	got := messagesOf(h)
	if !got.Mail || len(got.Messages) != 1 || got.Messages[0].Kind != message.WalkReady || got.Messages[0].Email != "ada@example.com" || got.Messages[0].AboutID != link.WalkID {
		t.Errorf("got %+v, want the link on its way to Ada", got)
	}
	if a := h.lead.get("/api/v1/messages"); strings.Contains(string(a.body), secretOf(t, link)) {
		t.Error("the list holds the link's secret")
	}
	b.as(b.ours.installer).get("/api/v1/messages").refused(http.StatusForbidden, "forbidden")
	if log := b.log.String(); strings.Contains(log, "ada@example.com") || strings.Contains(log, secretOf(t, link)) {
		t.Error("the log holds an address or the secret")
	}
}

// Without a mail server there is a link all the same, no message, and the screen is told so.
func TestWithoutEMailNothingIsWritten(t *testing.T) {
	t.Parallel()
	b := setup(t)
	h := buildHouse(b, b.ours, "Sill Street")
	link := openWalk(b, h, map[string]any{"email": "ada@example.com"})
	if got := messagesOf(h); got.Mail || len(got.Messages) != 0 || link.Link == "" {
		t.Errorf("got %+v, want no message and the link %q", got, link.Link)
	}
}
