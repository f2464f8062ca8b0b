package desk

import (
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"math"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	cdppage "github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"

	"saywatt/internal/demo"
	"saywatt/schema"
)

// chromium is the one that all tests of the package share, each in a tab of its own
// with cookies of its own. It is started by the first that wants it.
type chromium struct {
	start sync.Once
	ctx   context.Context
	stop  func()
	err   error
}

var sharedChromium chromium

// open starts it, where it was not started yet.
func (c *chromium) open(path string) (context.Context, error) {
	c.start.Do(func() {
		options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(path), chromedp.NoSandbox,
			chromedp.Flag("autoplay-policy", "no-user-gesture-required"), chromedp.WSURLReadTimeout(stateWait))
		var stop, end context.CancelFunc
		c.ctx, stop = chromedp.NewExecAllocator(context.Background(), options...)
		c.ctx, end = chromedp.NewContext(c.ctx)
		c.stop = func() { end(); stop() }
		c.err = chromedp.Do(c.ctx)
	})
	return c.ctx, c.err
}

// close ends it, where it was started.
func (c *chromium) close() {
	if c.stop != nil {
		c.stop()
	}
}

// browser opens a tab in Chromium; the test skips where there is none.
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
		t.Skip("there is no Chromium: what a browser makes of the desk is not checked")
	}
	ctx, err := sharedChromium.open(path)
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := chromedp.NewContext(ctx, chromedp.WithNewBrowserContext())
	t.Cleanup(cancel)
	if err := chromedp.Do(ctx); err != nil { // opens the tab, before there is a time limit
		t.Fatal(err)
	}
	ctx, cancel = context.WithTimeout(ctx, 20*time.Minute)
	t.Cleanup(cancel)
	return ctx
}

func do(t *testing.T, ctx context.Context, steps ...chromedp.Action[chromedp.Void]) {
	t.Helper()
	if err := chromedp.Do(ctx, steps...); err != nil {
		t.Fatal(err)
	}
}

func evaluate[T any](t *testing.T, ctx context.Context, script string) T {
	t.Helper()
	v, err := chromedp.Run(ctx, chromedp.Evaluate[T](script))
	if err != nil {
		t.Fatalf("%s: %v", script, err)
	}
	return v
}

// stateWait is how long a test waits for a state of a page: a machine that does
// other work besides takes its time.
const stateWait = time.Minute

// until waits for a script to be true; it survives that the page changes.
func until(t *testing.T, ctx context.Context, script string) {
	t.Helper()
	for end := time.Now().Add(stateWait); ; time.Sleep(30 * time.Millisecond) {
		ok, err := chromedp.Run(ctx, chromedp.Evaluate[bool](script))
		if ok {
			return
		}
		if time.Now().After(end) {
			where, _ := chromedp.Run(ctx, chromedp.Evaluate[string](`location.href + "\n" + document.querySelector("main").innerText`))
			t.Fatalf("not so after %v: %s (%v)\n%s", stateWait, script, err, where)
		}
	}
}

// press presses a key once the page takes answers: it takes none from when an
// answer is given or the page is left until the next one was there for a while.
func press(t *testing.T, ctx context.Context, key string) {
	t.Helper()
	do(t, ctx, awake, chromedp.KeyEvent(key))
}

// decide presses a key that decides, and waits for the page that follows.
func decide(t *testing.T, ctx context.Context, r *review, key string) {
	t.Helper()
	before := r.state().version()
	press(t, ctx, key)
	until(t, ctx, fmt.Sprintf(`Number(document.body.dataset.version) > %d && %s`, before, isAwake))
}

// onEveryPage runs a script in every page before its own.
func onEveryPage(script string) chromedp.Action[chromedp.Void] {
	return func(ctx context.Context, tab *chromedp.Target) (chromedp.Void, error) {
		_, err := cdp.Call(ctx, tab, cdppage.AddScriptToEvaluateOnNewDocument,
			cdppage.AddScriptToEvaluateOnNewDocumentParams{Source: script})
		return chromedp.Void{}, err
	}
}

