package desk

import (
	"context"
	"fmt"
	"math"
	"net/http/httptest"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"saywatt/extract/transcript"
	"saywatt/internal/demo"

	"saywatt/schema"
)

// longReview strings narrations of the demonstration together, with talk between
// them that names no quantity, until half an hour is full.
func longReview(t *testing.T) string {
	t.Helper()
	var b strings.Builder
	b.WriteString("WEBVTT\n")
	at := time.Duration(0)
	for at < 30*time.Minute {
		for _, name := range []string{"demo.vtt", "atrium-station.vtt", "lantern-mag-bank.srt"} {
			text, err := os.ReadFile(filepath.Join("../demo/narrations", name))
			if err != nil {
				t.Fatal(err)
			}
			tr, err := transcript.Parse(name, text)
			if err != nil {
				t.Fatal(err)
			}
			for i := range tr.Cues {
				c := &tr.Cues[i]
				fmt.Fprintf(&b, "\n%s --> %s\n%s\n", vttTime(at+c.Start), vttTime(at+c.End),
					vttText(string(tr.Text[c.Text.Start:c.Text.End])))
			}
			at += tr.Duration + time.Second
			for range 40 {
				fmt.Fprintf(&b, "\n%s --> %s\nNow let us look at the next one, which I have on the bench here, and "+
					"see how it does.\n", vttTime(at), vttTime(at+5*time.Second))
				at += 5 * time.Second
			}
		}
	}
	return b.String()
}

// deskOf serves a desk in a browser test.
func deskOf(t *testing.T, c Config) (*Desk, *httptest.Server) {
	t.Helper()
	c.Log = func(err error) { t.Error(err) }
	d, err := New(c)
	if err != nil {
		t.Fatal(err)
	}
	d.patience = time.Hour // readings behind the pages have tests of their own
	t.Cleanup(func() { d.Close() })
	s := httptest.NewServer(d.handler())
	t.Cleanup(func() { s.CloseClientConnections(); s.Close() })
	return d, s
}

// inView lists what of a question cannot be seen or pressed without scrolling.
const inView = `[...document.querySelectorAll(".last, .sentence .now, .answer .readings button, " +
  ".answer .others button, #typed, #understood, .belongs-now, .elsewhere summary, .more :is(button, .press, label), " +
  ".player video, .player [data-hear]")].filter((e) => {
  const b = e.getBoundingClientRect();
  const top = document.elementFromPoint(b.left + b.width / 2, b.top + b.height / 2);
  if (!top || !(e.contains(top) || top.contains(e) || top.closest("li") === e.closest("li"))) return true;
  if (b.top < 0 || b.left < 0 || b.bottom > innerHeight || b.right > innerWidth) return true;
  const s = document.querySelector(".sentence").getBoundingClientRect();
  if (e.matches(".belongs .readings button") && [...e.querySelectorAll(".what")].some((w) => w.scrollWidth > w.clientWidth || w.scrollHeight > w.clientHeight + 1)) return true; // cut off
  return e.matches(".now") && (b.top < s.top || b.bottom > s.bottom);
}).map((e) => e.tagName + "." + e.className + " " + e.textContent.trim().slice(0, 30)).concat(scrollY ? ["scrolled by " + scrollY] : [])`

// lookedAt lists the places of a look-through, and the button that confirms them,
// that cannot be seen without scrolling.
const lookedAt = `[...document.querySelectorAll(".looked li, .looking button, .looking .press")].filter((e) => {
  const b = e.getBoundingClientRect();
  return b.top < 0 || b.bottom > innerHeight;
}).map((e) => e.textContent.trim().slice(0, 40))`

// stopwatch notes when a key was pressed and when the page that follows was
// drawn.
const stopwatch = `addEventListener("keydown", () => sessionStorage.setItem("pressed", Date.now()), true);
addEventListener("DOMContentLoaded", () => {
  const drawn = () => requestAnimationFrame(() => sessionStorage.setItem("drawn", Date.now()));
  drawn();
  document.addEventListener("turned", drawn);
});`

