package work

import (
	"bytes"
	"context"
	"fmt"
	"math/rand/v2"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"saywatt/internal/archive"
	"saywatt/internal/export/feed"
	"saywatt/internal/export/table"
)

// narrations is how many the cluster reads: 150, or what SAYWATT_WORK_NARRATIONS says.
// "make cluster" reads 5,000.
func narrations(t testing.TB) int {
	n := 150
	if testing.Short() {
		n = 60
	}
	if s := os.Getenv("SAYWATT_WORK_NARRATIONS"); s != "" {
		var err error
		if n, err = strconv.Atoi(s); err != nil {
			t.Fatal(err)
		}
	}
	return n
}

// freePorts finds ports that nobody has.
func freePorts(t testing.TB, n int) []int {
	t.Helper()
	var ports []int
	for range n {
		l, err := net.Listen("tcp", "127.0.0.1:0")
		if err != nil {
			t.Fatal(err)
		}
		defer l.Close()
		ports = append(ports, l.Addr().(*net.TCPAddr).Port)
	}
	return ports
}

// A cluster of three servers, each a process.
type cluster struct {
	configs []string
	servers []*exec.Cmd
	url     string
}

func startCluster(t testing.TB) *cluster {
	t.Helper()
	const servers = 3
	ports := freePorts(t, 2*servers)
	clients, routes := ports[:servers], ports[servers:]
	c := &cluster{servers: make([]*exec.Cmd, servers)}
	dir := t.TempDir()
	var addresses, peers []string
	for i := range servers {
		addresses = append(addresses, fmt.Sprintf("nats://127.0.0.1:%d", clients[i]))
		peers = append(peers, fmt.Sprintf("nats://127.0.0.1:%d", routes[i]))
	}
	c.url = strings.Join(addresses, ",")
	for i := range servers {
		name := filepath.Join(dir, fmt.Sprintf("server%d.conf", i))
		// No host: what is not said to listen elsewhere listens on loopback.
		write(t, name, fmt.Sprintf("server_name: s%d\nport: %d\njetstream { store_dir: %q }\ncluster { name: test, "+
			"port: %d, routes: [%s] }\nlog_file: %q\n",
			i, clients[i], filepath.Join(dir, fmt.Sprintf("store%d", i)), routes[i], strings.Join(peers, ", "),
			filepath.Join(dir, fmt.Sprintf("log%d", i))))
		c.configs = append(c.configs, name)
		c.servers[i] = start(t, "server", name)
	}
	return c
}

// Servers and workers of a cluster are killed at random moments. In the end
// every record is there, once, as one process reads it.
func TestCluster(t *testing.T) {
	count := narrations(t)
	dir := narrated(t, count)
	c := startCluster(t)
	layout := testLayout
	layout.Replicas = 3
	j := connect(t, Broker{URL: c.url}, layout)
	if n := send(t, &Sender{Job: j}, dir); n != count {
		t.Fatalf("sent %d of %d", n, count)
	}
	const workers = 4
	rng := rand.New(rand.NewPCG(19, uint64(count)))
	all := make([]*exec.Cmd, workers)
	for i := range all {
		all[i] = start(t, "worker", c.url)
	}
	killed, serversKilled := 0, 0
	begun := time.Now()
	// How many are left when a worker is killed, and when a server is.
	moments := make([]int, max(8, count/100))
	for i := range moments {
		moments[i] = 1 + rng.IntN(count-1)
	}
	slices.Sort(moments)
	serverAt := count/3 + rng.IntN(count/3)
	for left := count; left > 0; time.Sleep(time.Duration(50+rng.IntN(200)) * time.Millisecond) {
		var err error
		if left, err = j.left(t.Context()); err != nil {
			left = count
			continue
		}
		if time.Since(begun) > time.Minute+time.Duration(count)*time.Second {
			t.Fatalf("%d left after %v", left, time.Since(begun))
		}
		if at := len(moments) - 1; at >= 0 && left <= moments[at] && left > 0 {
			i := rng.IntN(workers)
			kill(all[i])
			killed++
			all[i] = start(t, "worker", c.url)
			moments = moments[:at]
		}
		if serversKilled == 0 && left <= serverAt {
			i := rng.IntN(len(c.servers))
			kill(c.servers[i])
			serversKilled++
			time.Sleep(time.Second)
			c.servers[i] = start(t, "server", c.configs[i])
		}
	}
	t.Logf("%d narrations in %v; %d workers killed, %d servers", count, time.Since(begun).Round(time.Second), killed,
		serversKilled)
	if killed == 0 || serversKilled == 0 {
		t.Errorf("killed %d workers and %d servers; the test is to kill some of each", killed, serversKilled)
	}
	for _, w := range all {
		kill(w)
	}
	checkAll(t, j, dir, count)
}

