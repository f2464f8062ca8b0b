package main

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"

	"saywatt/extract/transcript"
	"saywatt/internal/export"
	"saywatt/internal/work"
)

type sendCmd struct {
	brokerFlags
	ByReference bool     `help:"Have workers read the files where they are."`
	Again       bool     `help:"Have what was sent before read once more."`
	Answers     string   `help:"File of decisions on a review."`
	Review      string   `help:"Name of that review."`
	Quiet       bool     `help:"Print no line for each file."`
	MaxBytes    int64    `help:"Largest file sent, in bytes."`
	File        []string `arg:"" optional:"" help:"Folders and files to send."`
}

func (sendCmd) Help() string {
	return fmt.Sprintf(`Usage: saywatt send [FLAG ...] DIR|FILE ...

Gives captions to the workers of a job ("saywatt work"), on this machine or on
many. Of a folder, all files in it and below it are sent, but for hidden ones.
A review is called by the path of its captions from that folder: en.vtt in the
folder tarn is the review tarn-en.

A file NAME.decisions.jsonl is no captions, but what a person decided on those
called NAME: the review is read again with it, on whichever machine, and its
record is replaced. What was sent within the last hour is not taken in twice.

Flags:
      --answers FILE  send the decisions in this file, as the desk keeps them
                     and "saywatt read --answers" takes them
      --review NAME  the review that they are on
      --by-reference  have workers read the files where they are: every machine
                     must have them under the same path
      --again        have what was sent before read once more
      --quiet        print no line for each file
      --max-bytes N  refuse larger files; %d where not given
%s
Exit status: 0 all are sent; 2 one is not, or the command line is wrong. A file
that cannot be sent does not stop the others.

Example:
  saywatt send --broker nats://10.0.0.5:4222 transcripts
`, int64(transcript.DefaultMaxBytes), brokerHelp)
}

func (c *sendCmd) Run(e *env) error {
	err := c.check()
	switch {
	case err != nil:
	case c.MaxBytes < 0:
		err = fmt.Errorf("--max-bytes %d is negative", c.MaxBytes)
	case (c.Answers == "") != (c.Review == ""):
		err = errors.New("--answers and --review go together")
	case c.Answers == "" && len(c.File) == 0:
		err = errors.New("nothing to send is named")
	}
	if err != nil {
		return &usageError{err, "saywatt send"}
	}
	if c.MaxBytes == 0 {
		c.MaxBytes = transcript.DefaultMaxBytes
	}
	return c.with(e, func(ctx context.Context, job *work.Job) error { return c.send(ctx, e, job) })
}

func (c *sendCmd) send(ctx context.Context, e *env, job *work.Job) error {
	if c.Answers != "" {
		if err := c.decisions(ctx, e, job); err != nil {
			return err
		}
	}
	s := &work.Sender{Job: job, ByReference: c.ByReference, Again: c.Again, MaxBytes: c.MaxBytes}
	sent, same, failed := 0, 0, 0
	for _, root := range c.File {
		err := s.Files(ctx, filepath.Clean(root), func(f work.Sent, err error) error {
			switch {
			case ctx.Err() != nil:
				return ctx.Err()
			case err != nil:
				failed++
				e.complain(err)
				return nil
			case f.Same:
				same++
			default:
				sent++
			}
			if c.Quiet {
				return nil
			}
			return c.line(e, f)
		})
		if ctx.Err() != nil {
			return errors.New("interrupted; what is listed was sent, and sending it again does no harm")
		}
		if err != nil {
			failed++
			e.complain(err)
		}
	}
	if len(c.File) > 0 {
		fmt.Fprintf(e.stderr, "saywatt: %d sent, %d were there, %d failed\n", sent, same, failed)
	}
	if failed > 0 {
		return errReported
	}
	return nil
}

// decisions sends the answers that the flags name.
func (c *sendCmd) decisions(ctx context.Context, e *env, job *work.Job) error {
	text, err := (&checkCmd{MaxBytes: c.MaxBytes}).read(e, c.Answers)
	if err != nil {
		return err
	}
	same, err := job.SendAnswers(ctx, work.ReviewName(c.Review), c.Answers, text)
	if err != nil {
		return err
	}
	return c.line(e, work.Sent{Review: work.ReviewName(c.Review), File: c.Answers, Same: same, Answers: true})
}

func (c *sendCmd) line(e *env, f work.Sent) error {
	what := "sent"
	if f.Answers {
		what = "decisions sent"
	}
	if f.Same {
		what = "was there"
	}
	_, err := fmt.Fprintf(e.stdout, "%s: %s, %s\n", f.Review, export.Printable(f.File), what)
	return err
}