// quickTurn is how many milliseconds there may be from a key to the next page in
// the median, on a machine that does nothing besides.
const quickTurn = 150

// A review of half an hour: 40 decisions by one key each, without scrolling, on
// a screen of a desk and of a telephone; the answers are at one place throughout.
func TestFortyDecisions(t *testing.T) {
	const decisions = 40
	ctx := browser(t)
	d, server := deskOf(t, Config{Media: []string{tone(t, 5)}, Threshold: 0.999})
	if _, err := d.Open(t.Context(), "long.vtt", strings.NewReader(longReview(t))); err != nil {
		t.Fatal(err)
	}
	r := d.find("long")
	if n := len(r.asked(r.state())); n < decisions {
		t.Fatalf("%d questions", n)
	}
	do(t, ctx, onEveryPage(stopwatch))
	do(t, ctx, chromedp.Navigate(server.URL+"/r/long/question"), awake)
	judged := quiet(t)
	var took []float64
	for i := range decisions {
		switch i {
		case 0:
			do(t, ctx, chromedp.EmulateViewport(1440, 900), chromedp.Navigate(server.URL+"/r/long/question"), awake)
		case decisions / 2:
			do(t, ctx, chromedp.EmulateViewport(360, 740), chromedp.Navigate(server.URL+"/r/long/question"), awake)
		}
		if out := evaluate[[]string](t, ctx, inView); len(out) > 0 {
			t.Fatalf("decision %d: out of view: %q", i, out)
		}
		place := evaluate[[]float64](t, ctx, answersAt)
		key := "1"
		if i%7 == 3 {
			key = "x"
		}
		before := r.state().version()
		do(t, ctx, chromedp.KeyEvent(key))
		until(t, ctx, fmt.Sprintf(`Number(document.body.dataset.version) > %d && %s`, before, isAwake))
		now := evaluate[[]float64](t, ctx, answersAt)
		for k := range place {
			if math.Abs(now[k]-place[k]) > 1 { // less is the height of a line, rounded
				t.Errorf("decision %d: the answers moved from %v to %v", i, place, now)
				break
			}
		}
		took = append(took, evaluate[float64](t, ctx, `Number(sessionStorage.drawn) - Number(sessionStorage.pressed)`))
	}
	judged = judged && quiet(t)
	// Likely answers that are confirmed together are all in view.
	for _, size := range [][2]int64{{1440, 900}, {360, 740}} {
		do(t, ctx, chromedp.EmulateViewport(size[0], size[1]), chromedp.Navigate(server.URL+"/r/long/look"), awake)
		inspect(t, ctx, fmt.Sprintf("looked-%d", size[0]))
		if out := evaluate[[]string](t, ctx, lookedAt); len(out) > 0 {
			t.Errorf("%v: of what is confirmed together, out of view: %q", size, out)
		}
	}
	do(t, ctx, chromedp.Navigate(server.URL+"/r/long/question"), awake)
	evaluate[bool](t, ctx, `document.querySelector("audio").same = true`)
	version := r.state().version()
	press(t, ctx, "c")
	until(t, ctx, fmt.Sprintf(`Number(document.body.dataset.version) > %d`, version))
	// What is heard is not fetched again for every question, and the way back is that
	// of pages.
	if !evaluate[bool](t, ctx, `document.querySelector("audio").same === true`) {
		t.Error("the sound was let go of between two questions")
	}
	evaluate[bool](t, ctx, `(history.back(), true)`)
	until(t, ctx, `!location.search.includes("v=")`)
	sees(t, ctx, "nobody could tell")
	if n := len(actsDone(r.state())); n != decisions+1 {
		t.Errorf("%d keys made %d decisions", decisions+1, n)
	}
	// Words that are no reading shown take a line of their own, and all is in view.
	span := r.asked(r.state())[0].Span
	do(t, ctx, chromedp.Navigate(fmt.Sprintf("%s/r/long/question/%d-%d", server.URL, span.Start, span.End)), awake)
	evaluate[bool](t, ctx, `(document.querySelector("[data-key=h]").classList.add("alone"), true)`)
	if out := evaluate[[]string](t, ctx, inView); len(out) > 0 {
		t.Errorf("with the words as heard: out of view: %q", out)
	}
	slices.Sort(took)
	median := took[len(took)/2]
	t.Logf("from key to the next page drawn: median %.0f ms, slowest %.0f ms; 1 key a decision", median,
		took[len(took)-1])
	if judged && median > quickTurn {
		t.Errorf("the median is %.0f ms, more than %d", median, quickTurn)
	}
}