// checkAll holds what a job has against what one process reads.
func checkAll(t *testing.T, j *Job, dir string, count int) {
	t.Helper()
	want := alone(t, dir)
	if len(want) != count {
		t.Fatalf("%d reviews, want %d", len(want), count)
	}
	if letters, err := j.deadLetters(t.Context(), 3); err != nil || len(letters) > 0 {
		t.Errorf("dead letters %+v, %v", letters, err)
	}
	info, err := j.results.Info(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if info.State.Msgs != uint64(perReview*count) {
		t.Errorf("%d messages of results, want %d of each of %d reviews", info.State.Msgs, perReview, count)
	}
	if got := gathered(t, j); got != joined(want) {
		t.Error("the records are not, byte for byte, what one process reads")
	}
	checkTables(t, j, want)
	checkShards(t, j, want)
}

// checkTables holds the findings and tables against the records.
func checkTables(t *testing.T, j *Job, want map[string]string) {
	t.Helper()
	for review, line := range want {
		s := &stored{line: []byte(line)}
		r, err := s.record()
		if err != nil {
			t.Fatal(err)
		}
		text := map[string]*bytes.Buffer{kindFindings: {}, kindTables: {}}
		for _, table := range table.All(r, nil) {
			kind := kindTables
			if table.Name == "findings" {
				kind = kindFindings
			}
			if err := feed.WriteRows(text[kind], r, table); err != nil {
				t.Fatal(err)
			}
		}
		for kind, want := range text {
			m, err := j.results.GetLastMsgForSubject(t.Context(), j.subject(kind, review))
			if err != nil {
				t.Fatalf("%s of %s: %v", kind, review, err)
			}
			got, err := j.body(t.Context(), m.Header, m.Data)
			if err != nil || !bytes.Equal(got, want.Bytes()) {
				t.Errorf("%s of %s are not those of its record (%v)", kind, review, err)
			}
		}
	}
}

// checkShards gathers into four archives, in two steps and the first one
// interrupted, and holds them against the records.
func checkShards(t *testing.T, j *Job, want map[string]string) {
	t.Helper()
	const count = 4
	dir := t.TempDir()
	ctx, stop := context.WithCancel(t.Context())
	cut := &Shards{Dir: dir, Count: count, Only: []int{0, 2}, Who: "test"}
	go func() {
		time.Sleep(50 * time.Millisecond)
		stop()
	}()
	if err := (&Gatherer{Job: j, Log: quiet()}).Archives(ctx, cut); err != nil && ctx.Err() == nil {
		t.Fatal(err)
	}
	for range 2 {
		to := &Shards{Dir: dir, Count: count, Who: "test"}
		if err := (&Gatherer{Job: j, Log: quiet()}).Archives(t.Context(), to); err != nil {
			t.Fatal(err)
		}
	}
	found := 0
	for n := range count {
		a, err := archive.Open((&Shards{Dir: dir, Count: count}).shardDir(n))
		if err != nil {
			t.Fatal(err)
		}
		defer a.Close()
		reviews, damages, err := a.Reviews()
		if err != nil || len(damages) > 0 {
			t.Fatal(err, damages)
		}
		for _, rv := range reviews {
			found++
			_, r, _, err := a.Record(rv.Name)
			if err != nil {
				t.Fatal(err)
			}
			_, line, err := feedLine(r)
			if err != nil || string(line) != want[rv.Name] || rv.Version != 1 || shardOf(rv.Name, count) != n {
				t.Errorf("shard %d: %s, version %d, is not what one process reads (%v)", n, rv.Name, rv.Version, err)
			}
		}
	}
	if found != len(want) {
		t.Errorf("%d reviews in the shards, want %d", found, len(want))
	}
}
