package main

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"os"
	"strings"

	"golang.org/x/term"

	"longpoint/internal/app"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
)

const accountHelp = `
The passphrase is asked for, or read from standard input when that is no terminal:
  echo "$PASSPHRASE" | longpoint account passphrase rosa
DATABASE_URL names the database, as serve has it. In containers:
  docker compose exec app /longpoint account create --company 'Plumb & Level' --name 'Ruth Ames' --sign-in ruth`

func createAccount(ctx context.Context, c *call) error {
	company := c.String("company", "", "the company's `name`")
	name := c.String("name", "", "the owner's `name`")
	signIn := c.String("sign-in", "", "the `name` they sign in with: an e-mail address, or one without spaces")
	language := c.String("language", "en", "en or es")
	unit := c.String("unit", "in", "in or mm")
	if err := c.parse(0, 0); err != nil {
		return err
	}
	for flag, value := range map[string]string{"company": *company, "name": *name, "sign-in": *signIn} {
		if value == "" {
			return misused("%s needs --%s: see %s --help.", c.Name(), flag, c.Name())
		}
	}
	owner := app.NewAccount{Company: *company, Name: *name, SignIn: *signIn, Role: joblog.Owner, Language: *language, Unit: length.Unit(*unit)}
	if err := owner.Check(); err != nil {
		return err
	}
	var err error
	if owner.Passphrase, err = c.passphrase(); err != nil {
		return err
	}
	made, err := app.CreateAccount(ctx, c.setting("DATABASE_URL"), owner)
	if err != nil {
		return err
	}
	fmt.Fprintf(c.out, "%s is there, and %s signs in as %s. The others are invited on the screen named Crew, at /board/crew.\n", *company, made.Name, made.SignIn)
	return nil
}

func resetPassphrase(ctx context.Context, c *call) error {
	if err := c.parse(1, 1); err != nil {
		return err
	}
	passphrase, err := c.passphrase()
	if err != nil {
		return err
	}
	who, err := app.ResetPassphrase(ctx, c.setting("DATABASE_URL"), c.args[0], passphrase)
	if err != nil {
		return err
	}
	fmt.Fprintf(c.out, "%s has another passphrase, and is signed out everywhere.\n", who.Name)
	return nil
}

// passphrase asks for one, twice and unseen where there is a terminal.
func (c *call) passphrase() (string, error) {
	file, ok := c.in.(*os.File)
	if !ok || !term.IsTerminal(int(file.Fd())) {
		line, err := bufio.NewReader(io.LimitReader(c.in, 4096)).ReadString('\n')
		if err != nil && err != io.EOF {
			return "", err
		}
		return strings.TrimRight(line, "\r\n"), nil
	}
	ask := func(what string) (string, error) {
		fmt.Fprint(c.err, what)
		b, err := term.ReadPassword(int(file.Fd()))
		fmt.Fprintln(c.err)
		return string(b), err
	}
	first, err := ask("Passphrase (four or five words): ")
	if err != nil {
		return "", err
	}
	again, err := ask("The same again: ")
	if err != nil {
		return "", err
	}
	if first != again {
		return "", &app.Problem{Sentence: "The two are not the same: nothing was changed."}
	}
	return first, nil
}