// listening notes the moments that a page plays: a slow machine asks later than a
// sound plays.
const listening = `window.heard = [];
for (const name of ["playing", "seeked", "timeupdate"])
  document.addEventListener(name, (ev) => {
    if (!ev.target.seeking && !ev.target.paused) window.heard.push(ev.target.currentTime);
  }, true);`

// earliest and latest are the first and the last moment that was played.
const earliest, latest = `Math.min(...window.heard)`, `Math.max(...window.heard)`

const isAwake = `document.documentElement.classList.contains("awake")`

// ignores presses a key that decides nothing: the page would be locked at once.
func ignores(t *testing.T, ctx context.Context, key string) {
	t.Helper()
	press(t, ctx, key)
	if !evaluate[bool](t, ctx, isAwake) {
		t.Errorf("the key %q did something", key)
	}
}

// awake waits until the page takes answers.
func awake(ctx context.Context, _ *chromedp.Target) (chromedp.Void, error) {
	for end := time.Now().Add(stateWait); time.Now().Before(end); time.Sleep(15 * time.Millisecond) {
		ok, err := chromedp.Run(ctx, chromedp.Evaluate[bool](isAwake))
		if ok && err == nil {
			return chromedp.Void{}, nil
		}
	}
	return chromedp.Void{}, errors.New("the page takes no answer")
}

// sees waits until the page has words.
func sees(t *testing.T, ctx context.Context, words string) {
	t.Helper()
	until(t, ctx, fmt.Sprintf(`document.readyState == "complete" && document.body.innerText.replace(/\s+/g, " ").includes(%q)`, words))
}

// tone writes a sound file of so many seconds: 440 Hz, 8 kHz, mono, 16 bits
// (WAVE: IBM and Microsoft, Multimedia Programming Interface, 1991).
func tone(t *testing.T, seconds int) string {
	t.Helper()
	const rate = 8000
	n := seconds * rate
	b := append([]byte("RIFF"), binary.LittleEndian.AppendUint32(nil, uint32(36+2*n))...)
	b = append(b, "WAVEfmt "...)
	b = binary.LittleEndian.AppendUint32(b, 16)
	b = binary.LittleEndian.AppendUint16(b, 1) // PCM
	b = binary.LittleEndian.AppendUint16(b, 1) // channels
	b = binary.LittleEndian.AppendUint32(b, rate)
	b = binary.LittleEndian.AppendUint32(b, 2*rate)
	b = binary.LittleEndian.AppendUint16(b, 2)
	b = binary.LittleEndian.AppendUint16(b, 16)
	b = append(b, "data"...)
	b = binary.LittleEndian.AppendUint32(b, uint32(2*n))
	for i := range n {
		b = binary.LittleEndian.AppendUint16(b, uint16(int16(8000*math.Sin(2*math.Pi*440*float64(i)/rate))))
	}
	path := filepath.Join(t.TempDir(), "tone.wav")
	if err := os.WriteFile(path, b, 0o644); err != nil {
		t.Fatal(err)
	}
	return path
}

// fullDesk has an archive of the demonstration and two more narrations, and a
// tone to hear.
func fullDesk(t *testing.T) (*Desk, *httptest.Server) {
	t.Helper()
	d, err := New(Config{Archive: newArchive(t), Media: []string{tone(t, 115)}, Who: "Ines Varga", Local: true,
		Log: func(err error) { t.Error(err) }})
	if err != nil {
		t.Fatal(err)
	}
	d.patience = time.Hour // readings behind the pages have tests of their own
	t.Cleanup(func() { d.Close() })
	if _, err := d.Open(context.Background(), demo.Name, strings.NewReader(captions())); err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"atrium-station.vtt", "lantern-mag-bank.srt"} {
		f, err := os.Open(filepath.Join("../demo/narrations", name))
		if err != nil {
			t.Fatal(err)
		}
		_, err = d.Open(context.Background(), name, f)
		f.Close()
		if err != nil {
			t.Fatal(err)
		}
	}
	s := httptest.NewServer(d.handler())
	t.Cleanup(func() { s.CloseClientConnections(); s.Close() })
	return d, s
}

