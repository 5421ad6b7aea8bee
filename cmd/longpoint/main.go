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
	"syscall"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	code := run(ctx, os.Args[1:], system{in: os.Stdin, out: os.Stdout, err: os.Stderr, env: os.Getenv})
	stop()
	os.Exit(code)
}
