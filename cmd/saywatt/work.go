package main

import (
	"context"
	"errors"
	"fmt"
	"net"
	"net/http"
	"os"
	"runtime"

	"saywatt/internal/work"
)

type workCmd struct {
	brokerFlags
	knownFlags
	Threshold float64  `help:"Probability from which a reading stands."`
	Jobs      positive `help:"Captions read at a time."`
	Tries     positive `default:"3" help:"Tries until captions are given up."`
	Drain     bool     `help:"End when nothing is left."`
	Name      string   `help:"Name of this worker."`
	Status    bool     `help:"Print how far the job is, and end."`
	JSON      bool     `name:"json" help:"Print the status as JSON."`
	Metrics   string   `help:"Address to serve Prometheus metrics at."`
	Serve     string   `help:"NATS configuration to serve as."`
	MaxBytes  positive `help:"Largest file read, in bytes."`
}

func (workCmd) Help() string {
	return `Usage: saywatt work [FLAG ...]

Reads captions that were sent ("saywatt send"), beside any number of other
workers, and stores the record, the findings and the tables of each as messages
for "saywatt gather" and for other programs. Captions are only done with when
what came of them is stored, so a worker may be killed at any moment: another
one reads them. Ctrl-C ends what is begun and no more.

Captions that cannot be read are tried again, and then put into the stream of
dead letters with the reason; --status lists the last of them. All workers of a
job should be of one build and have the same flags and glossaries: a record is
what the worker makes that happens to take the captions.

Flags:
      --jobs N       captions read at a time; one for each processor where not
                     given
      --tries N      tries until captions are given up (default 3)
      --drain        end when nothing is left
      --name NAME    of this worker; else the machine's name and process
      --status       print how far the job is, how fast and what failed; end
      --json         the status as JSON
      --metrics ADDR  serve metrics for Prometheus at this HOST:PORT, under
                     /metrics; a port alone is on 127.0.0.1. Off where not given
      --serve FILE   be a NATS server as this file of its configuration says,
                     and no worker: for TLS, users, clusters. What it gives no
                     host is served on 127.0.0.1
      --threshold P  probability, 0 to 1, from which a reading stands
` + knownHelp + `      --max-bytes N  refuse larger files
` + brokerHelp + `
Exit status: 0 ended as asked; 1 with --status, there are dead letters; 2 with
--drain, this worker gave something up or was stopped before all was read; or
it could not start, or the command line is wrong.

Example:
  saywatt work --broker tls://10.0.0.5:4222 --creds work.creds --metrics 9100
`
}

func (c *workCmd) Run(e *env) error {
	err := c.check()
	switch {
	case err != nil:
	case !(c.Threshold >= 0 && c.Threshold <= 1):
		err = fmt.Errorf("--threshold %v is not a probability, 0 to 1", c.Threshold)
	case c.JSON && !c.Status:
		err = errors.New("--json goes with --status")
	default:
		err = c.checkKnown()
	}
	if err != nil {
		return &usageError{err, "saywatt work"}
	}
	switch {
	case c.Serve != "":
		return c.serve(e)
	case c.Status:
		return c.with(e, func(ctx context.Context, job *work.Job) error { return c.status(ctx, e, job) })
	}
	return c.with(e, func(ctx context.Context, job *work.Job) error { return c.work(ctx, e, job) })
}

func (c *workCmd) work(ctx context.Context, e *env, job *work.Job) (err error) {
	w := &work.Worker{Job: job, Name: c.Name, Jobs: int(c.Jobs), Tries: int(c.Tries), Drain: c.Drain,
		MaxBytes: int64(c.MaxBytes),
		Log:      c.logger(e)}
	if w.Name == "" {
		host, _ := os.Hostname()
		w.Name = fmt.Sprintf("%s-%d", host, os.Getpid())
	}
	if w.Jobs == 0 {
		w.Jobs = runtime.GOMAXPROCS(0)
	}
	if w.Options, err = c.known(e); err != nil {
		return err
	}
	w.Options.Threshold = c.Threshold
	if c.Metrics != "" {
		l, err := net.Listen("tcp", metricsAddress(c.Metrics))
		if err != nil {
			return fmt.Errorf("--metrics %s: %w", c.Metrics, err)
		}
		w.Log.Info("metrics", "address", "http://"+l.Addr().String()+"/metrics")
		go func() {
			if err := w.ServeMetrics(ctx, l); err != nil && !errors.Is(err, http.ErrServerClosed) {
				w.Log.Error("metrics", "error", err)
			}
		}()
	}
	err = w.Run(ctx)
	if err == nil && c.Drain && ctx.Err() != nil {
		return errors.New("stopped while some were left; the same command goes on")
	}
	if err == nil && c.Drain && w.Counts.Dead.Load() > 0 {
		return errReported // the log says what was given up
	}
	return err
}

// metricsAddress is the address meant: without a host, this machine alone.
func metricsAddress(s string) string {
	host, port, err := net.SplitHostPort(s)
	if err != nil {
		host, port = "", s
	}
	if host == "" {
		host = "127.0.0.1"
	}
	return net.JoinHostPort(host, port)
}

func (c *workCmd) serve(e *env) error {
	ctx, stop := e.untilInterrupted()
	defer stop()
	return work.Serve(ctx, c.Serve, func(address string) {
		fmt.Fprintf(e.stdout, "The broker is at %s\n", address)
	})
}

// lettersShown is how many dead letters the status lists.
const lettersShown = 10

func (c *workCmd) status(ctx context.Context, e *env, job *work.Job) error {
	s, err := job.Status(ctx, lettersShown)
	if err != nil {
		return err
	}
	if c.JSON {
		err = s.WriteJSON(e.stdout)
	} else {
		err = s.WriteText(e.stdout)
	}
	if err == nil && s.Dead > 0 {
		return errAttention
	}
	return err
}
