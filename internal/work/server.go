//go:build !noserver

package work

import (
	"errors"
	"fmt"
	"net"
	"path/filepath"
	"strconv"

	"github.com/nats-io/nats-server/v2/server"
)

const loopback = "127.0.0.1"

// An embedded server serves from this process.
type embedded struct{ s *server.Server }

// startServer starts a server for this machine alone: it listens on loopback,
// asks for a token and keeps its files in a folder. Port 0 takes a free one.
func startServer(dir string, port int, token string) (*embedded, error) {
	if port == 0 {
		port = server.RANDOM_PORT
	}
	return run(&server.Options{
		ServerName: "saywatt", Host: loopback, Port: port, Authorization: token,
		JetStream: true, StoreDir: filepath.Join(dir, "store"), MaxPayload: 8 << 20,
		NoSigs: true, NoLog: true,
	})
}

// serveFile starts a server as a file of NATS's own configuration says. What
// the file gives no host to listens on loopback.
func serveFile(file string) (*embedded, error) {
	o, err := server.ProcessConfigFile(file)
	if err != nil {
		return nil, err
	}
	o.NoSigs = true
	for _, host := range []*string{&o.Host, &o.Cluster.Host, &o.HTTPHost, &o.LeafNode.Host, &o.Gateway.Host,
		&o.Websocket.Host, &o.MQTT.Host} {
		if *host == "" {
			*host = loopback
		}
	}
	e, err := run(o)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", file, err)
	}
	return e, nil
}

func run(o *server.Options) (*embedded, error) {
	s, err := server.NewServer(o)
	if err != nil {
		return nil, err
	}
	if !o.NoLog {
		s.ConfigureLogger()
	}
	s.Start()
	if !s.ReadyForConnections(startupTime) {
		s.Shutdown()
		return nil, errors.New("the broker in this process did not start; its address may be taken")
	}
	return &embedded{s}, nil
}

// port is where the server listens.
func (e *embedded) port() int {
	_, port, err := net.SplitHostPort(e.s.Addr().String())
	if err != nil {
		return 0
	}
	n, _ := strconv.Atoi(port)
	return n
}

// address is how clients on this machine reach it.
func (e *embedded) address() string { return e.s.ClientURL() }

// stop ends it, when what it holds is in its files.
func (e *embedded) stop() {
	e.s.Shutdown()
	e.s.WaitForShutdown()
}
