package work

import (
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"
)

// The processes of one machine serve each other: whichever is killed, another
// takes its place, and nothing is lost or there twice.
func TestOneMachineKilled(t *testing.T) {
	const count = 60
	dir, data := narrated(t, count), filepath.Join(t.TempDir(), "data")
	local, broker, err := OpenLocal(t.Context(), data, quiet())
	if err != nil {
		t.Fatal(err)
	}
	send(t, &Sender{Job: connect(t, broker, testLayout)}, dir)
	if err := local.Close(); err != nil {
		t.Fatal(err)
	}
	all := make([]*exec.Cmd, 3)
	for i := range all {
		all[i] = start(t, "local", data)
	}
	for i := range all {
		time.Sleep(700 * time.Millisecond)
		kill(all[i]) // one of them serves
		all[i] = start(t, "local", data)
	}
	local, broker, err = OpenLocal(t.Context(), data, quiet())
	if err != nil {
		t.Fatal(err)
	}
	j := connect(t, broker, testLayout)
	for begun := time.Now(); ; time.Sleep(200 * time.Millisecond) {
		if left, err := j.left(t.Context()); err == nil && left == 0 {
			break
		}
		if time.Since(begun) > 3*time.Minute {
			t.Fatal("not done in time")
		}
	}
	for _, w := range all {
		kill(w)
	}
	checkAll(t, j, dir, count)
	if err := local.Close(); err != nil {
		t.Error(err)
	}
}

// The folder of the broker is its owner's alone.
func TestLocalFolder(t *testing.T) {
	data := filepath.Join(t.TempDir(), "data")
	local, broker, err := OpenLocal(t.Context(), data, quiet())
	if err != nil {
		t.Fatal(err)
	}
	defer local.Close()
	for name, want := range map[string]os.FileMode{data: 0o700, filepath.Join(data, placeName): 0o600} {
		info, err := os.Stat(name)
		if err != nil || info.Mode().Perm() != want {
			t.Errorf("%s: %v, want %v (%v)", name, info.Mode().Perm(), want, err)
		}
	}
	if host := broker.URL[:len("nats://127.0.0.1:")]; host != "nats://127.0.0.1:" {
		t.Errorf("the broker listens at %s", broker.URL)
	}
	broker.Token = "wrong"
	if _, err := broker.Connect(t.Context(), "test", quiet()); err == nil {
		t.Error("a wrong token is let in")
	}
}
