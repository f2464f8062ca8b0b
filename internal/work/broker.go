package work

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net/url"
	"slices"
	"strings"
	"time"

	"github.com/nats-io/nats.go"
)

// A Broker says how a broker is reached. Everything but URL is optional; what
// it means is what it means to NATS.
type Broker struct {
	URL   string // nats://, tls:// or several with commas
	Creds string // file of credentials: a JWT and its key
	NKey  string // file of an nkey seed
	CA    string // file of certificates that the server's is checked against
	Cert  string // file of our certificate, with Key
	Key   string
	Token string
}

// schemes are how addresses of NATS begin; one without any is taken too.
var schemes = []string{"nats", "tls", "ws", "wss"}

// checkAddresses refuses what is the address of something else.
func checkAddresses(addresses string) error {
	for a := range strings.SplitSeq(addresses, ",") {
		scheme, _, ok := strings.Cut(strings.TrimSpace(a), "://")
		if ok && !slices.Contains(schemes, scheme) {
			return fmt.Errorf("broker %s: a broker's address begins with nats:// or tls://", redacted(a))
		}
	}
	return nil
}

// Connect connects to a broker, and keeps at it for as long as the process
// runs: a server that goes away is waited for, or another one taken.
func (b Broker) Connect(ctx context.Context, name string, log *slog.Logger) (*nats.Conn, error) {
	if err := checkAddresses(b.URL); err != nil {
		return nil, err
	}
	options := []nats.Option{
		nats.Name(name),
		nats.MaxReconnects(-1),
		nats.ReconnectWait(250 * time.Millisecond),
		nats.ReconnectJitter(100*time.Millisecond, 500*time.Millisecond),
		nats.Timeout(5 * time.Second),
		nats.DisconnectErrHandler(func(_ *nats.Conn, err error) {
			if err != nil {
				log.Warn("the broker is gone; waiting for it", "error", err)
			}
		}),
		nats.ReconnectHandler(func(c *nats.Conn) { log.Info("connected again", "broker", c.ConnectedUrlRedacted()) }),
		nats.ErrorHandler(func(_ *nats.Conn, _ *nats.Subscription, err error) { log.Warn("broker", "error", err) }),
	}
	if b.Creds != "" {
		options = append(options, nats.UserCredentials(b.Creds))
	}
	if b.NKey != "" {
		o, err := nats.NkeyOptionFromSeed(b.NKey)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", b.NKey, err)
		}
		options = append(options, o)
	}
	if b.CA != "" {
		options = append(options, nats.RootCAs(b.CA))
	}
	if b.Cert != "" || b.Key != "" {
		options = append(options, nats.ClientCert(b.Cert, b.Key))
	}
	if b.Token != "" {
		options = append(options, nats.Token(b.Token))
	}
	var conn *nats.Conn
	wait := firstWait
	for begun := time.Now(); ; wait = min(2*wait, longWait) {
		var err error
		if conn, err = nats.Connect(b.URL, options...); err == nil {
			return conn, nil
		}
		var u *url.Error
		if errors.As(err, &u) {
			err = u.Err // it shows the address, with passwords in it
		}
		// A server that is being started is worth a short wait.
		if !isTrouble(err) || time.Since(begun) > 5*time.Second || ctx.Err() != nil {
			if errors.Is(err, nats.ErrNoServers) {
				err = &silentError{err}
			}
			return nil, fmt.Errorf("broker %s: %w", redacted(b.URL), err)
		}
		select {
		case <-ctx.Done():
		case <-time.After(wait):
		}
	}
}

// A silentError is that of a library which found no server, in other words.
type silentError struct{ err error }

func (e *silentError) Error() string { return "no server answers there" }
func (e *silentError) Unwrap() error { return e.err }
