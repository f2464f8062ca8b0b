package desk

import (
	"fmt"
	"io"
	"net/http"
	"net/url"
	"os"
	"slices"
	"strconv"
	"sync"
	"testing"
	"time"

	"saywatt/extract/transcript"
	"saywatt/internal/demo"
	"saywatt/schema"
)

// Mixed pages on an archive of 10 000 reviews, 200 requests a second: no error,
// and how long the slowest in a hundred take. SAYWATT_DESK_LOAD says for how
// long, such as 60s; figures stand in DEVELOPERS.md.
func TestLoad(t *testing.T) {
	asked := os.Getenv("SAYWATT_DESK_LOAD")
	if asked == "" {
		t.Skip("SAYWATT_DESK_LOAD is not set: no load is put on the desk")
	}
	lasts, err := time.ParseDuration(asked)
	if err != nil {
		t.Fatal(err)
	}
	size := 10_000
	if n, err := strconv.Atoi(os.Getenv("SAYWATT_DESK_REVIEWS")); err == nil {
		size = n
	}
	a := newArchive(t)
	v := visit(t, Config{Archive: a})
	tr, err := transcript.Parse(demo.Name, []byte(captions()))
	if err != nil {
		t.Fatal(err)
	}
	rec, err := v.desk.run(tr)
	if err != nil {
		t.Fatal(err)
	}
	w, err := a.Begin()
	if err != nil {
		t.Fatal(err)
	}
	start := time.Now()
	for i := range size {
		r := *rec
		r.Source.SHA256 = fmt.Sprintf("%064x", i+1)
		r.Source.File = fmt.Sprintf("review-%05d.vtt", i)
		r.Product.Name = fmt.Sprintf("Jetty %05d", i)
		r.Product.Maker = "Maker " + strconv.Itoa(i%97)
		r.Levels = slices.Clone(r.Levels)
		r.Levels[0].Voltage.Quantity = schema.One(schema.NewDecimal(int64(100+i%140), 0), "V")
		if _, err := w.Add(r.Source.File, &r, "", someday, false); err != nil {
			t.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	t.Logf("%d reviews in after %v", size, time.Since(start).Round(time.Millisecond))
	pages := []string{"/", "/r/demo/question/" + resistance, "/r/demo/sheet", "/r/demo/transcript", "/r/demo/decisions",
		"/r/demo/picture", "/r/demo/out/record.json",
		"/archive?q=" + url.QueryEscape("fuse current 3..4 A"), "/archive?q=jetty", "/archive/compare?r=demo&r=review-00007", "/archive/stats?subject=efficiency", "/archive/queue?q=" + url.QueryEscape(`maker:"Maker 5"`), "/static/desk.css"}
	client := &http.Client{Transport: &http.Transport{MaxIdleConnsPerHost: 64}, Timeout: 30 * time.Second}
	type took struct {
		page string
		time time.Duration
		err  error
	}
	const rate = 200
	results := make(chan took, int(lasts.Seconds()+1)*rate)
	var wait sync.WaitGroup
	tick := time.NewTicker(time.Second / rate)
	defer tick.Stop()
	for i := 0; time.Duration(i)*time.Second/rate < lasts; i++ {
		<-tick.C
		wait.Add(1)
		go func() {
			defer wait.Done()
			page := pages[i%len(pages)]
			begun := time.Now()
			r, err := client.Get(v.server.URL + page)
			if err == nil {
				_, err = io.Copy(io.Discard, r.Body)
				r.Body.Close()
				if r.StatusCode != 200 {
					err = fmt.Errorf("status %d", r.StatusCode)
				}
			}
			results <- took{page, time.Since(begun), err}
		}()
	}
	wait.Wait()
	close(results)
	of := map[string][]time.Duration{}
	var all []time.Duration
	failed := 0
	for r := range results {
		if r.err != nil {
			if failed++; failed < 5 {
				t.Errorf("%s: %v", r.page, r.err)
			}
			continue
		}
		all, of[r.page] = append(all, r.time), append(of[r.page], r.time)
	}
	at := func(d []time.Duration, share float64) time.Duration {
		slices.Sort(d)
		return d[min(len(d)-1, int(share*float64(len(d))))].Round(100 * time.Microsecond)
	}
	t.Logf("%d pages, %d failed: half within %v, 99 of 100 within %v, all within %v", len(all)+failed, failed,
		at(all, 0.5), at(all, 0.99), at(all, 1))
	for _, p := range pages {
		t.Logf("%v %v %s", at(of[p], 0.5), at(of[p], 0.99), p)
	}
}
