package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"log/slog"
	"time"

	"saywatt/internal/work"
)

// brokerFlags say where the streams of a job are.
type brokerFlags struct {
	Broker   string        `help:"Address of a NATS server."`
	Data     string        `help:"Folder of this machine's own broker."`
	Job      string        `default:"saywatt" help:"Name of the job."`
	Creds    string        `help:"File of NATS credentials."`
	NKey     string        `name:"nkey" help:"File of an NKEY seed."`
	CA       string        `name:"tls-ca" help:"Certificates that the server's is checked against."`
	Cert     string        `name:"tls-cert" help:"Certificate of this client."`
	Key      string        `name:"tls-key" help:"Its key."`
	Replicas int           `default:"1" help:"Servers that have each message."`
	AckWait  time.Duration `default:"30s" help:"Time until a silent worker's captions go to another."`
	Pending  int           `name:"max-pending" default:"1000" help:"Captions in all workers' hands."`
	Waiting  int64         `name:"max-waiting" default:"1000000" help:"Captions in the stream."`
	Logs     string        `name:"log" enum:"text,json" default:"text" help:"Form of the log."`
	Verbose  bool          `help:"Log every review."`
}

// brokerHelp describes these flags.
const brokerHelp = `      --broker URL   NATS server with JetStream, nats:// or tls://; several of
                     one cluster with commas; else SAYWATT_BROKER. Without one,
                     a broker in this process serves this machine alone, on
                     127.0.0.1; processes with the same --data share it
      --data DIR     folder of that broker; else saywatt-work in the current
                     folder
      --job NAME     name of the job, saywatt where not given: jobs of other
                     names on the same broker have nothing to do with it
      --creds FILE, --nkey FILE, --tls-ca FILE, --tls-cert FILE, --tls-key FILE
                     credentials, seed of a key, and certificates, as NATS has
                     them; a user or token may stand in the URL
      --log FORM     form of the log on standard error: text or json
      --verbose      log every review

These count once, when the streams are made by the first process:
      --replicas N   servers of a cluster that have every message (default 1)
      --ack-wait D   time until captions that a worker is silent about go to
                     another (default 30s)
      --max-pending N  captions in all workers' hands (default 1000)
      --max-waiting N  captions in the stream until senders wait (default
                     1000000)
`

// check refuses what flags alone cannot.
func (b *brokerFlags) check() error {
	switch {
	case b.Broker != "" && b.Data != "":
		return errors.New("--broker and --data do not go together: --data is of a broker in this process")
	case b.Replicas < 1 || b.AckWait <= 0 || b.Pending < 1 || b.Waiting < 1:
		return errors.New("--replicas, --ack-wait, --max-pending and --max-waiting are above zero")
	case (b.Cert == "") != (b.Key == ""):
		return errors.New("--tls-cert and --tls-key go together")
	}
	return work.CheckJob(b.Job)
}

// logger writes the log on standard error.
func (b *brokerFlags) logger(e *env) *slog.Logger {
	o := &slog.HandlerOptions{Level: slog.LevelInfo}
	if b.Verbose {
		o.Level = slog.LevelDebug
	}
	if b.Logs == "json" {
		return slog.New(slog.NewJSONHandler(e.stderr, o))
	}
	return slog.New(slog.NewTextHandler(e.stderr, o))
}

// with opens the job for do. An interrupt ends the context.
func (b *brokerFlags) with(e *env, do func(context.Context, *work.Job) error) (err error) {
	ctx, stop := e.untilInterrupted()
	defer stop()
	log := b.logger(e)
	if b.Broker == "" && b.Data == "" {
		b.Broker = e.getenv("SAYWATT_BROKER")
	}
	at := work.Broker{URL: b.Broker, Creds: b.Creds, NKey: b.NKey, CA: b.CA, Cert: b.Cert, Key: b.Key}
	if b.Broker == "" {
		if b.Data == "" {
			b.Data = "saywatt-work"
		}
		if b.Replicas > 1 {
			return errors.New("--replicas: one machine's own broker has one of everything")
		}
		local, own, failed := work.OpenLocal(ctx, b.Data, log)
		if failed != nil {
			return fmt.Errorf("%s: %w", b.Data, failed)
		}
		defer func() { err = cmp.Or(err, local.Close()) }()
		at = own
	}
	conn, err := at.Connect(ctx, "saywatt", log)
	if err != nil {
		return err
	}
	defer conn.Close()
	job, err := work.OpenJob(ctx, conn, b.Job,
		work.Layout{Replicas: b.Replicas, AckWait: b.AckWait, MaxPending: b.Pending, MaxWaiting: b.Waiting})
	if err != nil {
		return err
	}
	return do(ctx, job)
}
