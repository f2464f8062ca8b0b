// Package edit writes corrections back into the file that was read. In go a
// record and its transcript; out come [Change] values, each a few replaced
// bytes of the source, and with [Apply] the file again, in the format it came
// in, that differs in the corrected words only. Cue times, settings, styling,
// comments, line breaks, line ends, byte order mark and encoding are bytes
// that no change touches.
//
// [ForRecord] is where to start; [Apply] works on bytes alone; [WriteCSV],
// [WriteMarkdown] and [ReadList] carry the list of changes to an editor and
// back; [Marks] and [WriteMarks] note what is [Left] to a person; [Warn] finds
// lines that grew beyond what people read in time.
//
// # What is corrected
//
// Quantities whose status is repaired or settled, and those garbles of terms
// (tables/terms.tsv) whose term the record holds. A quantity left open stays as
// heard: a guess is not put in the speaker's mouth. So does a repair that fails
// one of these:
//
//	words     every number word of the quantity has its part in what is written, and
//	          no digit comes in: "six twenty five volts" is not cut down to 25 volts
//	run       the number is not one of several side by side: "point for eight bolts",
//	          or "19 87" with no unit
//	evidence  corrections of its kind were right 99 times of 100, from the least
//	          probability in tables/evidence.tsv on
//
// What a person settled needs no evidence, but loses no words either: one number
// takes the place of one.
//
// Captions are what was said, so nothing is added to it. A unit the speaker
// left out stays out ("12 volts 225" becomes "12 volts 2.25"), and what spells
// the quantity already stays as it is, whatever the style. Of the rest only the
// wrong part is replaced: in "325 amps" the number, in "15 bolts" the unit. To
// know the parts, the words are cut in two at every place:
//
//	5,000 | million per hours    the head reads as 5000, cleanly: the unit was garbled
//	325 | amps                   the tail spells A: the number was garbled
//	86 pouring 4 | percent       likewise
//	8 point 94                   all of it is number: no unit was said
//	plenty | bolts               the tail is known to be heard for V: both are replaced
//
// The first of these that holds decides, in this order, the longest head and
// the longest tail first. [Style] says how the new part is written: in the
// manner of the file's own numbers and units, or as the house has it.
//
// # Where it is put
//
// The old and the new words are aligned (longest common subsequence), and each
// run of words that differ is one replacement, put in the place of its first
// old word. Where a run crosses a line or a cue, the new words stand on the
// line where the run began and the later lines lose theirs; punctuation that
// followed goes with the number. If that would leave a line with nothing on
// it, the new words go to the last line instead; if that empties the first, the
// change cannot be made and is reported.
//
// Every replacement lies on one line, and rolling captions repeat whole lines,
// so each is made wherever the line is shown ([transcript.Transcript.Occurrences]).
// Inside a line, tags and word times cut words into pieces of the source: the
// first piece takes the new words, the others become empty, the tags stay.
package edit