// looks are the sizes and colours that pages are looked at in. 640 at double
// scale is 1280 pixels at 200 % zoom; 1024 is a small screen, or a tablet.
var looks = []struct {
	name   string
	width  int64
	height int64
	scheme string
}{
	{"1440-light", 1440, 900, "light"}, {"360-dark", 360, 740, "dark"}, {"640-light", 640, 800, "light"},
	{"1440-dark", 1440, 900, "dark"}, {"360-light", 360, 740, "light"}, {"640-dark", 640, 800, "dark"},
	{"1024-light", 1024, 768, "light"}, {"1024-dark", 1024, 768, "dark"},
}

// looked is how many of the looks a run without pictures checks: colours do not
// depend on the width, nor does what fits depend on colours.
const looked = 3

// Every page, at the width of a desk, at 200 % zoom and of a telephone, light
// and dark: nothing overflows, text has the contrast that WCAG 2.2 AA asks for,
// fields have labels, ids are unique, nothing breaks the content policy. With
// SAYWATT_SCREENSHOTS set to a directory, pictures of them are left there.
func TestPagesInBrowser(t *testing.T) {
	ctx := browser(t)
	d, server := fullDesk(t)
	r := d.find("demo")
	said := quantityAt(r.state().record, "1487-1502")
	e := entryOn("demo.vtt", r.state().record, said)
	q := schema.MustQuantity("4.7 uF")
	e.Quantity, e.How, e.Note = &q, howTyped, "listened at half speed"
	if _, err := r.act(0, "Tam Orde", someday, []entry{e}); err != nil {
		t.Fatal(err)
	}
	station := d.find("atrium-station")
	at := addressOf(station.state().record, station.placeDoubts(station.state())[0])
	job := d.jobs.start(d, nil)
	pages := map[string]string{
		"home": "/", "question": "/r/demo/question/" + resistance, "settled": "/r/demo/question/1487-1502", "outcome": "/r/demo/question/" + noLoad + "?done=answered&v=1",
		"sheet": "/r/demo/sheet", "edit": "/r/demo/sheet?edit=" + resistance, "transcript": "/r/demo/transcript", "open": "/r/demo/transcript?status=open",
		"replace": "/r/demo/replace?find=Bex+home&with=Bexhome", "pictures": "/r/demo/picture", "decisions": "/r/demo/decisions", "names": "/r/demo/names", "named": "/r/demo/names?of=product.kind", "out": "/r/demo/out",
		"search": "/archive?q=power+%3E+20+W", "wrong": "/archive?q=power+%3E", "compare": "/archive/compare?r=demo&r=lantern-mag-bank", "stats": "/archive/stats?subject=power", "queue": "/archive/queue",
		"station": "/r/atrium-station/sheet", "places": "/r/atrium-station/places", "of": "/r/atrium-station/question/" + at, "look": "/r/demo/look", "job": fmt.Sprintf("/jobs/%d", job.id),
	}
	for i, look := range looks {
		if i == looked && os.Getenv("SAYWATT_SCREENSHOTS") == "" {
			break
		}
		do(t, ctx, chromedp.EmulateViewport(look.width, look.height),
			func(ctx context.Context, tab *chromedp.Target) (chromedp.Void, error) {
				_, err := cdp.Call(ctx, tab, emulation.SetEmulatedMedia,
					emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme",
						Value: look.scheme}}})
				return chromedp.Void{}, err
			})
		for name, path := range pages {
			do(t, ctx, chromedp.Navigate(server.URL+path))
			inspect(t, ctx, name+"-"+look.name)
		}
	}
}

