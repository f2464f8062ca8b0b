package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"slices"
	"strconv"
	"strings"
	"time"

	"saywatt/extract/transcript"
	"saywatt/internal/export/feed"
	"saywatt/internal/export/plainjson"
	"saywatt/internal/export/table"
	"saywatt/internal/export/word"
	"saywatt/internal/save"
	"saywatt/internal/work"
	"saywatt/schema"
)

type gatherCmd struct {
	archiveFlag
	brokerFlags
	failFlag
	formFlag
	To     string `default:"archive" help:"Where to: archive, jsonl or parquet."`
	Table  string `help:"Which table, of jsonl and parquet."`
	Out    string `short:"o" help:"Write to this file."`
	Shards int    `default:"1" help:"Archives that share the reviews."`
	Shard  string `help:"Those kept here."`
	Wait   bool   `help:"Wait until nothing is left to read."`
	Follow bool   `help:"Go on until interrupted."`
	Who    string `help:"Who is put down for it."`
}

// gatherFormats are where gather brings what was read.
var gatherFormats = []string{"archive", "jsonl", "parquet"}

func (gatherCmd) Help() string {
	return `Usage: saywatt gather [FLAG ...]

Takes what workers read ("saywatt work") into an archive, or writes it to a
file. It may be run as often as one likes, and be killed: each record is put in
once, and one that was replaced since is a new version of its review.

Several archives can share the reviews: with --shards 4 the folder of the
archive has the folders shard-000 to shard-003, each an archive, and a review is
in the one that a hash of its name says. They may be gathered on different
machines, --shard saying which ones here, and move by being copied; "saywatt
search" takes the folder that they are in for one archive.

Flags:
      --to WHERE     archive (default); jsonl: the feed of "saywatt emit", a
                     record a line, in the order of the reviews' names; parquet:
                     a table, as emit writes it, in the same order
      --table T      the table of parquet (default quantities), or of a feed of
                     rows with jsonl; see "saywatt help emit"
  -o, --out PATH     with jsonl and parquet: write to this file, which appears
                     whole or not at all; standard output where not given
` + archiveHelp + `      --shards N     archives that share the reviews, 1 to 256 (default 1)
      --shard LIST   those that are kept here, such as 0,2 or 0-3; all where not
                     given
      --json         print a line of JSON when it is done: how many records were
                     put in or written, and what they leave to a person; of a
                     file wants --out
      --wait         go on until nothing is left to read
      --follow       go on until Ctrl-C
      --who NAME     who is put down for the versions; else the user's name
` + failHelp("nothing") + brokerHelp + `
Exit status: 0 ended as asked; 1 what --fail-on asks for; 2 it could not be
done, or the command line is wrong.

Example:
  saywatt gather --archive reviews --shards 4 --wait
`
}

func (c *gatherCmd) Run(e *env) error {
	only, err := c.check(e)
	if err != nil {
		return &usageError{err, "saywatt gather"}
	}
	return c.with(e, func(ctx context.Context, job *work.Job) error {
		g := &work.Gatherer{Job: job, Wait: c.Wait, Follow: c.Follow, Log: c.logger(e)}
		var t tally
		if c.To == "archive" {
			err = c.archives(ctx, e, g, only, &t)
		} else {
			err = c.file(ctx, e, g, &t)
		}
		if err != nil {
			return err
		}
		e.report(&t, "1 review")
		return c.outcome(&t, false)
	})
}

// check refuses what flags alone cannot, and reads the list of shards.
func (c *gatherCmd) check(e *env) ([]int, error) {
	if err := c.brokerFlags.check(); err != nil {
		return nil, err
	}
	if err := c.checkFail(); err != nil {
		return nil, err
	}
	if err := c.checkReport(); err != nil {
		return nil, err
	}
	switch {
	case !slices.Contains(gatherFormats, c.To):
		return nil, fmt.Errorf("--to %q is not known%s; there are %s", c.To, didYouMean(c.To, gatherFormats),
			strings.Join(gatherFormats, ", "))
	case c.To == "archive" && (c.Out != "" || c.Table != ""):
		return nil, errors.New("--out and --table go with jsonl and parquet; --archive names the archive")
	case c.To != "archive" && (c.Follow || c.Shard != "" || c.Shards != 1):
		return nil, errors.New("--follow, --shards and --shard go with an archive: a file is written when all is there")
	case c.Table != "" && !slices.Contains(table.Names, c.Table):
		return nil, fmt.Errorf("table %q is not known%s; there are %s", c.Table, didYouMean(c.Table, table.Names),
			strings.Join(table.Names, ", "))
	case c.To == "parquet" && e.terminal && (c.Out == "" || c.Out == stdinName):
		return nil, errors.New("parquet is nothing to read on a terminal; --out names a file")
	case c.To == "parquet" && (c.Out == "" || c.Out == stdinName) && !e.asked("--to"):
		return nil, errors.New("parquet is written to a pipe only where the command line says --to parquet; " +
			"--out names a file")
	case c.Shards < 1 || c.Shards > work.Slots:
		return nil, fmt.Errorf("--shards %d: there are from 1 to %d", c.Shards, work.Slots)
	}
	return numbers(c.Shard, c.Shards)
}

