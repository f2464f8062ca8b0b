// Package intake makes records of what a command line names. In go files,
// folders, patterns and standard input, whatever they hold; out come records
// in the order named, each with the file that it is from. [Files] finds the
// files and [Reader.Each] reads them: every command that takes files does it
// through these two, so that all of them take the same.
//
// # What is named
//
// A name is a file, a folder, a pattern or "-", standard input. A folder
// stands for the files in it and below it whose endings are those of captions
// (tables/endings.tsv), in the order of their names; hidden files and folders,
// archives and what this program itself writes beside captions are left out.
// A pattern (path.Match) stands for the files that it fits, for shells that do
// not do it and for quoted ones; a file of that very name comes first.
//
// An ending such as .json says little. Of a folder, a file with such an ending
// that turns out to be neither captions nor records is passed over and reported
// of, and is no failure; one that was named is.
//
// # What is read
//
// The content of a file says what it is: captions in any form, from which a
// record is made; a record; several, as JSON Lines; or a feed, which may be
// endless and is taken record by record. Captions are read some at a time, on
// all processors, and handed on in order; at most so many are held as wait for
// one slow file.
//
// # Answers
//
// A person's answers go with captions, since the rest is read anew with them.
// Of one file all lines of an answer file are; of several each line must name
// its own ("file"), by a path or the end of one. A folder of answers holds a
// file NAME.decisions.jsonl for each NAME that was decided on, as the desk
// leaves them beside the captions.
package intake
