package work

import (
	"context"
	"crypto/rand"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"log/slog"
	"os"
	"path/filepath"
	"sync"
	"time"

	"saywatt/internal/filelock"
)

// A Local is the broker of one machine: one of the processes that use a data
// folder serves the others. When that one ends, however it ends, another takes
// its place at the same address, and the files are all there.
type Local struct {
	dir  string
	log  *slog.Logger
	stop context.CancelFunc
	done sync.WaitGroup

	mu     sync.Mutex // guards what follows
	lock   *os.File
	server *embedded
}

// place is broker.json in the data folder: where the broker is. Only the owner
// of the folder may read it.
type place struct {
	Port  int    `json:"port"`
	Token string `json:"token"`
}

const placeName = "broker.json"

// takeOverEvery is how often a process looks whether the serving one is gone.
const takeOverEvery = 300 * time.Millisecond

// startupTime is how long a server may take until it takes connections.
const startupTime = 30 * time.Second

// OpenLocal finds or starts the broker of a data folder, which is made where it
// is not there.
func OpenLocal(ctx context.Context, dir string, log *slog.Logger) (*Local, Broker, error) {
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return nil, Broker{}, err
	}
	l := &Local{dir: dir, log: log}
	if err := l.serve(); err != nil {
		return nil, Broker{}, err
	}
	p, err := l.place(ctx)
	if err != nil {
		return nil, Broker{}, errors.Join(err, l.Close())
	}
	watch, stop := context.WithCancel(context.WithoutCancel(ctx))
	l.stop = stop
	l.done.Go(func() { l.watch(watch) })
	return l, Broker{URL: fmt.Sprintf("nats://127.0.0.1:%d", p.Port), Token: p.Token}, nil
}

// serve becomes the broker, if no other process is.
func (l *Local) serve() error {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.server != nil {
		return nil
	}
	f, err := os.OpenFile(filepath.Join(l.dir, "lock"), os.O_RDWR|os.O_CREATE, 0o600)
	if err != nil {
		return err
	}
	held, err := filelock.Try(f)
	if errors.Is(err, filelock.ErrUnknown) { // two processes could serve the same files
		err = fmt.Errorf("%s: %w; --broker names a broker elsewhere", f.Name(), err)
	}
	if err != nil || !held {
		return errors.Join(err, f.Close())
	}
	p, err := readPlace(l.dir)
	if errors.Is(err, fs.ErrNotExist) {
		p, err = place{Token: newToken()}, nil
	}
	if err != nil {
		return errors.Join(err, f.Close())
	}
	s, err := startServer(l.dir, p.Port, p.Token)
	if err != nil && p.Port != 0 {
		// Somebody else has the port by now.
		s, err = startServer(l.dir, 0, p.Token)
	}
	if err != nil {
		return errors.Join(err, f.Close())
	}
	p.Port = s.port()
	if err := writePlace(l.dir, p); err != nil {
		s.stop()
		return errors.Join(err, f.Close())
	}
	l.lock, l.server = f, s
	l.log.Debug("serving this machine", "address", s.address(), "folder", l.dir)
	return nil
}

// watch takes over when the process that served is gone.
func (l *Local) watch(ctx context.Context) {
	for {
		select {
		case <-ctx.Done():
			return
		case <-time.After(takeOverEvery):
		}
		if err := l.serve(); err != nil {
			l.log.Warn("this process cannot serve in place of another", "error", err)
		}
	}
}

// place waits for the serving process to say where it is.
func (l *Local) place(ctx context.Context) (place, error) {
	for begun := time.Now(); ; {
		p, err := readPlace(l.dir)
		if err == nil {
			return p, nil
		}
		if ctx.Err() != nil || time.Since(begun) > startupTime {
			return place{}, err
		}
		time.Sleep(takeOverEvery)
	}
}

// Close ends serving, if this process did.
func (l *Local) Close() error {
	if l.stop != nil {
		l.stop()
		l.done.Wait()
	}
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.server == nil {
		return nil
	}
	l.server.stop()
	l.server = nil
	return l.lock.Close()
}

func readPlace(dir string) (place, error) {
	var p place
	name := filepath.Join(dir, placeName)
	b, err := os.ReadFile(name)
	if err != nil {
		return p, err
	}
	if err := json.Unmarshal(b, &p); err != nil {
		return p, fmt.Errorf("%s: %w", name, err)
	}
	return p, nil
}

// writePlace puts the file there at once, whole.
func writePlace(dir string, p place) error {
	b, err := json.Marshal(p)
	if err != nil {
		return err
	}
	name := filepath.Join(dir, placeName)
	if err := os.WriteFile(name+".new", append(b, '\n'), 0o600); err != nil {
		return err
	}
	return os.Rename(name+".new", name)
}

func newToken() string {
	b := make([]byte, 16)
	_, _ = rand.Read(b) // it never fails
	return hex.EncodeToString(b)
}

// Serve serves as a file of NATS's configuration says, until ctx ends. ready
// may be nil; it gets the address.
func Serve(ctx context.Context, file string, ready func(address string)) error {
	s, err := serveFile(file)
	if err != nil {
		return err
	}
	if ready != nil {
		ready(s.address())
	}
	<-ctx.Done()
	s.stop()
	return nil
}