// checkReport refuses --json where standard output has the records.
func (c *gatherCmd) checkReport() error {
	if c.JSON && c.To != "archive" && (c.Out == "" || c.Out == stdinName) {
		return errors.New("--json would stand among the records; --out names a file for these")
	}
	return nil
}

// with opens the job; that of the archive is not meant.
func (c *gatherCmd) with(e *env, do func(context.Context, *work.Job) error) error {
	return c.brokerFlags.with(e, do)
}

// indexEvery is how old the index of an archive gets while results come.
const indexEvery = time.Minute

// archives gathers into one archive or several.
func (c *gatherCmd) archives(ctx context.Context, e *env, g *work.Gatherer, only []int, t *tally) error {
	to := &work.Shards{Dir: c.dir(e), Count: c.Shards, Only: only, Who: c.Who, Every: indexEvery, Seen: t.add}
	if to.Who == "" {
		to.Who = e.getenv("USER")
	}
	err := g.Archives(ctx, to)
	fmt.Fprintf(e.stderr, "saywatt: %d put in, %d were there\n", to.Added, to.Same)
	if err == nil && c.JSON {
		err = plainjson.WriteLine(e.stdout, gatheredOf(t, c.To, to.Dir, to.Added, to.Same))
	}
	return err
}

// gathered is what was done, as JSON.
type gathered struct {
	To      string `json:"to"`
	Into    string `json:"into"`    // the file or folder, as passed
	Records int    `json:"records"` // put in or written
	Same    int    `json:"same"`    // were there already
	Changed int    `json:"changed"` // values, as every command counts them
	Ear     int    `json:"ear"`
	Errors  int    `json:"errors"` // findings
}

func gatheredOf(t *tally, to, into string, n, same int) gathered {
	return gathered{to, into, n, same, t.repaired, t.open, t.severities[schema.SeverityError]}
}

// file gathers into a file; what was there is kept where it is one that was sent.
func (c *gatherCmd) file(ctx context.Context, e *env, g *work.Gatherer, t *tally) error {
	n := 0
	there := hashOf(c.Out)
	records := func(write func(*schema.Record) error) (int, error) {
		return g.Records(ctx, func(r *schema.Record) error {
			t.add(r)
			if there != "" && madeFrom(&r.Source, there) {
				return fmt.Errorf("%s: %w", c.Out, save.ErrOverInput)
			}
			return write(r)
		})
	}
	err := e.output(c.Out, func(w io.Writer) (err error) {
		switch {
		case c.To == "parquet":
			n, err = c.parquet(w, records)
		case c.Table != "":
			n, err = records(func(r *schema.Record) error {
				table, _ := table.Named(r, nil, c.Table)
				return feed.WriteRows(w, r, table)
			})
		case len(c.FailOn) > 0 || there != "" || c.JSON:
			n, err = records(func(r *schema.Record) error { return feed.Write(w, r) })
		default: // no record need be looked into
			n, err = g.Lines(ctx, w)
		}
		return err
	})
	if err != nil {
		return err
	}
	fmt.Fprintf(e.stderr, "saywatt: %s\n", word.Plural(n, "record", "records"))
	if c.JSON {
		return plainjson.WriteLine(e.stdout, gatheredOf(t, c.To, c.Out, n, 0))
	}
	return nil
}

// hashOf is the hash of a file's bytes as records have it, "" where there is none.
func hashOf(name string) string {
	if info, err := os.Stat(name); err != nil || !info.Mode().IsRegular() {
		return ""
	}
	b, err := os.ReadFile(name)
	if err != nil {
		return ""
	}
	return transcript.HashOf(b)
}

// madeFrom reports whether a record was made from a file of this hash.
func madeFrom(s *schema.Source, hash string) bool {
	return s.SHA256 == hash || slices.ContainsFunc(s.Parts, func(p schema.Part) bool { return p.SHA256 == hash })
}

// parquet writes a table of all records as one file.
func (c *gatherCmd) parquet(w io.Writer, records func(write func(*schema.Record) error) (int, error)) (int, error) {
	emit := emitCmd{Table: c.Table}
	p := table.NewParquetWriter(w)
	write := func(r *schema.Record) error {
		table, _ := table.Named(r, nil, emit.tableName())
		return p.Write(table.OfReview(r))
	}
	n, err := records(write)
	if err == nil && n == 0 { // a table without rows has its columns all the same
		err = write(&schema.Record{})
	}
	if err != nil {
		return n, err
	}
	return n, p.Close()
}

// numbers reads a list such as 0,2-4 of numbers below most; nil for none.
func numbers(list string, most int) ([]int, error) {
	var all []int
	for _, part := range strings.FieldsFunc(list, func(r rune) bool { return r == ',' }) {
		first, last, isRange := strings.Cut(part, "-")
		from, err := strconv.Atoi(first)
		to := from
		if err == nil && isRange {
			to, err = strconv.Atoi(last)
		}
		if err != nil || from < 0 || to < from || to >= most {
			return nil, fmt.Errorf("--shard %q: want numbers from 0 to %d, such as 0,2-3", list, most-1)
		}
		for n := from; n <= to; n++ {
			all = append(all, n)
		}
	}
	slices.Sort(all)
	return slices.Compact(all), nil
}