// answersAt is where the answers are: left and top of the first reading and of the others.
const answersAt = `[".readings button", ".others"].flatMap((s) => { const b = document.querySelector(".answer " + s).getBoundingClientRect(); return [b.left, b.top]; })`

// No slip decides what nobody saw: held keys, keys pressed twice, and keys that
// come too early. A decision that was made twice is one.
func TestNoSlip(t *testing.T) {
	ctx := browser(t)
	d, server := fullDesk(t)
	r := d.find("demo")
	asked := r.agenda(r.state()).asking().All()
	do(t, ctx, chromedp.Navigate(server.URL+"/r/demo/question"), awake)
	// What a key decides locks the page at once, so a page that takes answers after
	// one has decided nothing.
	held := `document.dispatchEvent(new KeyboardEvent("keydown", { key: "1", repeat: true, bubbles: true })), `
	if !evaluate[bool](t, ctx, held+isAwake) {
		t.Error("a key that was held decided")
	}
	decided := func(after string, n int) {
		t.Helper()
		if got := r.state().version(); got != n {
			t.Fatalf("%s: %d decisions, want %d", after, got, n)
		}
	}
	decided("a key that was held", 0)
	// The page's own clock times the presses, however slow the machine is.
	evaluate[bool](t, ctx, pressesOf([]string{"1", "1", "1"}, 0, 1, 150))
	until(t, ctx, `window.presses == 3 && `+isAwake)
	decided("three presses within 150 ms", 1)
	decide(t, ctx, r, "1")
	decided("one press", 2)
	for _, k := range []string{"9", "y", "0"} {
		ignores(t, ctx, k)
	}
	// An answer pressed just after a key that leads elsewhere was meant for what comes.
	do(t, ctx, chromedp.Navigate(server.URL+"/r/demo/question/"+resistance), awake)
	evaluate[bool](t, ctx, pressesOf([]string{"b", "1", "1"}, 0, 1, 100))
	until(t, ctx, `window.presses == 3 && location.pathname.includes("/place/") && `+isAwake)
	decided("an answer just after b", 2)
	both := `["e", "1"].forEach((key) =>
		document.dispatchEvent(new KeyboardEvent("keydown", { key, bubbles: true }))), `
	if evaluate[bool](t, ctx, both+isAwake) {
		t.Error("a page that is left takes answers")
	}
	until(t, ctx, `location.pathname.endsWith("/sheet") && `+isAwake)
	decided("an answer just after e", 2)
	// u works on any page, and U does again.
	do(t, ctx, chromedp.Navigate(server.URL+"/r/demo/sheet"))
	press(t, ctx, "u")
	sees(t, ctx, "Taken back.")
	press(t, ctx, "u")
	sees(t, ctx, fmt.Sprintf("%d questions", asked))
	press(t, ctx, "U")
	sees(t, ctx, "Done again.")
	sees(t, ctx, fmt.Sprintf("%d questions", r.agenda(r.state()).asking().All()))
	// What is typed wrong is reported where it was typed, with the field in focus.
	do(t, ctx, chromedp.Navigate(server.URL+"/r/demo/question/"+noLoad))
	press(t, ctx, "t")
	until(t, ctx, `document.activeElement.id == "typed"`)
	evaluate[string](t, ctx, `document.activeElement.value = ""`) // the driver types the t too, which a keyboard does not
	do(t, ctx, chromedp.KeyEvent("about 2"))
	sees(t, ctx, "; put down with it: about")
	do(t, ctx, chromedp.KeyEvent(" give or take\r"))
	sees(t, ctx, "is not understood")
	until(t, ctx, `document.activeElement.id == "typed" && document.activeElement.value == "about 2 give or take"`)
	// A voltage where a power is asked about is taken by Enter twice, not by one.
	version := r.state().version()
	evaluate[string](t, ctx, `document.activeElement.value = ""`)
	do(t, ctx, awake, chromedp.KeyEvent("20 V\r"))
	sees(t, ctx, "voltage, not power. Enter again takes it.")
	decided("a voltage for a power", version)
	do(t, ctx, awake, chromedp.KeyEvent("\r"))
	sees(t, ctx, "“8 watts”: 20 V")
	decided("the same voltage again", version+1)
}

