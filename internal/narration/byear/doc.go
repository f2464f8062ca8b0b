// Package byear makes narrations as a speech recogniser writes them down, with
// their truth. A marked narration is read aloud by a synthetic voice, a
// recogniser writes what it hears, and the marks of the narration are put on
// the words written. So the garbles are those of a recogniser, and yet all is
// known that was said.
//
// The command in dictate does it with two general-purpose programs of Debian:
// the synthesiser flite (2.2) and the recogniser pocketsphinx_batch
// (pocketsphinx and pocketsphinx-en-us, 0.8+5prealpha+1). This package has all
// but them:
//
//   - [Aloud] turns what was said (narration.Narration.Said) into the words of a
//     voice, cut into utterances: numbers and units in words, abbreviations and
//     part numbers in letters. The voice, its speed, and what people say in more
//     ways than one follow from a hash of the narration's name.
//   - [Heard] reads what the recogniser wrote.
//   - align finds, for every word written, the word said that it stands for, by
//     the sounds of both (extract/sound): "smiling votes" for "amps nine volts".
//   - [Reading.Write] makes the narration: the words written, in two of five
//     readings with numbers as digits, and a mark on those that stand for the
//     words of a mark. A quantity whose words are not those said has the garble
//     "sound", and is unclear where no number is left in them. A mark that
//     nothing was written of is gone; a number that is no quantity is marked only
//     where the words still have a number.
//
// How signs and names are said is in tables/spoken.tsv, the units in those of
// package schema, the words of numbers in those of package narration.
package byear
