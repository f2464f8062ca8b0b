package sound

import (
	"fmt"
	"strings"
	"testing"
)

func TestTry(t *testing.T) {
	m := Default()
	say := func(s string) []Phone {
		var p []Phone
		for _, w := range strings.Fields(s) {
			p = m.Say(p, []byte(w))
		}
		return p
	}
	s := `belts/volts|bolts/volts|melts/volts|builds/volts|miles/volts|adults/volts|ports/volts|vents/volts|walls/volts|screws/volts|bucks/watts|lax/watts|lot/watt|lots/watts|bus/watts|bad/watts|once/watts|wants/watts|won't/watts|laps/amps|lamps/amps|apps/amps|em/amp|ants/amps|yeah amps/amps|out amps/amps|buy amps/amps|grounds/grams|from/gram|owns/ohms|homes/ohms|arms/ohms|arms/amps|key ohms/kilohms|kill low on/kilohm|pillow on/kilohm|hello i'm/kilohm|bodily ohms/milli ohms|really ohms/milli ohms|really metres/milli metres|major/meter|made/meter|liter/meter|week/meter|year/meter|units/minutes|worlds/volts|will/volt|will/volts|well/volt|desi bells/decibels|dirty/thirty|seven tea/seventy|plenty/twenty|want/one|tin/ten|free/three|tree/three|or/four|for/four|will/twelve|well/twelve|oil/twelve|time/ten|don't/ten|can't/ten|i'm/five|by/five|nice/nine|line/nine|than/ten|tenth/ten|mom/one|fight/five|blind/point|plane/point|line/point|apply and/point|boys/point|buoyant/point|boy and/point|blame it/point|port/point|by/point|plan/point|fifty/fifteen|fifty/fifty|sixty/sixteen|thirty/thirteen|sticks/six|lemon/eleven|bedroom/megohm|mag ohm/megohm|mano five/nano farad|nine of our hands/nano farads|nano far ad's/nano farads|far its/farads|michael five/micro farad|microphone/micro farad|parts/watts|people/volts|screen/grams|vault/volt|what/watt|watch/watt|was/volts|what/volt|walked/watt|ward/watt|hurts/hertz|water/watt hour|power/hour|our/hour|hero/hour|now/hour|jewels/joules|parrots/farads|fred/farad|henley/henry|millionaires/milliamp hours|million hours/milliamp hours|million per hours/milliamp hours|milliamp power/milliamp hour|empires/amperes|adults/amps`
	for _, q := range strings.Split(s, "|") {
		a, b, _ := strings.Cut(q, "/")
		pa, pb := say(a), say(b)
		fmt.Printf("%5.2f %.2f  %-22s %-18s %s | %s\n", m.Distance(pb, pa), m.Distance(pb, pa)/float32(len(pb)), a, b, m.Symbols(pa), m.Symbols(pb))
	}
}
