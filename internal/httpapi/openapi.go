package httpapi

import (
	"context"
	"encoding/json"
	"net/http"
	"reflect"

	"github.com/danielgtaylor/huma/v2"
	"github.com/danielgtaylor/huma/v2/adapters/humachi"
	"github.com/go-chi/chi/v5"

	"longpoint/internal/joblog"
)

// signedIn is the name of the one way to sign in that the description knows.
const signedIn = "session"

func newAPI(r chi.Router, spoken huma.Transformer) huma.API {
	registry := huma.NewMapRegistry("#/components/schemas/", schemaName)
	return humachi.New(r, huma.Config{
		OpenAPI: &huma.OpenAPI{
			OpenAPI: "3.1.0",
			Info: &huma.Info{
				Title:       "Longpoint",
				Version:     openAPIVersion,
				Description: "The job log of a finish-carpentry crew. Lengths are whole nanometers (1 in = 25 400 000 nm). Everything refused is answered with problem details (RFC 9457).",
			},
			Components: &huma.Components{
				Schemas: registry,
				SecuritySchemes: map[string]*huma.SecurityScheme{
					signedIn: {Type: "apiKey", In: "cookie", Name: cookieName, Description: "Set by signing in"},
				},
			},
			Security: []map[string][]string{{signedIn: {}}},
		},
		Formats: map[string]huma.Format{
			"application/json": huma.DefaultJSONFormat,
			"json":             huma.DefaultJSONFormat,
		},
		DefaultFormat: "application/json",
		Transformers:  []huma.Transformer{spoken},
	})
}

// registerOpenAPI serves the description. It is complete by then and does not change.
func registerOpenAPI(api huma.API) {
	var document []byte
	huma.Register(api, huma.Operation{
		OperationID: "get-openapi", Method: http.MethodGet, Path: prefix + "/openapi.json", Hidden: true,
	}, func(context.Context, *struct{}) (*huma.StreamResponse, error) {
		return &huma.StreamResponse{Body: func(ctx huma.Context) {
			ctx.SetHeader("Content-Type", "application/json")
			ctx.SetHeader("Cache-Control", "no-cache")
			_, _ = ctx.BodyWriter().Write(document)
		}}, nil
	})
	document, _ = marshalOpenAPI(api)
}

func marshalOpenAPI(api huma.API) ([]byte, error) { return json.MarshalIndent(api.OpenAPI(), "", "  ") }

// OpenAPI is the description of the API, made from its handlers.
func OpenAPI() ([]byte, error) { return marshalOpenAPI(New(Config{Sessions: detached()}).api) }

// schemaName tells apart a room as a job's log has made it and a room's walls.
func schemaName(t reflect.Type, hint string) string {
	if t == reflect.TypeFor[joblog.Room]() || t == reflect.TypeFor[*joblog.Room]() {
		return "JobRoom"
	}
	return huma.DefaultSchemaNamer(t, hint)
}

// operation starts the description of one operation.
func operation(id, method, path, summary string) huma.Operation {
	return huma.Operation{OperationID: id, Method: method, Path: prefix + path, Summary: summary}
}

// public marks an operation that needs no sign-in.
func public(op huma.Operation) huma.Operation {
	op.Security = []map[string][]string{}
	return op
}

// add registers an operation whose handler returns faults.
func add[I, O any](s *Server, op huma.Operation, do func(context.Context, *I) (*O, error)) {
	open := op.Security != nil
	huma.Register(s.api, op, func(ctx context.Context, in *I) (*O, error) {
		if !open {
			if _, err := s.viewer(ctx); err != nil {
				return nil, s.refuse(ctx, err)
			}
			if err := s.checkLostPhone(ctx, op.Method, op.OperationID); err != nil {
				return nil, s.refuse(ctx, err)
			}
		}
		out, err := do(ctx, in)
		if err != nil {
			return nil, s.refuse(ctx, err)
		}
		return out, nil
	})
}
