package pipeline

import (
	"bytes"
	"fmt"
	"strings"
)

// A shape is a kind of text that somebody could give to make reading slow: of
// so many bytes it writes about as many.
type shape struct {
	name  string
	write func(size int) []byte
}

// shapes are the texts that growth is measured on: each has much of something
// that the program relates to something else.
var shapes = []shape{
	// sums, sizes, ranges and lists
	{"plus", again("5 plus ")},
	{"plus watts", again("5 watts plus ")},
	{"minus", again("5 minus ")},
	{"times", again("5 times ")},
	{"by", again("5 by ")},
	{"sizes", again("98 by 64 by 31 millimeters, ")},
	{"ranges", again("5 to ")},
	{"and", again("5 and ")},
	{"or watts", again("5 watts or ")},
	{"list", again("5, ")},
	{"volts", again("5 volts ")},
	{"fractions", again("1/2 ")},
	{"per", again("5 watts per ")},
	// digits and words of numbers
	{"digits", again("7")},
	{"points", again("1.")},
	{"thousands", again("1,000,")},
	{"number words", again("twenty ")},
	{"hundred", again("one hundred and ")},
	{"percents", again("5%")},
	// words without numbers
	{"one word", again("a")},
	{"words", again("word ")},
	{"stops", again(". ")},
	{"lines", again("word\n")},
	{"paragraphs", again("5 volts\n\n")},
	{"unlike words", numbered("word%dx ")},
	{"words like numbers", again("7 " + strings.Repeat("well ", 200))},
	// things spoken of
	{"parts", numbered("a capacitor of %d microfarads rated 25 volts. ")},
	{"part numbers", numbered("the chip is an AB%dXY from Quorvel. ")},
	{"makers", numbered("the capacitors are from Vrel%02dka. ")},
	{"members", numbered("the capacitors are from Voltrel, Qorv%da, Mestra, Sanvek and Ostrin, ")},
	{"one part", again("another capacitor ")},
	{"coils", again("coils, capacitors, resistors, a fuse, ")},
	{"ports", numbered("USB-C %d port gives 5 volts 3 amps. ")},
	{"protocols", again("power delivery, quick charge, ")},
	{"levels", numbered("%d volts 3 amps, ")},
	{"claims", numbered("%d watts. ")},
	{"claims of levels", numbered("9 volts 3 amps, that is 27 watts, and %d watts in all. ")},
	{"named claims", numbered("the output power is %d watts. 20 volts 5 amps. ")},
	{"cells", numbered("two cells of %d milliamp hours, 3.7 volts, 18.5 watt hours. ")},
	{"temperatures", numbered("the case was at %d degrees after an hour. ")},
	{"efficiency", numbered("at %d watts it was 91.5 percent efficient. ")},
	{"sides", again("on the other side of the board on the top ")},
	{"cues", again("for the output we have in the input mode the battery of the cable ")},
	{"names", again("the Quorvel Harbormate Max, ")},
	{"unlike names", numbered("This is the Quorvel%d Harbormate. ")},
	{"capitals", again("Ab Cd Ef ")},
	{"quotes", again(`"5" `)},
	// units
	{"unknown units", numbered("%d blorps%[1]d ")},
	{"one unknown unit", again("5 blorps ")},
	{"units", again("volts amps watts ")},
	{"whole", whole},
	{"unlike", unlike},
	// forms
	{"many cues", cues("5 volts, ")},
	{"rolling cues", rolling},
	{"empty cues", cues("")},
	{"timing lines", again("00:00:01.000 --> 00:00:02.000\n")},
	{"tags", again("<c.a>5</c> ")},
	{"open tags", again("<")},
	{"entities", again("&amp;")},
	{"json", jsonList},
	{"brackets", again("[")},
	{"stamped", again("[0:01] 5 volts\n")},
	{"rows", again("0.1,5 volts\n")},
	{"subrip", subrip},
	{"zero bytes", again("\x00")},
	{"letters of many bytes", again("é5Ω ")},
}

// again writes the same words on end.
func again(words string) func(int) []byte {
	return func(size int) []byte { return bytes.Repeat([]byte(words), size/len(words)+1) }
}

// numbered writes words on end with the numbers from 1 in them.
func numbered(format string) func(int) []byte {
	return func(size int) []byte {
		var out bytes.Buffer
		for i := 1; out.Len() < size; i++ {
			fmt.Fprintf(&out, format, i)
		}
		return out.Bytes()
	}
}

// cues writes the words as the words of cues of WebVTT.
func cues(words string) func(int) []byte {
	return func(size int) []byte {
		var out bytes.Buffer
		out.WriteString("WEBVTT\n\n")
		for i := 0; out.Len() < size; i++ {
			fmt.Fprintf(&out, "%02d:%02d:%02d.000 --> %02d:%02d:%02d.900\n%s\n\n", i/3600, i/60%60, i%60, i/3600,
				i/60%60, i%60, words)
		}
		return out.Bytes()
	}
}

// rolling writes cues of which each shows the line before again.
func rolling(size int) []byte {
	var out bytes.Buffer
	out.WriteString("WEBVTT\n\n")
	last := "it begins"
	for i := 0; out.Len() < size; i++ {
		next := fmt.Sprintf("%d volts and %d amps", i%50+1, i%7+1)
		fmt.Fprintf(&out, "%02d:%02d:%02d.000 --> %02d:%02d:%02d.900\n%s\n%s\n\n", i/3600, i/60%60, i%60, i/3600,
			i/60%60, i%60, last, next)
		last = next
	}
	return out.Bytes()
}

// subrip writes SubRip.
func subrip(size int) []byte {
	var out bytes.Buffer
	for i := 0; out.Len() < size; i++ {
		fmt.Fprintf(&out, "%d\n%02d:%02d:%02d,000 --> %02d:%02d:%02d,900\n5 volts 3 amps\n\n", i+1, i/3600, i/60%60,
			i%60, i/3600, i/60%60, i%60)
	}
	return out.Bytes()
}

// jsonList writes segments of JSON.
func jsonList(size int) []byte {
	var out strings.Builder
	out.WriteString("[")
	for i := 0; out.Len() < size; i++ {
		if i > 0 {
			out.WriteString(",\n")
		}
		fmt.Fprintf(&out, `{"start":%d,"duration":1,"text":"5 volts %d amps"}`, i, i%9)
	}
	out.WriteString("]")
	return []byte(out.String())
}
