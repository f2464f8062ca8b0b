package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"time"

	"saywatt/internal/work"
)

type gatherCmd struct {
	archiveFlag
	brokerFlags
	To     string `default:"archive" help:"Where to: archive or jsonl."`
	Out    string `short:"o" help:"Write to this file."`
	Shards int    `default:"1" help:"Archives that share the reviews."`
	Shard  string `help:"Those kept here."`
	Wait   bool   `help:"Wait until nothing is left to read."`
	Follow bool   `help:"Go on until interrupted."`
	Who    string `help:"Who is put down for it."`
}

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
      --to WHERE     archive (default), or jsonl: the feed of "saywatt emit", a
                     record a line, in the order of the reviews' names
      --out FILE     with jsonl: write to this file, which appears whole or not
                     at all; standard output where not given
` + archiveHelp + `      --shards N     archives that share the reviews, 1 to 256 (default 1)
      --shard LIST   those that are kept here, such as 0,2 or 0-3; all where not
                     given
      --wait         go on until nothing is left to read
      --follow       go on until Ctrl-C
      --who NAME     who is put down for the versions; else the user's name
` + brokerHelp + `
Exit status: 0 ended as asked; 2 it could not start, or the command line is
wrong.

Example:
  saywatt gather --archive reviews --shards 4 --wait
`
}

func (c *gatherCmd) Run(e *env) error {
	err := c.check()
	var only []int
	switch {
	case err != nil:
	case c.To != "archive" && c.To != "jsonl":
		err = fmt.Errorf("--to %q is not known; there are archive and jsonl", c.To)
	case c.To == "archive" && c.Out != "":
		err = errors.New("--out goes with --to jsonl; --archive names the archive")
	case c.To == "jsonl" && (c.Follow || c.Shard != "" || c.Shards != 1):
		err = errors.New("--follow, --shards and --shard go with an archive: a file is written when all is there")
	case c.Shards < 1 || c.Shards > work.Slots:
		err = fmt.Errorf("--shards %d: there are from 1 to %d", c.Shards, work.Slots)
	default:
		only, err = numbers(c.Shard, c.Shards)
	}
	if err != nil {
		return &usageError{err, "saywatt gather"}
	}
	return c.with(e, func(ctx context.Context, job *work.Job) error {
		g := &work.Gatherer{Job: job, Wait: c.Wait, Follow: c.Follow, Log: c.logger(e)}
		if c.To == "jsonl" {
			return c.lines(ctx, e, g)
		}
		to := &work.Shards{Dir: c.dir(e), Count: c.Shards, Only: only, Who: c.Who, Every: indexEvery}
		if to.Who == "" {
			to.Who = e.getenv("USER")
		}
		err := g.Archives(ctx, to)
		fmt.Fprintf(e.stderr, "saywatt: %d put in, %d were there\n", to.Added, to.Same)
		return err
	})
}

// with opens the job; that of the archive is not meant.
func (c *gatherCmd) with(e *env, do func(context.Context, *work.Job) error) error {
	return c.brokerFlags.with(e, do)
}

// indexEvery is how old the index of an archive gets while results come.
const indexEvery = time.Minute

func (c *gatherCmd) lines(ctx context.Context, e *env, g *work.Gatherer) error {
	n := 0
	err := e.output(c.Out, nil, func(w io.Writer) (err error) {
		n, err = g.Lines(ctx, w)
		return err
	})
	if err == nil {
		fmt.Fprintf(e.stderr, "saywatt: %d records\n", n)
	}
	return err
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
