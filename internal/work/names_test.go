package work

import (
	"errors"
	"strings"
	"testing"
	"testing/quick"
)

func TestReviewName(t *testing.T) {
	for file, want := range map[string]string{
		"tarn.vtt":          "tarn",
		"tarn/en.vtt":       "tarn-en",
		"Tarn 65/EN.srt":    "tarn-65-en",
		"v1.txt/en.vtt":     "v1-txt-en",
		"qc 3.0.vtt":        "qc-3.0",
		"tarn.decisions":    "tarn-decisions",
		"größe/µ.vtt":       "größe-u",
		"tarn.sbv":          "tarn",
		"qc 3.0a":           "qc-3.0a",
		".vtt":              "",
		"---":               "",
		"a_b*c>d e\tf.vtt":  "a-b-c-d-e-f",
		"tarn-en":           "tarn-en",
		"one.two.three.vtt": "one-two-three",
	} {
		if got := ReviewName(file); got != want {
			t.Errorf("%q is called %q, want %q", file, got, want)
		}
	}
	long := ReviewName(strings.Repeat("many words ", 50) + ".vtt")
	other := ReviewName(strings.Repeat("many words ", 51) + ".vtt")
	if len(long) > longestName || long == other {
		t.Errorf("%q and %q", long, other)
	}
}

// Whatever a file is called, its review has a name that stays what it is, is
// one token of a subject, and is read back from it.
func TestReviewNameOfAnything(t *testing.T) {
	n := names{defaultJob}
	check := func(file string) bool {
		name := ReviewName(file)
		subject := n.subject(kindRecord, name)
		return name == "" || ReviewName(name) == name && reviewOf(subject) == name &&
			strings.Count(subject, ".") == 3 && !strings.ContainsAny(subject, " *>\t\r\n")
	}
	if err := quick.Check(check, &quick.Config{MaxCount: 5000}); err != nil {
		t.Error(err)
	}
}

// FuzzReviewName is the same for bytes found by fuzzing.
func FuzzReviewName(f *testing.F) {
	for _, s := range []string{"tarn/en.vtt", "3.0", "1.2.3/4.5", "\xff", strings.Repeat("é1.", 100)} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, file string) {
		name := ReviewName(file)
		if name != "" && (ReviewName(name) != name || reviewOf(names{defaultJob}.subject(kindRecord, name)) != name) {
			t.Errorf("%q: %q, then %q", file, name, ReviewName(name))
		}
	})
}

func TestShards(t *testing.T) {
	// FNV-1a, 32 bits, of "a" is 0xe40c292c (draft-eastlake-fnv, appendix).
	if got := slot("a"); got != 0x2c {
		t.Errorf("slot %d, want %d", got, 0x2c)
	}
	for shards := 1; shards <= Slots; shards++ {
		next := 0
		for shard := range shards {
			from, to := slotsOf(shard, shards)
			if from != next || to <= from {
				t.Fatalf("shard %d of %d has the slots from %d to %d, and %d is the next", shard, shards, from, to,
					next)
			}
			for slot := from; slot < to; slot++ {
				if slot*shards/Slots != shard {
					t.Fatalf("slot %d is not in shard %d of %d", slot, shard, shards)
				}
			}
			next = to
		}
		if next != Slots {
			t.Fatalf("%d shards have %d slots", shards, next)
		}
	}
}

func TestCheckJob(t *testing.T) {
	for job, ok := range map[string]bool{"saywatt": true, "A-1": true, "": false, "a.b": false, "a b": false,
		"a*": false, "ä": false} {
		if err := CheckJob(job); (err == nil) != ok {
			t.Errorf("%q: %v", job, err)
		}
	}
}

func TestRedacted(t *testing.T) {
	for address, want := range map[string]string{
		"nats://127.0.0.1:4222":                      "nats://127.0.0.1:4222",
		"nats://user:secret@h:4222":                  "nats://h:4222",
		"tls://token@a:1, nats://u:p@b:2":            "tls://a:1,nats://b:2",
		"user:secret@h:4222":                         "h:4222",
		"nats://u:%zz@h:1":                           "h:1",
		"nats://a:1,nats://u:p@b:2,nats://u:p@c:3/x": "nats://a:1,nats://b:2,nats://c:3/x",
	} {
		if got := redacted(address); got != want {
			t.Errorf("%q is shown as %q, want %q", address, got, want)
		}
	}
}

func TestParseTask(t *testing.T) {
	sum := strings.Repeat("0", 64)
	for text, ok := range map[string]bool{
		`{"version":"saywatt/task/1","review":"a","file":"a.vtt","sha256":"` + sum + `"}`:   true,
		`{"version":"saywatt/task/2","review":"a","file":"a.vtt","sha256":"` + sum + `"}`:   false,
		`{"version":"saywatt/task/1","review":"A b","file":"a.vtt","sha256":"` + sum + `"}`: false,
		`{"version":"saywatt/task/1","review":"a","file":"a.vtt","sha256":"0"}`:             false,
		`{"version":`: false,
		``:            false,
	} {
		if _, err := parseTask([]byte(text)); (err == nil) != ok || err != nil && !errors.Is(err, errTask) {
			t.Errorf("%s: %v", text, err)
		}
	}
}

// FuzzParseTask reads anything.
func FuzzParseTask(f *testing.F) {
	f.Add([]byte(`{"version":"saywatt/task/1","review":"a","file":"a.vtt","sha256":"` + strings.Repeat("0", 64) + `"}`))
	f.Add([]byte(`{`))
	f.Fuzz(func(t *testing.T, b []byte) {
		if task, err := parseTask(b); err == nil &&
			(task.Review == "" && ReviewName(task.Review) != "" || len(task.SHA256) != 64) {
			t.Errorf("%q is taken for %+v", b, task)
		}
	})
}