// inspect checks the page that is shown, and keeps a picture of it where
// SAYWATT_SCREENSHOTS says.
func inspect(t *testing.T, ctx context.Context, name string) {
	t.Helper()
	check, err := os.ReadFile("testdata/page.js")
	if err != nil {
		t.Fatal(err)
	}
	for _, fault := range evaluate[[]string](t, ctx, string(check)) {
		t.Errorf("%s: %s", name, fault)
	}
	dir := os.Getenv("SAYWATT_SCREENSHOTS")
	if dir == "" {
		return
	}
	for name, shoot := range map[string]chromedp.Action[[]byte]{name: chromedp.FullScreenshot(100),
		name + "-view": chromedp.CaptureScreenshot()} {
		shot, err := chromedp.Run(ctx, shoot)
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, name+".png"), shot, 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// The whole job by keyboard: open the demonstration, hear a moment, decide, see
// what depends on it, edit, take back, export, search, compare.
func TestByKeyboard(t *testing.T) {
	ctx := browser(t)
	d, server := fullDesk(t)
	r := d.find("demo")
	key := func(k string) { t.Helper(); press(t, ctx, k) }
	do(t, ctx, onEveryPage(listening), chromedp.EmulateViewport(1280, 800))
	do(t, ctx, chromedp.Navigate(server.URL+"/r/demo/question/"+resistance))
	sees(t, ctx, "29 Miller homes")

	// Hearing starts a little before the words, and ends a little behind them.
	until(t, ctx, `((a) => a.paused && a.currentTime > 80.2 && a.currentTime < 81.4)(
		document.querySelector("audio"))`) // a film shows it
	// What was played is asked for, not what plays: the machine may be slow.
	key("p")
	until(t, ctx, `window.heard.length > 0`)
	if from := evaluate[float64](t, ctx, earliest); from < 80.2 || from > 81.4 {
		t.Errorf("heard from %.2f s, the cue begins at 81.43 s", from)
	}
	until(t, ctx, `document.querySelector("audio").paused`)
	if to := evaluate[float64](t, ctx, latest+` - document.querySelector("[data-player]").dataset.to`); to < 0.2 {
		t.Errorf("heard to %.2f s behind the words", to)
	}
	key("l") // again and again: it plays until it is paused
	until(t, ctx, `!document.querySelector("audio").paused`)
	key("s")
	if rate := evaluate[float64](t, ctx, `document.querySelector("audio").playbackRate`); rate >= 1 {
		t.Errorf("slower is %v", rate)
	}
	key("s")
	key("p")
	if !evaluate[bool](t, ctx, `document.querySelector("audio").paused`) {
		t.Error("p does not pause what plays")
	}
	key("p")
	until(t, ctx, `!document.querySelector("audio").paused`)
	evaluate[bool](t, ctx, `(document.querySelector("audio").addEventListener("seeked", (ev) => {
		window.again = window.again || window.late && ev.target.currentTime < 85;
		window.late = true;
	}), true)`)
	evaluate[float64](t, ctx, `document.querySelector("audio").currentTime = 85.3`)
	until(t, ctx, `window.again && !document.querySelector("audio").paused`)
	key("l")
	evaluate[float64](t, ctx, `document.querySelector("audio").currentTime = 85.3`)
	until(t, ctx, `document.querySelector("audio").paused`)

	// A reading by its number, and what it did; taken back by a key.
	key("2")
	sees(t, ctx, "“29 Miller homes”: 29 mΩ.")
	if got := quantityAt(r.state().record, resistance).Quantity.String(); got != "29 mΩ" {
		t.Errorf("the key 2 chose %s", got)
	}
	key("u")
	sees(t, ctx, "Taken back.")
	// Enter in the field takes what is typed there, and no reading.
	do(t, ctx, awake, chromedp.SendKeys("#typed", "7.1\r"))
	sees(t, ctx, "“29 Miller homes”: 7.1 mΩ.")
	key("u")
	sees(t, ctx, "Taken back.")
	key("1")
	sees(t, ctx, "“29 Miller homes”: 2.9 mΩ.")
	do(t, ctx, chromedp.Navigate(server.URL+"/r/demo/question/"+noLoad), awake)
	decide(t, ctx, r, "h")
	// What it belongs to comes when what was said is decided, by one key each.
	for len(r.agenda(r.state()).order) > 0 {
		decide(t, ctx, r, "1")
	}
	sees(t, ctx, "Nothing waits for you here")
	inspect(t, ctx, "done")

	// From the sheet: j to the first values, Enter to change one; others move.
	key("e")
	sees(t, ctx, "Levels")
	for range 60 {
		key("j")
		if evaluate[bool](t, ctx, `document.activeElement.textContent.startsWith("47")`) {
			break
		}
	}
	if strip := evaluate[string](t, ctx, `getComputedStyle(document.activeElement.querySelector(".strip")).display + " " + document.activeElement.querySelector(".strip").innerText`); !strings.HasPrefix(strip, "block heard “47 micro farads” at 1:10, as heard") {
		t.Errorf("the words heard below are %q", strip)
	}
	key("p")
	until(t, ctx, `document.querySelector("audio").currentTime > 69`)
	key("\r")
	sees(t, ctx, "Change the bulk capacitor, capacitance")
	until(t, ctx, `document.activeElement.id == "typed" && `+isAwake)
	if seen := evaluate[bool](t, ctx, `[document.activeElement, document.querySelector(".editing")].every((e) => { const b = e.getBoundingClientRect(); return b.top >= 0 && b.bottom <= innerHeight; })`); !seen {
		t.Error("the value that is changed, or the field for it, is out of sight")
	}
	do(t, ctx, chromedp.KeyEvent("4.7"))
	sees(t, ctx, "= 4.7 µF")
	do(t, ctx, chromedp.SendKeys("#note", "listened at half speed\r"))
	sees(t, ctx, "Besides it, 1 other value moved")
	evaluate[bool](t, ctx, `(document.querySelector(".last summary").click(), true)`)
	sees(t, ctx, "“94 microfarads” 94 µF before, now 9.4 µF, repaired")

	// A tab that is behind is shown as such, and overwrites nothing.
	version := r.state().version()
	said := quantityAt(r.state().record, resistance)
	do(t, ctx, chromedp.Navigate(server.URL+"/r/demo/question/"+resistance))
	other := entryOn("demo.vtt", r.state().record, said)
	q := schema.MustQuantity("7.2 mOhm")
	other.Quantity, other.How = &q, howTyped
	if _, err := r.act(version, "Tam Orde", someday, []entry{other}); err != nil {
		t.Fatal(err)
	}
	sees(t, ctx, "This review has changed meanwhile")
	key("1")
	sees(t, ctx, "Somebody decided in between")
	inspect(t, ctx, "conflict")
	key("b")
	sees(t, ctx, "Decided: 7.2 mΩ by Tam Orde")

	// Find and replace, with a preview.
	key("w")
	sees(t, ctx, "Castrivel")
	key("/")
	slash := func(id string) { // the driver types the slash too, which a keyboard does not
		t.Helper()
		until(t, ctx, fmt.Sprintf(`document.activeElement.id == %q`, id))
		evaluate[string](t, ctx, `document.activeElement.value = ""`)
	}
	slash("find")
	do(t, ctx, awake, chromedp.SendKeys("#find", "bex home"), chromedp.SendKeys("#with", "Bexhome\r"))
	sees(t, ctx, "1 place.")
	key("y")
	sees(t, ctx, "Noted; the captions written from here say so.")
	key("o")
	sees(t, ctx, "Corrected captions")
	captions := evaluate[string](t, ctx, `(() => { const x = new XMLHttpRequest(); x.open("GET", "/r/demo/out/captions", false); x.send(); return x.responseText; })()`)
	for _, words := range []string{"Bexhome", "20 volts at\n3.25 amps", "4.7"} {
		if !strings.Contains(captions, words) {
			t.Errorf("the captions written lack %q", words)
		}
	}

	// The archive.
	do(t, ctx, chromedp.Navigate(server.URL+"/archive"))
	key("/")
	slash("query")
	do(t, ctx, chromedp.SendKeys("#query", "maker:orrindale or maker:glimmerby\r"))
	sees(t, ctx, "2 reviews")
	evaluate[bool](t, ctx, `(document.querySelectorAll(".hits input").forEach((e) => e.click()), document.querySelector(".hits + p button").focus(), true)`)
	key("\r")
	sees(t, ctx, "cell capacity")

	// Keys can be switched off.
	do(t, ctx, chromedp.Navigate(server.URL+"/r/demo/question/"+noLoad))
	evaluate[bool](t, ctx, `(document.getElementById("keys-on").click(), document.activeElement.blur(), true)`)
	ignores(t, ctx, "2")
}

// Files chosen in the browser are read with live progress, and a sheet that is
// being looked at follows what is decided elsewhere.
func TestLive(t *testing.T) {
	ctx := browser(t)
	d, server := fullDesk(t)
	folder := t.TempDir()
	var names []string
	for i := range 30 {
		name := filepath.Join(folder, fmt.Sprintf("tern-%d.vtt", i))
		if err := os.WriteFile(name, fmt.Appendf(nil,
			"WEBVTT\n\n00:01.000 --> 00:04.000\nThe Tern %d charger. Output %d volts 3 amps.\n", i, 5+i), 0o644); err != nil {
			t.Fatal(err)
		}
		names = append(names, name)
	}
	names = append(names, filepath.Join(folder, "empty.vtt"))
	if err := os.WriteFile(names[30], nil, 0o644); err != nil {
		t.Fatal(err)
	}
	do(t, ctx, chromedp.Navigate(server.URL+"/"), chromedp.SetUploadFiles("#files", names))
	evaluate[bool](t, ctx, `(document.querySelector("form[data-drop] button").click(), true)`)
	until(t, ctx, `location.pathname.startsWith("/jobs/")`)
	job := d.jobs.find("1")
	d.jobs.wait.Wait()
	if !job.over() {
		t.Error("the job is not over")
	}
	sees(t, ctx, "30 of 31 read, 1 could not be; finished")
	sees(t, ctx, "empty.vtt not read empty.vtt: the file is empty")
	until(t, ctx, `document.querySelectorAll(".items a").length == 30`)

	// The same everywhere, by keys.
	if _, err := d.Open(t.Context(), "tern.vtt",
		strings.NewReader("WEBVTT\n\n00:01.000 --> 00:04.000\nThe Tern Two charger. Output 20 volts 325 amps, 65 "+
			"watts.\n\n00:05.000 --> 00:08.000\nIn the test 20 volts 325 amps, fine.\n")); err != nil {
		t.Fatal(err)
	}
	tern := d.find("tern").state().record
	for i := range tern.Quantities {
		if q := &tern.Quantities[i]; q.Heard == "325 amps" {
			do(t, ctx, chromedp.Navigate(server.URL+"/r/tern/question/"+addressOf(tern, q)))
			break
		}
	}
	sees(t, ctx, "the same everywhere: 1 other place was heard so")
	do(t, ctx, awake, chromedp.KeyEvent("a"), chromedp.KeyEvent("1"))
	sees(t, ctx, "is to be 3.25 A, also where it was heard so besides")
	inspect(t, ctx, "everywhere")
	press(t, ctx, "y")
	sees(t, ctx, "“325 amps” and 1 more place: 3.25 A")

	do(t, ctx, chromedp.Navigate(server.URL+"/r/demo/sheet"))
	sees(t, ctx, "2.9 mΩ?")
	r := d.find("demo")
	e := entryOn("demo.vtt", r.state().record, quantityAt(r.state().record, resistance))
	q := schema.MustQuantity("7.2 mOhm")
	e.Quantity, e.How = &q, howTyped
	if _, err := r.act(0, "Tam Orde", someday, []entry{e}); err != nil {
		t.Fatal(err)
	}
	sees(t, ctx, "7.2 mΩ✓")
}
