package httpapi_test

import (
	"net/http"
	"strings"
	"testing"

	"longpoint/internal/app"
	"longpoint/internal/httpapi"
	"longpoint/internal/push"
)

// The keys of RFC 8291's example.
var subscription = map[string]any{"endpoint": "https://push.example/abc", "p256dh": "BCVxsr7N_eNgVRqvHtD0zTZsEc6-VV-JvLexhqUzORcxaOzi6-AYWXvTBHm4bjyPjs7Vd8pZGH6SRpkNtoIAiw4", "auth": "BTBZMqHH6r4Tts7J_aSIgg"}

// A phone is told of work for as long as its session lasts, when its owner turned it on there.
func TestAPhoneTakesMessages(t *testing.T) {
	t.Parallel()
	b := setup(t, func(c *app.Config) {
		c.Push = push.Config{Key: "yfWPiYE-n46HLnH0KqZOF1fJJU3MYrct3AELtAQ-oRw", Contact: "jobs@trim.example"}
	})
	bo := b.as(b.ours.installer)
	stands := func() (v httpapi.PushView) {
		t.Helper()
		bo.get("/api/v1/push").want(http.StatusOK).into(&v)
		return v
	}
	// The public half of the key, as RFC 8291 prints it.
	if v := stands(); v.Endpoint != "" || v.Key != "BP4z9KsN6nGRTbVYI_c7VJSPQTBtkgcy27mlmlMoZIIgDll6e3vCYLocInmYWAmS6TlzAC8wEqKK6PBru3jl7A8" {
		t.Errorf("before: got %+v, want it off and the service's key", v)
	}
	put := func(change string, to any) answer {
		body := map[string]any{}
		for k, v := range subscription {
			body[k] = v
		}
		if change != "" {
			body[change] = to
		}
		return bo.do(http.MethodPut, "/api/v1/push", encode(t, body), nil)
	}
	for change, to := range map[string]any{"endpoint": "http://push.example/", "p256dh": strings.Repeat("A", 87), "auth": strings.Repeat("+", 22)} {
		put(change, to).refused(http.StatusUnprocessableEntity, "invalid")
	}
	put("", nil).want(http.StatusOK)
	if v := stands(); v.Endpoint != subscription["endpoint"] || v.Trouble != "" {
		t.Errorf("turned on: got %+v", v)
	}
	bo.do(http.MethodDelete, "/api/v1/push", nil, nil).want(http.StatusNoContent)
	if v := stands(); v.Endpoint != "" {
		t.Errorf("turned off: got %+v", v)
	}
	if log := b.log.String(); strings.Contains(log, "push.example") || strings.Contains(log, "BTBZMqHH6r4Tts7J_aSIgg") {
		t.Error("the log holds a phone's address or secret")
	}
}

func TestAServiceWithoutAKeyTellsPhonesNothing(t *testing.T) {
	t.Parallel()
	b := setup(t)
	bo := b.as(b.ours.installer)
	var v httpapi.PushView
	bo.get("/api/v1/push").want(http.StatusOK).into(&v)
	if v != (httpapi.PushView{}) {
		t.Errorf("got %+v, want nothing", v)
	}
	bo.do(http.MethodPut, "/api/v1/push", encode(t, subscription), nil).refused(http.StatusUnprocessableEntity, "invalid")
}
