package transcript_test

import (
	"bytes"
	"fmt"

	"saywatt/extract/transcript"
	"saywatt/schema"
)

func Example() {
	captions := `WEBVTT

00:00:02.879 --> 00:00:05.349
so this is the Nimbrook
it<00:00:03.200><c> says</c><00:00:03.600><c> twelve</c><00:00:04.100><c> volts</c>

00:00:05.349 --> 00:00:05.359
it says twelve volts
 

00:00:05.359 --> 00:00:08.000
it says twelve volts
at<00:00:06.000><c> 325</c><00:00:06.500><c> amps</c>
`
	t, err := transcript.Parse("talk.vtt", []byte(captions))
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%s, %v:\n%s\n\n", t.Format, t.Duration, t.Text)

	at := bytes.Index(t.Text, []byte("twelve volts"))
	said, _ := t.TimeAt(at)
	fmt.Println("said at", said)
	for _, s := range t.SourceSpans(schema.Span{Start: at, End: at + len("twelve volts")}) {
		line, col := t.Position(s.Start)
		fmt.Printf("%d:%d %s\n", line, col, t.Source[s.Start:s.End])
	}
	// Output:
	// vtt, 8s:
	// so this is the Nimbrook
	// it says twelve volts
	// at 325 amps
	//
	// said at 3.671428571s
	// 5:47 twelve</c><00:00:04.100><c> volts
	// 8:9 twelve volts
	// 12:9 twelve volts
}
