package httpapi_test

import (
	"net/http"
	"strings"
	"testing"

	"longpoint/internal/httpapi"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
)

// TestAPersonReadsAsTheyChoose changes a person's language and unit: from the next request on
// every sentence and length of theirs comes so, and nobody else's does.
func TestAPersonReadsAsTheyChoose(t *testing.T) {
	t.Parallel()
	b := setup(t)
	h := buildHouse(b, b.ours, "Sill Street")
	bo, ines := b.as(b.ours.installer), b.as(b.ours.lead)
	var me httpapi.Me
	bo.put("/api/v1/session/settings", map[string]any{"language": "es", "unit": "mm"}).want(http.StatusOK).into(&me)
	if me.Language != "es" || me.Unit != length.Millimeters || me.Name != "Bo" {
		t.Errorf("answered %+v", me)
	}
	bo.get("/api/v1/session").want(http.StatusOK).into(&me)
	if me.Language != "es" || me.Unit != length.Millimeters {
		t.Errorf("the session has %+v", me)
	}
	want := func(c *client, label, sentence string, unit length.Unit) {
		t.Helper()
		v := c.item(h)
		if got := v.Stages[0].Label; got != label || v.Unit != unit || !strings.HasPrefix(v.Next.Sentence, sentence) {
			t.Errorf("got %s, %s and %q, want %s, %s and %q", got, v.Unit, v.Next.Sentence, label, unit, sentence)
		}
	}
	want(bo, "medidas", "Falta tomar ", length.Millimeters)
	want(ines, "measured", "The ", length.Inches)
	if got := bo.get("/api/v1/jobs/"+newID()).refused(http.StatusNotFound, "not_found").Detail; got != "No existe esa obra." {
		t.Errorf("a problem reads %q", got)
	}
	if got := ines.get("/api/v1/jobs/"+newID()).refused(http.StatusNotFound, "not_found").Detail; got != "There is no such job." {
		t.Errorf("a problem reads %q", got)
	}
	out := bo.send(h, joblog.Command{Kind: joblog.TickStageKind, ItemID: h.item, TickStage: &joblog.TickStage{Stage: "painted"}})
	if got := out.Outcomes[0].Findings[0].Sentence; !strings.HasPrefix(got, "La pintura va después ") {
		t.Errorf("a refusal reads %q", got)
	}
	bo.put("/api/v1/session/settings", map[string]any{"language": "fr", "unit": "mm"}).refused(http.StatusUnprocessableEntity, "invalid")
	b.client().put("/api/v1/session/settings", map[string]any{"language": "es", "unit": "mm"}).refused(http.StatusUnauthorized, "unauthorized")
}

// TestWhoSignsInIsAnsweredInTheirLanguage has nobody signed in: the browser says which.
func TestWhoSignsInIsAnsweredInTheirLanguage(t *testing.T) {
	t.Parallel()
	c := setup(t).client()
	for accept, want := range map[string]string{
		"es-US,es;q=0.9,en;q=0.5": "El nombre o la frase de acceso no es correcto.",
		"en-US":                   "The name or the passphrase is not right.",
		"fr":                      "The name or the passphrase is not right.",
	} {
		body := encode(t, map[string]any{"sign_in": newID(), "passphrase": "not this one at all"})
		p := c.do(http.MethodPost, "/api/v1/session", body, http.Header{"Accept-Language": {accept}}).refused(http.StatusUnauthorized, "unauthorized")
		if p.Detail != want {
			t.Errorf("%s is answered %q, want %q", accept, p.Detail, want)
		}
	}
}