// A value that is changed in the sheet and the field for it are both in view and
// the field has the focus, wherever in a long sheet it stands.
func TestEditSeen(t *testing.T) {
	ctx := browser(t)
	d, server := deskOf(t, Config{Media: []string{tone(t, 5)}})
	if _, err := d.Open(t.Context(), "long.vtt", strings.NewReader(longReview(t))); err != nil {
		t.Fatal(err)
	}
	do(t, ctx, chromedp.Navigate(server.URL+"/r/long/sheet"), awake)
	links := evaluate[[]string](t, ctx,
		`[...document.querySelectorAll(".sheet .value a.mark")].map((a) => a.getAttribute("href"))
			.filter((href) => !href.includes("/place/") && !href.includes("/replace"))`) // to other questions
	if len(links) < 50 {
		t.Fatalf("%d values", len(links))
	}
	for _, size := range [][2]int64{{1440, 900}, {360, 740}} {
		do(t, ctx, chromedp.EmulateViewport(size[0], size[1]))
		for _, link := range []string{links[len(links)/4], links[len(links)-1]} {
			do(t, ctx, chromedp.Navigate(server.URL+link), awake)
			until(t, ctx, `document.activeElement.id == "typed"`)
			if hidden := evaluate[[]string](t, ctx, editSeen); len(hidden) > 0 {
				t.Errorf("%v, %s: not in view: %q", size, link, hidden)
			}
		}
		inspect(t, ctx, fmt.Sprintf("edit-%d", size[0]))
	}
}

// editSeen lists what of a value that is changed in the sheet is not in view.
const editSeen = `[document.activeElement, document.querySelector(".editing .mark"), document.querySelector(".edit button")].filter((e) => {
  if (!e) return true;
  const b = e.getBoundingClientRect(), top = document.elementFromPoint(b.left + Math.min(b.width / 2, 20), b.top + b.height / 2);
  return b.top < 0 || b.bottom > innerHeight || b.left < 0 || b.right > innerWidth || !top || !(e.contains(top) || top.contains(e));
}).map((e) => e ? e.tagName + " " + e.textContent : "none is changed")`

// pressesOf presses keys after so many milliseconds each, by the page's clock, and
// counts them.
func pressesOf(keys []string, after ...int) string {
	var b strings.Builder
	b.WriteString(`window.presses = 0;`)
	for i, k := range keys {
		fmt.Fprintf(&b, `setTimeout(() => { document.dispatchEvent(new KeyboardEvent("keydown", { key: %q, bubbles: true }));
			window.presses++; }, %d);`, k, after[i])
	}
	return b.String() + `true`
}

// Eight tabs on one desk: each has its page, and news reaches all.
func TestManyTabs(t *testing.T) {
	ctx := browser(t)
	d, server := fullDesk(t)
	var tabs []context.Context
	for range 8 {
		tab, cancel := chromedp.NewContext(ctx)
		t.Cleanup(cancel)
		do(t, tab, chromedp.Navigate(server.URL+"/r/demo/question/"+resistance))
		sees(t, tab, "29 Miller homes")
		tabs = append(tabs, tab)
	}
	r := d.find("demo")
	e := entryOn("demo.vtt", r.state().record, quantityAt(r.state().record, noLoad))
	e.Unclear, e.How = true, howUnclear
	if _, err := r.act(0, "Tam Orde", someday, []entry{e}); err != nil {
		t.Fatal(err)
	}
	for _, tab := range tabs {
		sees(t, tab, "This review has changed meanwhile")
	}
}

