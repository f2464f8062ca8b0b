// Package glossary keeps the names a user knows: makers, part numbers and
// packages. In goes a plain CSV file; out come its entries, a book to look
// names up in as captions show them, and the support that the names of a
// narration find in it.
//
// # The file
//
// CSV by RFC 4180, UTF-8, with a header row that names these columns, in any
// order; only kind and name must be there:
//
//	kind     maker, part or package
//	name     the name in its standard spelling; of a part its number
//	aliases  other spellings of the same thing, separated by ";"
//	spoken   how captions show it when it is read out, separated by ";"
//	maker    of a part: who makes it
//	ratings  of a part: what it is rated for, "650 V; 150 mOhm; 100..240 V", UCUM units
//	package  of a part: its package code
//	note     for the reader, not used
//
// Reading is strict: a cell in the wrong place, a rating that cannot be read
// or a name given twice is an error with file, line and cause, since an entry
// is evidence and a wrong one makes wrong readings sure. A line that begins
// with "#" is a comment.
//
// # Which files
//
// There is a personal file (PersonalFile, in the user's configuration folder)
// and a project file (ProjectFile, in the working directory); a command may
// name a further one. Where two give the same kind and name, the later one
// wins as a whole: personal, project, named.
//
// # Look-up
//
// A name is looked up by its letters and digits alone, case and blanks left
// out; else by its sound: the phonetic key of a maker (alike.Key), or
// the letters of a part number with those that captions confuse folded into
// one (extract.CodeKey); else by a key one edit away. To find those
// among many thousand entries, every key is stored with each of its letters
// left out in turn, as hashes in one sorted list: two keys one edit apart share
// one of these. A look-up is so a few binary searches, however long the list.
//
// What a match is worth is for [Book.Use] to say. The same sound is support;
// another digit is not: KX3605 and KX3606 may both exist, so a part number a
// digit away is offered and left open.
package glossary
