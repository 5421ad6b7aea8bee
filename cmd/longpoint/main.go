// Command longpoint is the one program: the service, its database's keeper, and the
// calculator.
//
// Exit codes: 0 done; 1 refused or failed, with one sentence on standard error; 2 the
// command line itself is wrong.
package main

import (
	"context"
	"os"
	"os/signal"
	"runtime/debug"
	"strings"
	"syscall"
	_ "time/tzdata" // the image has no zones of its own
)

// collectAt lets the heap grow to five times what lives before it is collected. What lives is
// small and a view makes much that dies at once: 400 takes a third off a view's time against
// the runtime's 100 (make bench) for some tens of megabytes. GOGC overrides it.
const collectAt = 400

func main() {
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(collectAt)
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	code := run(ctx, os.Args[1:], system{in: os.Stdin, out: os.Stdout, err: os.Stderr, env: os.Getenv, names: variables(os.Environ())})
	stop()
	os.Exit(code)
}

// variables are the names in an environment.
func variables(environment []string) (names []string) {
	for _, line := range environment {
		name, _, _ := strings.Cut(line, "=")
		names = append(names, name)
	}
	return names
}
