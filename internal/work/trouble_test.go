package work

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"testing"

	"github.com/nats-io/nats.go"
	"github.com/nats-io/nats.go/jetstream"
)

// Trouble with the broker is distinguished from captions that cannot be read: it uses
// up no try.
func TestTrouble(t *testing.T) {
	for _, c := range []struct {
		err     error
		trouble bool
	}{
		{nats.ErrTimeout, true},
		{nats.ErrNoResponders, true},
		{fmt.Errorf("nats: %w", &jetstream.APIError{Code: 503}), true},
		{fmt.Errorf("get: %w", &nats.APIError{Code: 503}), true},
		{context.DeadlineExceeded, true},
		{fmt.Errorf("put: %w", jetstream.ErrAsyncPublishTimeout), true},
		{&jetstream.APIError{Code: 500, ErrorCode: codeNoStorage}, false},
		{jetstream.ErrObjectNotFound, false},
		{&jetstream.APIError{Code: 400, ErrorCode: jetstream.JSErrCodeStreamWrongLastSequence}, false},
		{&nats.APIError{Code: 404}, false},
		{errContent, false},
		{fs.ErrNotExist, false},
		{errors.New("no words in it"), false},
	} {
		if got := isTrouble(c.err); got != c.trouble {
			t.Errorf("%v: trouble %v, want %v", c.err, got, c.trouble)
		}
	}
}