// The ear comes first: what is set stays set, and a page plays on arrival where
// it was asked to.
func TestEarFirst(t *testing.T) {
	ctx := browser(t)
	_, server := fullDesk(t)
	do(t, ctx, onEveryPage(listening), chromedp.Navigate(server.URL+"/r/demo/question/"+resistance))
	if evaluate[bool](t, ctx, `!document.querySelector("audio").paused`) {
		t.Error("it plays without being asked")
	}
	for _, k := range []string{"m", "l", "s"} {
		press(t, ctx, k)
	}
	do(t, ctx, chromedp.Navigate(server.URL+"/r/demo/question/"+noLoad))
	until(t, ctx, `!document.querySelector("audio").paused && document.querySelector("audio").playbackRate < 1`)
	until(t, ctx, `window.heard.length > 0`)
	if from := evaluate[float64](t, ctx, earliest); from < 98 || from > 99.6 {
		t.Errorf("it plays from %v s, the words are at 99.6 s", from)
	}
	press(t, ctx, ",")
	press(t, ctx, ",")
	until(t, ctx, earliest+` < 97.5`)
	press(t, ctx, "p")
	until(t, ctx, `document.querySelector("audio").paused`)
}

// What a value belongs to is decided by two keys, and where that is asked by
// one; beside the sentence a film takes at most 22 % of the height.
func TestPlaceByKeys(t *testing.T) {
	ctx := browser(t)
	film := write(t, filepath.Join(t.TempDir(), "demo.mp4"), "a film that nobody can play")
	d, server := deskOf(t, Config{Media: []string{film}, Threshold: 0.98}) // so that likely readings are asked about
	if _, err := d.Open(t.Context(), demo.Name, strings.NewReader(demo.Captions())); err != nil {
		t.Fatal(err)
	}
	r := d.find("demo")
	for _, size := range [][2]int64{{1440, 900}, {360, 740}} {
		do(t, ctx, chromedp.EmulateViewport(size[0], size[1]), chromedp.Navigate(server.URL+"/r/demo/question"), awake)
		inspect(t, ctx, fmt.Sprintf("film-%d", size[0]))
		if out := evaluate[[]string](t, ctx, inView); len(out) > 0 {
			t.Errorf("%v: out of view: %q", size, out)
		}
		if share := evaluate[float64](t, ctx, `document.querySelector("video").getBoundingClientRect().height / innerHeight`); share > 0.22 {
			t.Errorf("%v: the film takes %.2f of the height", size, share)
		}
	}
	at := resistance
	do(t, ctx, chromedp.Navigate(server.URL+"/r/demo/question/"+at), awake)
	press(t, ctx, "b")
	until(t, ctx, `location.pathname.includes("/place/")`)
	inspect(t, ctx, "belongs")
	press(t, ctx, "1")
	sees(t, ctx, "of: another product")
	if e := r.state().stands[spotOf(r.state().record, quantityAt(r.state().record, at))]; e == nil || e.Place == nil ||
		e.Quantity != nil {
		t.Fatalf("%+v stands", e)
	}
	press(t, ctx, "u")
	sees(t, ctx, "Taken back.")
	n := len(r.placeDoubts(r.state()))
	do(t, ctx, chromedp.Navigate(server.URL+"/r/demo/places"))
	press(t, ctx, "1")
	sees(t, ctx, "Noted.")
	if now := len(r.placeDoubts(r.state())); now >= n {
		t.Errorf("%d places were in doubt, now %d", n, now)
	}
	// Likely readings, all in view, are confirmed by one key.
	do(t, ctx, chromedp.EmulateViewport(1440, 900), chromedp.Navigate(server.URL+"/r/demo/question"))
	press(t, ctx, "f")
	sees(t, ctx, "Right as they are?")
	inspect(t, ctx, "look")
	press(t, ctx, "y")
	sees(t, ctx, "Noted.")
}

// asked are the questions on what was said that are put to a person one after
// another.
func (r *review) asked(s *state) []*schema.Said {
	a := r.agenda(s)
	return a.values[:a.asked]
}
