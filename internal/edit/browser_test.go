package edit

import (
	"bytes"
	"context"
	"fmt"
	"io"
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

// cuesOf loads a caption file into a track of the page, and gives its cues as the
// player has them. The page stays: a new one for every file would take the ground
// from under a script that still runs in the one before.
const cuesOf = `new Promise((resolve, reject) => {
	const track = document.createElement("track");
	track.default = true;
	track.onload = () => resolve([...track.track.cues].map(c => [c.startTime.toFixed(3), c.endTime.toFixed(3), c.text]));
	track.onerror = () => reject(new Error("the captions do not load"));
	track.src = "/%s.vtt";
	const video = document.createElement("video");
	video.append(track);
	document.body.replaceChildren(video);
	track.track.mode = "showing";
})`

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
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(path), chromedp.NoSandbox,
		chromedp.WSURLReadTimeout(time.Minute))
	ctx, cancel := chromedp.NewExecAllocator(context.Background(), options...)
	defer cancel()
	ctx, cancel = chromedp.NewContext(ctx)
	defer cancel()
	if err := chromedp.Do(ctx); err != nil { // starts it, before there is a time limit
		t.Fatal(err)
	}
	ctx, cancel = context.WithTimeout(ctx, 5*time.Minute)
	defer cancel()

	captions := map[string][]byte{} // by path; written only while the browser waits
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if c, ok := captions[r.URL.Path]; ok {
			w.Header().Set("Content-Type", "text/vtt")
			w.Write(c)
			return
		}
		w.Header().Set("Content-Type", "text/html")
		io.WriteString(w, `<!DOCTYPE html><title>captions</title><body>`)
	}))
	defer server.Close()
	if err := chromedp.Do(ctx, chromedp.Navigate(server.URL), chromedp.WaitReady("body")); err != nil {
		t.Fatal(err)
	}

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
		captions["/"+name+".vtt"] = corrected
		got, err := chromedp.Run(ctx, chromedp.Evaluate[[][]string](fmt.Sprintf(cuesOf, name),
			chromedp.EvalAwaitPromise))
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		var want [][]string
		for _, c := range after.Cues {
			block := corrected[c.Source.Start:c.Source.End]
			_, payload, _ := bytes.Cut(block[bytes.Index(block, []byte("-->")):], []byte("\n"))
			want = append(want, []string{fmt.Sprintf("%.3f", c.Start.Seconds()), fmt.Sprintf("%.3f", c.End.Seconds()),
				string(payload)})
		}
		if d := cmp.Diff(want, got); d != "" {
			t.Errorf("%s (-ours +the browser's):\n%s", name, d)
		}
	}
}
