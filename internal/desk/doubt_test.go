package desk

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"saywatt/internal/export/word"
	"saywatt/schema"
)

// doubtful is a narration whose places are partly in doubt, and that names a
// protocol in other words than its own.
const doubtful = `WEBVTT

00:01.000 --> 00:06.000
Notes on the Quillet Nub 20 by Quillet, a USB-C charger of 20 watts.

00:06.000 --> 00:12.000
Output 5 volts 3 amps, 9 volts 2.22 amps, and pee pee S 3.3 to 11 volts 2 amps.

00:12.000 --> 00:18.000
Port A is 5 volts 3 amps, 9 volts 2 amps. The lump is 38 grams, 28 by 28 by 30 mm.

00:18.000 --> 00:24.000
The bulk cap is 22 micro ferret 400 volts and the fuse is 2 amps. standby 30 million watts.
`

// ofDoubt is a visitor of the desk with that narration open.
func ofDoubt(t *testing.T) *visitor {
	t.Helper()
	v := visit(t, Config{})
	if _, err := v.desk.Open(context.Background(), "nub.vtt", strings.NewReader(doubtful)); err != nil {
		t.Fatal(err)
	}
	return v
}

// The sheet marks the values whose place is in doubt, says what they may belong
// to, and leads to the question.
func TestSheetOfDoubt(t *testing.T) {
	v := ofDoubt(t)
	where := func(heard string) string {
		from := strings.Index(doubtful, heard)
		return fmt.Sprintf("%d-%d", from, from+len(heard))
	}
	lump, standby := where("38 grams"), where("30 million watts")
	may := func(at string) string { // the places listed of a quantity, as the sheet prints them
		b := quantityAt(v.desk.find("nub").state().record, at).Belongs
		return fmt.Sprintf("%s %s (as above) · %s %s", b[0].Words, plain(word.Percent(b[0].Confidence)), b[1].Words,
			plain(word.Percent(b[1].Confidence)))
	}
	v.get("/r/nub/sheet").sees(200, "probably belongs elsewhere‡",
		"mass 38 g‡heard “38 grams” at 0:12, as heard, "+v.chance("nub", lump, 0)+" sure, probably belongs elsewhere",
		"0:12 “38 grams” 38 g‡heard", may(lump), "30 mW*†", may(standby), "may belong elsewhere†")
	if !strings.Contains(v.body, `class="mark heard unlikely" href="/r/nub/place/`) {
		t.Error("the value does not lead to the question what it belongs to")
	}
	said := quantityAt(v.desk.find("nub").state().record, addressOf(v.desk.find("nub").state().record,
		v.desk.find("nub").placeDoubts(v.desk.find("nub").state())[0]))
	v.settlePlaces("nub")
	if said.PlaceDoubt() == schema.PlaceSure {
		t.Error("nothing was in doubt")
	}
	v.get("/r/nub/sheet").lacks("Belongs to", "‡")
}

// Each level has its voltage beside its current, whatever heads its row.
func TestEveryLevelWhole(t *testing.T) {
	ofDoubt(t).get("/r/nub/sheet").sees(200, "5 V 5 Vheard “5 volts” at 0:06", "5 Vheard “5 volts” at 0:12",
		"9 V 9 Vheard “9 volts” at 0:06", "9 Vheard “9 volts” at 0:12")
}

// A name read from other words than its own is marked in the transcript, listed
// in the sheet, and leads to where its words stand.
func TestNameHeardOtherwise(t *testing.T) {
	v := ofDoubt(t)
	v.get("/r/nub/transcript").sees(200, "and pee pee S* (repaired: PPS) 3.3 to 11 volts")
	const to = `href="/r/nub/replace?find=pee&#43;pee&#43;S&amp;with=PPS"`
	if !strings.Contains(v.body, to) {
		i := strings.Index(v.body, "/replace?")
		t.Errorf("the mark does not lead to %s: %s", to, v.body[i-20:i+60])
	}
	v.get("/r/nub/replace?find=pee+pee+S&with=PPS").sees(200, "1 place. Nothing is changed yet.")
	v.get("/r/nub/sheet").sees(200, "Names heard otherwise 0:06 “pee pee s” PPS*heard “pee pee s”, repaired")
}

// The tables to take away have names for people, changes among them.
func TestTablesToTakeAway(t *testing.T) {
	v := ofDoubt(t)
	v.get("/r/nub/out").sees(200, "Ports in use together", "Needs your ear", "Changes").lacks("Shared-power")
	v.get("/r/nub/out/table-changes.csv").sees(200, "at,before,after,why,confidence,said,span", "22 micro ferret")
	v.get("/r/nub/out/shared-power.csv").sees(200, "mode,ports,share")
}

// The keys of a question are as many as its answers.
func TestKeysAsManyAsAnswers(t *testing.T) {
	v := ofDoubt(t)
	r := v.desk.find("nub")
	s := r.state()
	said := r.placeDoubts(s)[0]
	n := belongsOf(s, said).Numbers()
	v.get("/r/nub/place/"+addressOf(s.record, said)).sees(200, fmt.Sprintf("1–%d choose what it belongs to", n)).
		lacks("1–7")
	if n >= 7 {
		t.Errorf("%d answers: the test says nothing", n)
	}
}
