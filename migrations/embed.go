// Package migrations holds the database's schema as numbered steps, each with its way back, and runs them.
package migrations

import "embed"

// FS holds every NNNN_name.up.sql with its NNNN_name.down.sql.
//
//go:embed *.sql
var FS embed.FS
