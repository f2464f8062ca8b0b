package article

import (
	"bytes"
	"context"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"saywatt/extract/transcript"
	"saywatt/internal/demo"
	"saywatt/internal/export/testdata/full"
	"saywatt/internal/pipeline"
	"saywatt/schema"
)

// browser starts a Chromium; the test skips where there is none.
func browser(t *testing.T) context.Context {
	t.Helper()
	if testing.Short() {
		t.Skip("a browser takes seconds")
	}
	path := ""
	for _, name := range []string{"chromium", "chromium-browser", "headless-shell"} {
		if p, err := exec.LookPath(name); err == nil {
			path = p
			break
		}
	}
	if path == "" {
		t.Skip("there is no Chromium: what a browser makes of it is not checked")
	}
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(path), chromedp.NoSandbox,
		chromedp.WSURLReadTimeout(time.Minute))
	ctx, cancel := chromedp.NewExecAllocator(context.Background(), options...)
	t.Cleanup(cancel)
	ctx, cancel = chromedp.NewContext(ctx)
	t.Cleanup(cancel)
	if err := chromedp.Do(ctx); err != nil { // starts it, before there is a time limit
		t.Fatal(err)
	}
	ctx, cancel = context.WithTimeout(ctx, 5*time.Minute)
	t.Cleanup(cancel)
	return ctx
}

// evaluate runs a script in the page.
func evaluate[T any](t *testing.T, ctx context.Context, script string) T {
	t.Helper()
	v, err := chromedp.Run(ctx, chromedp.Evaluate[T](script))
	if err != nil {
		t.Fatalf("%s: %v", script, err)
	}
	return v
}

// In a browser, at the width of a desk and of a telephone, the sheet does not
// overflow, shows its drawings, and asks the server for nothing else. With
// SAYWATT_SCREENSHOTS set to a directory, pictures of it are left there.
func TestHTMLInBrowser(t *testing.T) {
	ctx := browser(t)
	r, _ := full.Record(t)
	var b bytes.Buffer
	if err := (Options{Link: full.Link}).WriteHTML(&b, []*schema.Record{r}); err != nil {
		t.Fatal(err)
	}
	var asked []string
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, q *http.Request) {
		if q.URL.Path != "/favicon.ico" { // browsers ask for it by themselves
			asked = append(asked, q.URL.Path)
		}
		w.Header().Set("Content-Type", "text/html; charset=utf-8")
		w.Write(b.Bytes())
	}))
	defer server.Close()
	for _, width := range []int64{1280, 360} {
		if err := chromedp.Do(ctx, chromedp.EmulateViewport(width, 800),
			chromedp.Navigate(server.URL+"/sheet")); err != nil {
			t.Fatal(err)
		}
		overflow := evaluate[float64](t, ctx, `document.documentElement.scrollWidth - document.documentElement.clientWidth`)
		// The least size of text in the drawings, in pixels: they may not shrink below reading.
		letter := evaluate[float64](t, ctx, `Math.min(...[...document.querySelectorAll("section > figure text")].map(e => e.getBoundingClientRect().height).filter(h => h > 0))`)
		sideways := evaluate[float64](t, ctx, `Math.max(...[...document.querySelectorAll(".wide, section > figure")].map(e => e.scrollWidth - e.clientWidth))`)
		mode := evaluate[string](t, ctx, `document.compatMode`)
		shot, err := chromedp.Run(ctx, chromedp.FullScreenshot(100))
		if err != nil {
			t.Fatal(err)
		}
		if overflow > 0 {
			t.Errorf("%d pixels: the page is %v wider", width, overflow)
		}
		if sideways > 0 {
			t.Errorf("%d pixels: a table or drawing is to be scrolled sideways by %v", width, sideways)
		}
		if letter < 7 {
			t.Errorf("%d pixels: text of a drawing is %v high", width, letter)
		}
		if mode != "CSS1Compat" {
			t.Errorf("the page is read in %s", mode)
		}
		if dir := os.Getenv("SAYWATT_SCREENSHOTS"); dir != "" {
			name := map[int64]string{1280: "sheet-1280.png", 360: "sheet-360.png"}[width]
			if err := os.WriteFile(filepath.Join(dir, name), shot, 0o644); err != nil {
				t.Fatal(err)
			}
		}
	}
	if len(asked) != 2 {
		t.Errorf("the page asked for %q", asked)
	}
}

// The sheet of the demonstration takes two pages of paper.
func TestHTMLPrinted(t *testing.T) {
	ctx := browser(t)
	tr, err := transcript.Parse("/home/someone/reviews/"+demo.Name, []byte(demo.Captions()))
	if err != nil {
		t.Fatal(err)
	}
	r, err := pipeline.Run(tr, pipeline.Options{})
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := (Options{}).WriteHTML(&b, []*schema.Record{r}); err != nil {
		t.Fatal(err)
	}
	for _, never := range []string{"/home/", "someone", "href="} {
		if bytes.Contains(b.Bytes(), []byte(never)) {
			t.Errorf("the sheet has %q", never)
		}
	}
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, q *http.Request) {
		w.Header().Set("Content-Type", "text/html; charset=utf-8")
		w.Write(b.Bytes())
	}))
	defer server.Close()
	if err := chromedp.Do(ctx, chromedp.Navigate(server.URL+"/sheet")); err != nil {
		t.Fatal(err)
	}
	pdf, err := chromedp.Run(ctx, chromedp.PrintToPDF()) // on US Letter, the shorter one
	if err != nil {
		t.Fatal(err)
	}
	if n := len(regexp.MustCompile(`/Type\s*/Page[^s]`).FindAll(pdf, -1)); n != 2 {
		t.Errorf("printed on %d pages, want 2", n)
	}
	if dir := os.Getenv("SAYWATT_SCREENSHOTS"); dir != "" {
		if err := os.WriteFile(filepath.Join(dir, "demo.pdf"), pdf, 0o644); err != nil {
			t.Fatal(err)
		}
	}
}
