package main

import (
	"context"
	"fmt"
	"strings"
	"time"

	"longpoint/internal/app"
)

const verifyHelp = `
A signature under a whole walkthrough seals the job's log up to it: a chain of SHA-256, one link an
entry, is kept beside the log. This works every link out anew and names each entry that is not what
was sealed. --seal takes the value printed on the signed paper and says whether a seal here has it:
a log that was changed together with its chain is found by that alone.`

func verify(ctx context.Context, c *call) error {
	company := c.String("company", "", "the one company to check, by `id`; --job needs it")
	job := c.String("job", "", "the one job to check, by `id`")
	value := c.String("seal", "", "the `value` on the signed paper")
	if err := c.parse(0, 0); err != nil {
		return err
	}
	if *job != "" && *company == "" {
		return misused("--job needs --company too: a job is one company's.")
	}
	seals, err := app.Verify(ctx, c.owner(), *company, *job)
	if err != nil {
		return err
	}
	paper := strings.ToLower(strings.Join(strings.Fields(*value), ""))
	wrong, found := 0, false
	for _, s := range seals {
		fmt.Fprintf(c.out, "job %s, walkthrough %s, through entry %d, signed %s\n", s.JobID, s.WalkID, s.Through, s.At.UTC().Format(time.RFC3339))
		if !s.Right() {
			wrong++
		}
		if s.Unsealed {
			fmt.Fprintln(c.out, "  has no seal: it was taken away, or signed before there were seals")
			continue
		}
		fmt.Fprintf(c.out, "  seal %s\n", s.Value)
		found = found || paper != "" && s.Value == paper
		for _, w := range s.Wrong {
			if w.Missing {
				fmt.Fprintf(c.out, "  entry %d is missing\n", w.Seq)
			} else {
				fmt.Fprintf(c.out, "  entry %d is not what was sealed\n", w.Seq)
			}
		}
	}
	fmt.Fprintf(c.out, "%d seals, %d wrong.\n", len(seals), wrong)
	switch {
	case wrong > 0:
		return &app.Problem{Sentence: "Signed walkthroughs are not as they were signed: the entries above were changed since."}
	case paper != "" && !found:
		return &app.Problem{Sentence: "No seal here has the value on the paper: the log is another than the one that was signed, or the value was mistyped."}
	}
	return nil
}
