package desk

import (
	"testing"

	"github.com/chromedp/chromedp"
)

// Names are settled by keys: one of the spellings, another typed, heard before, taken
// back; and a second browser hears of it.
func TestNamesByKeys(t *testing.T) {
	ctx := browser(t)
	d, server := fullDesk(t)
	r := d.find("demo")
	other, cancel := chromedp.NewContext(ctx)
	t.Cleanup(cancel)
	do(t, other, chromedp.Navigate(server.URL+"/r/demo/names?of=maker&heard=Bex+home"))
	sees(t, other, "Bex home")

	do(t, ctx, onEveryPage(listening), chromedp.EmulateViewport(1280, 800))
	do(t, ctx, chromedp.Navigate(server.URL+"/r/demo/question/"+resistance))
	press(t, ctx, "v")
	until(t, ctx, `location.pathname === "/r/demo/names" && `+isAwake)
	sees(t, ctx, "Bex home")
	press(t, ctx, "p") // the moment of the name is heard
	until(t, ctx, `window.heard.length > 0`)
	if from := evaluate[float64](t, ctx, earliest); from < 64 || from > 67 {
		t.Errorf("heard from %.2f s, the cue begins at 66.37 s", from)
	}
	decide(t, ctx, r, "2")
	sees(t, ctx, "maker “Bexhome”")
	if n := r.state().record.Components[2].Maker; n != "Bexhome" {
		t.Errorf("the bulk capacitor is of %s", n)
	}
	sees(t, other, "This review has changed meanwhile")

	// The next name is asked for; another spelling is typed.
	sees(t, ctx, "Drew Skane")
	before := r.state().version()
	press(t, ctx, "t")
	until(t, ctx, `document.activeElement.id === "typed"`)
	evaluate[string](t, ctx, `document.activeElement.value = ""`) // the driver types the t too
	do(t, ctx, chromedp.KeyEvent("Druskane\r"))
	until(t, ctx, `Number(document.body.dataset.version) > 1 && `+isAwake)
	if r.state().version() != before+1 || r.state().record.Components[3].Maker != "Druskane" {
		t.Errorf("typed, it is %q", r.state().record.Components[3].Maker)
	}
	decide(t, ctx, r, "u")
	if n := r.state().record.Components[3].Maker; n != "Drew Skane" {
		t.Errorf("taken back, it is %s", n)
	}

	// The other browser decides on the name that was decided in between.
	do(t, other, awake, chromedp.KeyEvent("1"))
	sees(t, other, "Somebody decided in between")
	sees(t, other, "maker “Bexhome”")
	press(t, other, "b")
	until(t, other,
		`location.pathname === "/r/demo/names" && document.querySelector("main").innerText.includes("Decided: maker “Bexhome”") && `+isAwake)
	decide(t, other, r, "r")
	if n := r.state().record.Components[2].Maker; n != "Bex home" {
		t.Errorf("taken back on its page, it is %s", n)
	}
}
