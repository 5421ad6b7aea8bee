// Package request carries a request's number with its context, from the door to the log and to SQL.
package request

import "context"

type key struct{}

// With returns a context that belongs to the request with this number.
func With(ctx context.Context, id string) context.Context { return context.WithValue(ctx, key{}, id) }

// ID is the number of the request that ctx belongs to, "" where it belongs to none.
func ID(ctx context.Context) string {
	id, _ := ctx.Value(key{}).(string)
	return id
}
