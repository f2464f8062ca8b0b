package work

import (
	"context"
	"fmt"
	"log/slog"
	"os"
	"os/exec"
	"os/signal"
	"strings"
	"syscall"
	"testing"
	"time"
)

// TestMain runs the tests, or, where the environment says so, is one of the
// processes that they start: a server of a cluster, or a worker.
func TestMain(m *testing.M) {
	role := strings.Fields(os.Getenv("SAYWATT_WORK_TEST"))
	if len(role) == 0 {
		os.Exit(m.Run())
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	if err := play(ctx, role); err != nil {
		fmt.Fprintln(os.Stderr, role, err)
		os.Exit(1)
	}
}

// play is what such a process does.
func play(ctx context.Context, role []string) error {
	log := slog.New(slog.NewTextHandler(os.Stderr, &slog.HandlerOptions{Level: slog.LevelWarn}))
	var broker Broker
	switch role[0] {
	case "server":
		return Serve(ctx, role[1], nil)
	case "worker":
		broker = Broker{URL: role[1]}
	case "local":
		l, b, err := OpenLocal(ctx, role[1], log)
		if err != nil {
			return err
		}
		defer l.Close()
		broker = b
	default:
		return fmt.Errorf("no role %q", role[0])
	}
	conn, err := broker.Connect(ctx, "test", log)
	if err != nil {
		return err
	}
	defer conn.Close()
	job, err := OpenJob(ctx, conn, defaultJob, testLayout)
	if err != nil {
		return err
	}
	w := &Worker{Job: job, Name: fmt.Sprintf("w%d", os.Getpid()), Log: log, Drain: len(role) > 2 && role[2] == "drain"}
	return w.Run(ctx)
}

// testLayout has a task of a dead worker come back soon.
var testLayout = Layout{AckWait: 3 * time.Second}

// start starts this test binary in a role. It is killed when the test ends.
func start(t testing.TB, role ...string) *exec.Cmd {
	t.Helper()
	c := exec.Command(os.Args[0])
	c.Env = append(os.Environ(), "SAYWATT_WORK_TEST="+strings.Join(role, " "), "GOMAXPROCS=1")
	c.Stderr = os.Stderr
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { kill(c) })
	return c
}

// kill ends a process at once, with no chance to end anything.
func kill(c *exec.Cmd) {
	_ = c.Process.Kill()
	_ = c.Wait()
}

func quiet() *slog.Logger { return slog.New(slog.DiscardHandler) }

// openTest is a job on a broker of its own in this process.
func openTest(t testing.TB, l Layout) *Job {
	t.Helper()
	local, broker, err := OpenLocal(t.Context(), t.TempDir(), quiet())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { local.Close() })
	return connect(t, broker, l)
}

func connect(t testing.TB, broker Broker, l Layout) *Job {
	t.Helper()
	conn, err := broker.Connect(t.Context(), "test", quiet())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(conn.Close)
	job, err := OpenJob(t.Context(), conn, defaultJob, l)
	if err != nil {
		t.Fatal(err)
	}
	return job
}

// drain works until nothing is left.
func drain(t testing.TB, w *Worker) {
	t.Helper()
	if w.Name == "" {
		w.Name = "test"
	}
	w.Drain = true
	ctx, cancel := context.WithTimeout(t.Context(), 2*time.Minute)
	defer cancel()
	if err := w.Run(ctx); err != nil {
		t.Fatal(err)
	}
	if ctx.Err() != nil {
		t.Fatal("not drained in time")
	}
}
