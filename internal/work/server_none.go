//go:build noserver

package work

import "errors"

// embedded is not in programs built with the tag noserver, which are smaller
// and need a broker elsewhere.
type embedded struct{}

var errNoServer = errors.New("this build has no broker in it; --broker names one")

func startServer(string, int, string) (*embedded, error) { return nil, errNoServer }
func serveFile(string) (*embedded, error)                { return nil, errNoServer }
func (*embedded) port() int                              { return 0 }
func (*embedded) address() string                        { return "" }
func (*embedded) stop()                                  {}
