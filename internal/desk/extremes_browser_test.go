package desk

import (
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

// Names without an end, words from right to left, seventy reviews, and one that
// was closed in another tab.
func TestExtremes(t *testing.T) {
	ctx := browser(t)
	long := strings.Repeat("endless", 20_000/7+1)[:20_000]
	d, server := deskOf(t, Config{Who: long, Media: []string{tone(t, 30)}})
	open := func(name, text string) string {
		t.Helper()
		r, err := d.Open(t.Context(), name, strings.NewReader("WEBVTT\n\n00:01.000 --> 00:09.000\n"+text+"\n"))
		if err != nil {
			t.Fatal(err)
		}
		return r
	}
	endless := open(long+".vtt", "The Orrindale "+long+" charger made by "+long+".\n"+
		"Output 20 volts 325 amps, 65 watts. No load it draws 8 watts.")
	hebrew := open("hebrew.vtt", "המטען הזה נותן "+
		"Output 20 volts 325 amps, 65 watts, כך כתוב. No load it draws 8 watts לפי המדידה שלי.")
	for _, size := range [][2]int64{{1440, 900}, {1024, 768}, {360, 740}} {
		do(t, ctx, chromedp.EmulateViewport(size[0], size[1]))
		for _, id := range []string{endless, hebrew} {
			for _, page := range []string{"question", "sheet", "transcript", "picture", "decisions", "out", "look"} {
				if page != "question" && size[0] > 360 { // what fits here fits a desk
					continue
				}
				do(t, ctx, chromedp.Navigate(server.URL+"/r/"+id+"/"+page))
				inspect(t, ctx, fmt.Sprintf("extreme-%s-%s-%d", id[:6], page, size[0]))
				if page != "question" || !evaluate[bool](t, ctx, `!!document.querySelector(".answer")`) {
					continue
				}
				if out := evaluate[[]string](t, ctx, inView); len(out) > 0 {
					t.Errorf("%s, %v: out of view: %q", id[:6], size, out)
				}
			}
		}
		do(t, ctx, chromedp.Navigate(server.URL+"/"))
		inspect(t, ctx, fmt.Sprintf("extreme-home-%d", size[0]))
	}
	// A quantity among words from right to left stands by itself: 325 amps is not
	// shown as amps 325.
	do(t, ctx, chromedp.Navigate(server.URL+"/r/"+hebrew+"/transcript"))
	for _, said := range evaluate[[]string](t, ctx, `[...document.querySelectorAll(".text a.mark")].filter((e) => {
		const words = e.firstChild, at = (i) => { const r = document.createRange(); r.setStart(words, i); r.setEnd(words, i + 1); return r.getBoundingClientRect(); };
		const first = at(0), last = at(words.length - 1);
		return first.top === last.top && first.left > last.left;
	}).map((e) => e.textContent)`) {
		t.Errorf("%q is shown the other way round", said)
	}

	for i := range 68 {
		open(fmt.Sprintf("tern-%d.vtt", i), fmt.Sprintf("The Tern %d charger. Output %d volts 3 amps.", i, 5+i))
	}
	do(t, ctx, chromedp.Navigate(server.URL+"/"))
	if n := evaluate[int](t, ctx, `document.querySelectorAll(".cards > li").length`); n != 70 {
		t.Errorf("%d of 70 reviews are listed", n)
	}
	inspect(t, ctx, "extreme-seventy")
	do(t, ctx, chromedp.Navigate(server.URL+"/?find=tern+67"))
	sees(t, ctx, "1 of them with “tern 67”")

	// Closed in another tab: nothing is decided, the page says so and leads back, and
	// it can be opened again with all that was decided.
	other, cancel := chromedp.NewContext(ctx)
	t.Cleanup(cancel)
	do(t, ctx, chromedp.Navigate(server.URL+"/r/"+hebrew+"/question"), awake)
	do(t, other, chromedp.Navigate(server.URL+"/?find=hebrew"))
	evaluate[bool](t, other, `(document.querySelector("form[action$='/close'] button").click(), true)`)
	until(t, other, `document.body.innerText.includes("Closed just now")`)
	press(t, ctx, "1")
	sees(t, ctx, "No review of this name is open")
	inspect(t, ctx, "extreme-closed")
	evaluate[bool](t, ctx, `(document.querySelector("main a[href='/']").click(), true)`)
	sees(t, ctx, "Closed just now")
	evaluate[bool](t, ctx, `(document.querySelector("form[action^='/reopen/'] button").click(), true)`)
	until(t, ctx, fmt.Sprintf(`location.pathname.startsWith("/r/%s")`, hebrew))
}
