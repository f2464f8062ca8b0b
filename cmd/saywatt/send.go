package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"

	"saywatt/extract/transcript"
	"saywatt/internal/export/word"
	"saywatt/internal/intake"
	"saywatt/internal/work"
)

type sendCmd struct {
	brokerFlags
	ByReference bool     `help:"Have workers read the files where they are."`
	Again       bool     `help:"Have what was sent before read once more."`
	Answers     []string `sep:"none" help:"File or folder of decisions, JSON Lines."`
	ID          string   `name:"id" help:"Name of the review."`
	formFlag
	Quiet    bool     `help:"Print no line for each file."`
	MaxBytes positive `help:"Largest file sent, in bytes."`
	File     []string `arg:"" optional:"" help:"Files, folders and patterns to send."`
}

func (sendCmd) Help() string {
	return fmt.Sprintf(`Usage: saywatt send [FLAG ...] FILE ...

Gives captions to the workers of a job ("saywatt work"), on this machine or on
many. A folder stands for the captions in it and below it, a pattern such as
'v*/en.vtt' for the files that it fits ("saywatt help files").

A review is called by the path of its captions from the folder that was named,
or by their folder where they lie directly in it: en.vtt in the folder tarn is
the review tarn-en. Captions that were sent before, and are the same, are not
read again: a folder can be sent whenever something new is in it.

A person's decisions can be sent with the captions or later, from any machine:
the review is read again with all there are on it, and its record is replaced.

Flags:
      --answers F    send the decisions in this file, as the desk keeps them
                     ("saywatt help answers"). Of several FILEs each line names
                     its own ("file"); a folder has NAME.decisions.jsonl for
                     each NAME. Without FILE, --id says what they are on. May be
                     repeated
      --id NAME      name of the review, of one only
      --by-reference  have workers read the files where they are: every machine
                     must have them under the same path
      --again        have what was sent before read once more
      --quiet        print no line for each file
      --json         print a line of JSON for each file
      --max-bytes N  refuse larger files; %d where not given
%s
Exit status: 0 all are sent; 2 one is not, or the command line is wrong. A file
that cannot be sent does not stop the others.

Example:
  saywatt send --broker nats://10.0.0.5:4222 transcripts
`, int64(transcript.DefaultMaxBytes), brokerHelp)
}

func (c *sendCmd) Run(e *env) error {
	if err := c.check(); err != nil {
		return &usageError{err, "saywatt send"}
	}
	files, err := work.Sources(c.File)
	if err == nil && c.ID != "" && len(files) > 1 {
		err = errors.New("--id names one review, and several files are given")
	}
	if err != nil {
		return err
	}
	decided, err := c.decided(e, files)
	if err != nil {
		return err
	}
	if c.MaxBytes == 0 {
		c.MaxBytes = transcript.DefaultMaxBytes
	}
	return c.with(e, func(ctx context.Context, job *work.Job) error {
		err := c.send(ctx, e, job, files)
		if err != nil && !errors.Is(err, errReported) {
			return err
		}
		return cmp.Or(c.decisions(ctx, e, job, decided), err)
	})
}

// decisionsOn are decisions on a review.
type decisionsOn struct {
	review string
	intake.Decided
}

// check refuses what flags alone cannot.
func (c *sendCmd) check() error {
	if err := c.brokerFlags.check(); err != nil {
		return err
	}
	if err := checkNames("--id", c.ID, "--title", ""); err != nil {
		return err
	}
	switch {
	case len(c.File) == 0 && len(c.Answers) == 0:
		return errors.New("nothing to send is named")
	case len(c.File) == 0 && c.ID == "":
		return errors.New("--answers without a file wants --id, the name of the review that they are on")
	case c.ID != "" && work.ReviewName(c.ID) != c.ID:
		return fmt.Errorf("--id %q: a name has letters, digits and single hyphens: %q", c.ID, work.ReviewName(c.ID))
	}
	return nil
}

// decided reads the decisions that the flags name.
func (c *sendCmd) decided(e *env, files []work.Source) ([]decisionsOn, error) {
	reviews := map[string]string{} // by the name of the file
	var of []intake.File
	for _, f := range files {
		of = append(of, f.File)
		reviews[f.Name] = f.Review()
	}
	if c.ID != "" {
		if len(of) == 0 {
			of = []intake.File{{Name: c.ID}}
		}
		reviews[of[0].Name] = c.ID
	}
	split, elsewhere, err := intake.SplitAnswers(e.open, c.Answers, of)
	e.complainOf(elsewhere)
	var all []decisionsOn
	for _, d := range split {
		all = append(all, decisionsOn{reviews[d.File.Name], d})
	}
	return all, err
}

// send sends files. What cannot be sent is reported, and the others are.
func (c *sendCmd) send(ctx context.Context, e *env, job *work.Job, files []work.Source) error {
	s := &work.Sender{Job: job, ByReference: c.ByReference, Again: c.Again, Review: c.ID, MaxBytes: int64(c.MaxBytes)}
	p := progress{env: e, what: "sending", total: len(files)}
	sent, same, failed := 0, 0, 0
	var over []error
	for _, f := range files {
		p.show(f.Name)
		what, err := s.Send(ctx, f)
		p.clear()
		switch {
		case ctx.Err() != nil:
			return errors.New("interrupted; what is listed was sent, and sending it again does no harm")
		case errors.Is(err, work.ErrNoRoom), errors.Is(err, work.ErrNoAnswer), errors.Is(err, work.ErrNotPermitted):
			// as would the others
			return fmt.Errorf("%w; what is listed was sent, and sending it again does no harm", err)
		case errors.As(err, new(*intake.PassedOver)):
			over = append(over, err)
			continue
		case err != nil:
			failed++
			e.complain(err)
			continue
		case what.Same:
			same++
		default:
			sent++
		}
		if err := c.line(e, what); err != nil {
			return err
		}
	}
	e.passedOver(over, len(files))
	if len(files) > 0 {
		fmt.Fprintf(e.stderr, "saywatt: %d sent, %d were there, %d failed\n", sent, same, failed)
	}
	if failed > 0 {
		return errReported
	}
	return nil
}

// decisions sends decisions.
func (c *sendCmd) decisions(ctx context.Context, e *env, job *work.Job, all []decisionsOn) error {
	for _, d := range all {
		same, err := job.SendAnswers(ctx, d.review, d.From, d.Lines)
		if err != nil {
			return err
		}
		if err := c.line(e, work.Sent{Review: d.review, File: d.From, Same: same, Answers: true}); err != nil {
			return err
		}
	}
	return nil
}

func (c *sendCmd) line(e *env, f work.Sent) error {
	if c.Quiet {
		return nil
	}
	what := "sent"
	if f.Answers {
		what = "decisions sent"
	}
	if f.Same {
		what = "was there"
	}
	did := struct {
		Review  string `json:"review"`
		File    string `json:"file,omitempty"`
		Same    bool   `json:"same"` // it was there
		Answers bool   `json:"answers,omitempty"`
	}{f.Review, f.File, f.Same, f.Answers}
	return c.formFlag.line(e.stdout, did, fmt.Sprintf("%s: %s, %s", f.Review, word.Printable(f.File), what))
}
