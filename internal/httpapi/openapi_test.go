package httpapi_test

import (
	"context"
	"encoding/json"
	"slices"
	"strings"
	"testing"

	"github.com/getkin/kin-openapi/openapi3"

	"longpoint/internal/httpapi"
)

// The description is checked by a library other than the one that made it.
func TestTheDescriptionIsOpenAPI31(t *testing.T) {
	t.Parallel()
	doc, err := description()
	if err != nil {
		t.Fatalf("loading: %v", err)
	}
	if !strings.HasPrefix(doc.OpenAPI, "3.1") {
		t.Errorf("version: got %s, want 3.1", doc.OpenAPI)
	}
	if err := doc.Validate(context.Background(), openapi3.EnableSchemaPatternValidation()); err != nil {
		t.Errorf("validating: %v", err)
	}
	for path, item := range doc.Paths.Map() {
		for method, op := range item.Operations() {
			if op.OperationID == "" || op.Summary == "" {
				t.Errorf("%s %s: want an id and a summary", method, path)
			}
			if op.Responses.Default() == nil || op.Responses.Default().Value.Content["application/problem+json"] == nil {
				t.Errorf("%s %s: want problem details for everything else", method, path)
			}
		}
	}
}

func TestTheSchemas(t *testing.T) {
	t.Parallel()
	b, err := httpapi.OpenAPI()
	if err != nil {
		t.Fatal(err)
	}
	type schema struct {
		Type       any
		Format     string
		Enum       []any
		Ref        string `json:"$ref"`
		Properties map[string]schema
		Required   []string
	}
	var doc struct {
		Components struct{ Schemas map[string]schema }
	}
	if err := json.Unmarshal(b, &doc); err != nil {
		t.Fatal(err)
	}
	schemas := doc.Components.Schemas
	take := schemas["TakeView"]
	for _, name := range []string{"command_id", "seq", "person_id", "at", "reading", "value", "text"} { // two embedded structs deep
		if _, ok := take.Properties[name]; !ok {
			t.Errorf("TakeView: want %s beside its own properties, as JSON has it", name)
		}
	}
	if v := take.Properties["value"]; v.Type != "integer" || v.Format != "int64" {
		t.Errorf("a length: got %v %s, want integer int64", v.Type, v.Format)
	}
	if kinds := schemas["Command"].Properties["kind"].Enum; !slices.Contains(kinds, any("tick_stage")) || !slices.Contains(kinds, any("take_reading")) {
		t.Errorf("kinds of command: got %v, want tick_stage and take_reading among them", kinds)
	}
	if got := schemas["SignIn"].Required; strings.Join(got, " ") != "sign_in passphrase" {
		t.Errorf("signing in requires %v, want sign_in and passphrase", got)
	}
	if strings.Contains(string(b), `"$schema"`) || strings.Contains(string(b), `"null"`) {
		t.Error("want no $schema property and nothing that may be null")
	}
}
