package desk

import (
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

// What a person meets on a bad day: a page drawn anew in the middle, the way
// back, two tabs on one value, a server that is gone. Nothing is decided twice,
// nothing is lost, and the page says what it is.
func TestBadDay(t *testing.T) {
	ctx := browser(t)
	d, server := deskOf(t, Config{})
	const long = "WEBVTT\n\n00:01.000 --> 00:04.000\nThe \u202eTern\u202c <script>document.title='run'</script> שלום " +
		"charger. Output 20 volts 325 amps, 65 watts. No load it draws 8 watts.\n"
	if _, err := d.Open(t.Context(), strings.Repeat("x", 200)+"<script>.vtt",
		strings.NewReader(long+strings.Repeat("a", 20_000)+"\n")); err != nil {
		t.Fatal(err)
	}
	if _, err := d.Open(t.Context(), "demo.vtt", strings.NewReader(captions())); err != nil {
		t.Fatal(err)
	}
	for i, path := range []string{"/", "/r/" + d.all()[0].id + "/question", "/r/" + d.all()[0].id + "/transcript",
		"/r/" + d.all()[0].id + "/sheet"} {
		do(t, ctx, chromedp.EmulateViewport(360, 740), chromedp.Navigate(server.URL+path))
		inspect(t, ctx, fmt.Sprintf("hostile-%d", i))
		if title := evaluate[string](t, ctx, `document.title`); title == "run" {
			t.Errorf("%s: words of captions were run", path)
		}
	}
	r := d.find("demo")
	acts := func() int { return len(actsDone(r.state())) }

	// Drawn anew just after an answer, and back: the answer is one.
	do(t, ctx, chromedp.Navigate(server.URL+"/r/demo/question"))
	press(t, ctx, "1")
	until(t, ctx, `Number(document.body.dataset.version) > 0`)
	evaluate[bool](t, ctx, `(window.old = true, location.reload(), true)`)
	until(t, ctx, `!window.old`)
	sees(t, ctx, "Noted.")
	evaluate[bool](t, ctx, `(history.back(), true)`)
	until(t, ctx, `!location.search.includes("v=")`)
	if n := acts(); n != 1 {
		t.Fatalf("one key, drawn anew, made %d acts", n)
	}

	// Two tabs decide one value otherwise: the second is shown both.
	other, cancel := chromedp.NewContext(ctx)
	t.Cleanup(cancel)
	at := addressOf(r.state().record, r.questions(r.state())[0])
	do(t, ctx, chromedp.Navigate(server.URL+"/r/demo/question/"+at))
	do(t, other, chromedp.Navigate(server.URL+"/r/demo/question/"+at))
	press(t, other, "1")
	until(t, other, `location.search.includes("done=answered")`)
	press(t, ctx, "x")
	sees(t, ctx, "Somebody decided in between")
	if n := acts(); n != 2 {
		t.Errorf("two tabs made %d acts", n)
	}

	// The server is gone: nothing is shown as decided, and the answer can be given again
	// when it is back.
	do(t, ctx, chromedp.Navigate(server.URL+"/r/demo/question"))
	do(t, ctx, awake)
	evaluate[bool](t, ctx, `(window.fetched = window.fetch, window.fetch = () => Promise.reject(new TypeError("gone")), true)`)
	do(t, ctx, chromedp.KeyEvent("1"))
	sees(t, ctx, "The desk does not answer")
	if n := acts(); n != 2 {
		t.Errorf("without a server, %d acts", n)
	}
	evaluate[bool](t, ctx, `(window.fetch = window.fetched, true)`)
	press(t, ctx, "1")
	until(t, ctx, `location.search.includes("done=answered")`)
	if n := acts(); n != 3 {
		t.Errorf("given again, %d acts", n)
	}
}
