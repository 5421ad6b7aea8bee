package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"strings"

	"longpoint/internal/app"
	"longpoint/internal/fault"
	"longpoint/internal/length"
)

// system is the world a command runs in.
type system struct {
	in       io.Reader
	out, err io.Writer
	env      func(string) string
	names    []string // of the environment's variables
}

// command is one word of the command line: it runs, or has words below it.
type command struct {
	name string
	args string // what follows, for the usage line
	does string
	run  func(ctx context.Context, c *call) error
	subs []command
	more string // printed under the usage line
}

// call is one run of a command.
type call struct {
	system
	*flag.FlagSet
	args []string
}

// The exit codes.
const (
	exitDone    = 0
	exitRefused = 1
	exitUsage   = 2
)

// usageError is a command line that cannot be run as written.
type usageError struct{ sentence string }

func (e usageError) Error() string { return e.sentence }

func misused(sentence string, args ...any) error {
	return usageError{fmt.Sprintf(sentence, args...)}
}

func run(ctx context.Context, args []string, sys system) int {
	err := dispatch(ctx, command{name: "longpoint", subs: commands(), more: settingsHelp() + exitHelp}, nil, args, sys)
	var usage usageError
	switch {
	case err == nil:
		return exitDone
	case errors.As(err, &usage):
		fmt.Fprintln(sys.err, "longpoint: "+usage.sentence)
		return exitUsage
	}
	fmt.Fprintln(sys.err, "longpoint: "+sentenceOf(err))
	return exitRefused
}

// sentenceOf is what whoever runs the program is told. Unlike a person at a phone they may
// read the cause.
func sentenceOf(err error) string {
	var (
		p *app.Problem
		f *fault.Error
		l *length.ParseError
	)
	switch {
	case errors.As(err, &p):
		return p.Sentence
	case errors.As(err, &l):
		return l.Error()
	case errors.As(err, &f) && f.Code != fault.Internal && f.Sentence != "":
		return f.Sentence
	case errors.Is(err, context.Canceled):
		return "Stopped before it was done."
	}
	return strings.ReplaceAll(err.Error(), "\n", "; ")
}

func dispatch(ctx context.Context, cmd command, path, args []string, sys system) error {
	path = append(path, cmd.name)
	if cmd.run != nil {
		return start(ctx, cmd, path, args, sys)
	}
	if len(args) == 0 {
		help(sys.err, cmd, path)
		return misused("Say what to do: one of %s.", names(cmd.subs))
	}
	switch args[0] {
	case "help", "-h", "-help", "--help":
		help(sys.out, cmd, path)
		return nil
	}
	for _, sub := range cmd.subs {
		if sub.name == args[0] {
			return dispatch(ctx, sub, path, args[1:], sys)
		}
	}
	return misused("%q is not something %s does: it does %s.", args[0], strings.Join(path, " "), names(cmd.subs))
}

func names(cmds []command) string {
	var out []string
	for _, c := range cmds {
		out = append(out, c.name)
	}
	return strings.Join(out, ", ")
}

// start runs a command. It declares its flags, then calls parse.
func start(ctx context.Context, cmd command, path, args []string, sys system) error {
	flags := flag.NewFlagSet(strings.Join(path, " "), flag.ContinueOnError)
	flags.SetOutput(io.Discard)
	c := &call{system: sys, FlagSet: flags, args: args}
	err := cmd.run(ctx, c)
	if errors.Is(err, flag.ErrHelp) {
		help(sys.out, cmd, path)
		flags.SetOutput(sys.out)
		flags.PrintDefaults()
		return nil
	}
	return err
}

// parse reads the flags, which may stand before, between and after the words, and leaves
// the words in c.args. After -- everything is a word.
func (c *call) parse(least, most int) error {
	var words []string
	rest := c.args
	for {
		if err := c.Parse(rest); err != nil {
			if errors.Is(err, flag.ErrHelp) {
				return err
			}
			return misused("%s: see %s --help.", capital(err.Error()), c.Name())
		}
		given := len(rest) - c.NArg()
		if given > 0 && rest[given-1] == "--" {
			words = append(words, c.FlagSet.Args()...)
			break
		}
		if c.NArg() == 0 {
			break
		}
		words, rest = append(words, c.Arg(0)), c.FlagSet.Args()[1:]
	}
	c.args = words
	switch n := len(words); {
	case n < least:
		return misused("%s needs more than that: see %s --help.", c.Name(), c.Name())
	case most >= 0 && n > most:
		return misused("%q is one word too many: see %s --help.", words[most], c.Name())
	}
	return nil
}

func capital(s string) string { return strings.ToUpper(s[:1]) + s[1:] }

func help(w io.Writer, cmd command, path []string) {
	line := "Usage: " + strings.Join(path, " ")
	if cmd.args != "" {
		line += " " + cmd.args
	}
	if len(cmd.subs) > 0 {
		line += " <what> …"
	}
	fmt.Fprintln(w, line)
	if cmd.does != "" {
		fmt.Fprintln(w, cmd.does)
	}
	for _, sub := range cmd.subs {
		fmt.Fprintf(w, "  %-10s %s\n", sub.name, sub.does)
	}
	if cmd.more != "" {
		fmt.Fprintln(w, cmd.more)
	}
}
