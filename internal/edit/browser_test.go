package edit

import (
	"bytes"
	"context"
	"fmt"
	"net/http"
	"net/http/httptest"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/google/go-cmp/cmp"

	"saywatt/extract/transcript"
)

// A browser that plays the corrected WebVTT has the cues that we have: as many,
// with the same times, and the same text, markup included.
func TestCorrectedInBrowser(t *testing.T) {
	if testing.Short() {
		t.Skip("a browser takes seconds")
	}
	path, err := exec.LookPath("chromium")
	if err != nil {
		t.Skip("there is no Chromium: what a player makes of corrected captions is not checked")
	}
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(path), chromedp.NoSandbox)
	ctx, cancel := chromedp.NewExecAllocator(context.Background(), options...)
	defer cancel()
	ctx, cancel = chromedp.NewContext(ctx)
	defer cancel()
	if err := chromedp.Do(ctx); err != nil { // starts it, before there is a time limit
		t.Fatal(err)
	}
	ctx, cancel = context.WithTimeout(ctx, time.Minute)
	defer cancel()

	captions := map[string][]byte{}
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		name := strings.TrimPrefix(r.URL.Path, "/")
		if c, ok := captions[name]; ok {
			w.Header().Set("Content-Type", "text/vtt")
			w.Write(c)
			return
		}
		w.Header().Set("Content-Type", "text/html")
		fmt.Fprintf(w, `<!DOCTYPE html><title>captions</title><video><track default kind="captions" src="/%s.vtt"></video>`, name)
	}))
	defer server.Close()

	for _, f := range narrations(t) {
		if f.t.Format != transcript.FormatVTT {
			continue
		}
		name := strings.TrimSuffix(filepath.Base(f.name), ".vtt")
		r := record(t, f.t)
		changes, left, err := ForRecord(r, f.t, symbols)
		if err != nil {
			t.Fatal(err)
		}
		marks, _, err := Marks(left, f.t)
		if err != nil {
			t.Fatal(err)
		}
		corrected, err := Apply(f.t.Source, append(changes, marks...))
		if err != nil {
			t.Fatal(err)
		}
		after, err := Reread(f.t, corrected)
		if err != nil {
			t.Fatal(err)
		}
		captions[name+".vtt"] = corrected
		if err := chromedp.Do(ctx, chromedp.Navigate(server.URL+"/"+name)); err != nil {
			t.Fatal(err)
		}
		if _, err := chromedp.Run(ctx, chromedp.PollFunction[bool](`() => document.querySelector("track").readyState >= 2`)); err != nil {
			t.Fatalf("%s: the captions do not load: %v", name, err)
		}
		got, err := chromedp.Run(ctx, chromedp.Evaluate[[][]string](`[...document.querySelector("track").track.cues].map(c => [c.startTime.toFixed(3), c.endTime.toFixed(3), c.text])`))
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		var want [][]string
		for _, c := range after.Cues {
			block := corrected[c.Source.Start:c.Source.End]
			_, payload, _ := bytes.Cut(block[bytes.Index(block, []byte("-->")):], []byte("\n"))
			want = append(want, []string{fmt.Sprintf("%.3f", c.Start.Seconds()), fmt.Sprintf("%.3f", c.End.Seconds()), string(payload)})
		}
		if d := cmp.Diff(want, got); d != "" {
			t.Errorf("%s (-ours +the browser's):\n%s", name, d)
		}
	}
}
