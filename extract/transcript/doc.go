// Package transcript reads caption, transcript and notes files. In goes a file
// of any of the formats below; out comes a [Transcript]: the words said, once, as
// one text for the scanner to read, and for every byte of that text where it
// stands in the file and when it was said. [Parse] and [Read] are where to
// start; [Transcript.SourceSpans], [Transcript.TimeAt] and [Transcript.CueAt]
// lead back from a find in the text to the file.
//
// # Formats
//
// The format is recognised by content, never by the file's name (see sniff):
//
//	vtt      WebVTT, W3C. The standard's parser, line by line.
//	srt      SubRip text, as players accept it.
//	ttml     TTML 1 and 2, IMSC text profile, W3C.
//	stamped  plain text, "[1:02] words" or "1:02 words" or a time on a line
//	         of its own. Decided over the whole file, because a recogniser
//	         may well write 3.25 A as "3:25 amps": several times, mostly
//	         rising, and for bare ones a pace at which people talk.
//	speaker  a transcript with lines of a name and a time, "Speaker 1  00:12".
//	sbv      times above the words, apart by a comma; SubViewer too.
//	ass      SubStation Alpha scripts, their text events.
//	json     a list of timed segments, or of events with segments of words.
//	table    CSV or TSV with a column of times and one of words.
//	docx     the text of a Word document, in any of the plain forms.
//	notes    everything else; Markdown marks are taken off.
//
// Each format is specified above its reader. A form that is known and not read
// (tables/refused.tsv) is refused by its name, and so is a record of this
// program.
//
// Only English is read. A file that names another language, or whose words
// plainly are of one, is read all the same; [Transcript.Foreign] says why it is
// taken for foreign, and so does the list of problems.
//
// Text is UTF-8, or UTF-16 with a byte order mark; anything else is refused
// with the offset of the byte that cannot be read. Spans that leave the package
// are offsets into the file's own bytes; only a Word document, which has its
// words compressed, gives offsets into the text that was taken out of it, and
// that text as Transcript.Source.
//
// Reading is lenient where words would be lost, and every leniency is listed
// in Transcript.Problems with its line and cause: a cue whose times cannot be
// read is kept and placed after the one before it; a blank line inside a cue
// does not end it; a "<" that opens no tag is a less-than sign. Where a
// standard says to drop what was never said (notes, styles, headers), it is
// dropped.
//
// # The text
//
// Cues follow each other in file order, whatever their times. A line break
// inside a cue and the break between two cues are one "\n" each, since speech
// runs on over both; a paragraph break, which only notes and stamped text have,
// is "\n\n"; a blank between words that a JSON file lists apart stands nowhere in
// the source. Lines of white space are left out, words inside a line are as the
// file has them.
//
// # The way back
//
// The text is made of pieces. A piece ties some bytes of the text to some bytes
// of the source; mostly they are the same bytes, and a character reference such
// as "&amp;" is a piece of its own, one byte of text for five of source; so is an
// escape of JSON, and the doubled quote of a table. Breaks
// belong to no piece, and between two pieces of the text the source has tags,
// times and cue numbers. So a span of the text gives the pieces it touches, by
// binary search, and from them the source: [Transcript.SourceSpans] gives the
// hull, which may hold a tag or a cue's times in the middle and is right for
// showing; [Transcript.SourcePieces] and [Transcript.Occurrences] give the
// pieces, right for editing in place. UTF-16 files are decoded once and keep a
// mark every few hundred bytes, from which offsets are walked.
//
// # Rolling captions
//
// Live captions roll: the line being spoken is built up below the one before
// it, and each line arrives up to three times. With word times it looks so:
//
//	2.879 --> 5.349   so this is the Nimbrook              carried
//	                  it<3.2> says<3.6> twelve<4.1> volts  built up
//	5.349 --> 5.359   it says twelve volts                 held for 10 ms
//	                  (a single blank)
//	5.359 --> 8.000   it says twelve volts                 carried
//	                  at<6.0> 325<6.5> amps                built up
//
// Said is "so this is the Nimbrook, it says twelve volts, at 325 amps". Reading
// every line would find the twelve volts three times; dropping every line equal
// to an earlier one would lose a value read twice from a display. Both are
// silently wrong, so a line is folded into the one before only on the evidence
// of the file's structure:
//
// Compare each cue with the last one that had words. Its first lines are
// carried when they are, whole, the last lines of that cue, and it starts
// when that one ends. That is the shape; three things can support it. A hold: the
// whole cue, shown for at most 50 ms, and nobody speaks in so short a time. A
// build-up: word times on the last line and none on the lines above, so the
// lines above are not being said. And the run: cue after cue in the same shape.
//
// A file in which two cues are proved by holds or build-ups rolls, and its
// runs with such a cue in them are believed; the others too if most of the file
// is in shape. Without any proof only long runs are: four cues on end, or the
// whole file. In a file with word times a whole line without any, standing
// alone where the last line stood, is carried too: had it been said, its words
// would have times.
//
// So these are kept, each being said again: a line with word times of its own;
// a line that comes back after a pause; a new line below an equal carried one
// ("it says twelve volts" over "it says<6.0> twelve<6.5> volts"); the one line
// of a one-line cue that lasts longer than a hold; any repeat in a file that
// does not roll. What the rule cannot see: a word said twice in the 10 ms of a
// hold, and a speaker who repeats the second line of four captions in a row as
// the first line of the next.
//
// The line kept is the first shown. The others are not lost: each is an
// [Occurrence], so a correction reaches every place that shows the words.
//
// # Cost
//
// Everything is linear in the size of the file, one 10 MB line included;
// looking up a span or a time is logarithmic. Read refuses what is over
// [Options.MaxBytes], 64 MiB unless said otherwise.
package transcript
