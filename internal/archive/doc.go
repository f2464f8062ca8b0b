// Package archive keeps every review read so far, finds them again, and says
// how they compare. [Open] is the call to start with; [Archive.Begin] writes,
// [Archive.Search] finds. The package never looks at a clock: whoever writes
// hands in the time and the name of the person.
//
// # The folder
//
//	archive.json             {"version":"saywatt/archive/2"}
//	records/ab/abcd….json.gz records as they were read, by gzip, named by the SHA-256 of their bytes unpacked
//	decisions.jsonl          who did what when: the versions of each review and every decision on them
//	lock                     held by the one process that writes
//	index/current.json       which generation of the index holds, and what it was made from
//	index/7/                 generation 7
//
// Records and decisions are the truth; both are plain JSON, records behind gunzip. A record file is
// written beside its place, synced, renamed, and its folder synced, before a
// line of decisions names it; the line is synced before the add is
// acknowledged. So a process killed at any moment leaves at worst a record
// nobody names and half a line at the end, neither of them acknowledged; the
// next writer cuts the half line off. Every line carries a CRC, every record
// its hash, so a flipped bit is found and reported by file name, and everything
// else is served. A review read again gets a new version; the old ones stay.
// What a person decided is not written into the record but replayed over it, and the
// rules are asked again; how likely other values are is weighed where the captions are
// read with the decisions ([Archive.DecidedSince]).
//
// An archive of version 1 has its records plain, as records/ab/abcd….json; it is
// read as it is, and becomes one of version 2 when it is first written to.
//
// Nothing is lost without a word. A log that is missing, or shorter than the
// index knows it, is [errLog] when the archive is opened; [OpenDamaged] goes on
// with what is left. What could not be read when the index was made is listed in
// it, and reported by every search until the file is another one. An index that
// was found damaged is reported by [Archive.Repaired]. Records that no line of
// the log names become reviews by [Archive.Restore]; those whose captions the log
// knows by another record, and files that a killed process was writing, are
// cleared by [Archive.Sweep].
//
// The folder alone says who may read and write: everything in it gets its
// permissions, so a folder open to a group is an archive that the group shares.
// Who may read only searches all the same; where the index of the archive is
// missing or behind, it is made aside, in a folder for temporary files, for as
// long as the archive is open.
//
// # Whose review a record is
//
// A review has a name, and what it is known by: the bytes of its captions,
// where they are, seen from the archive's folder, and the product that they
// speak of. [Writer.Put] finds the review that a record is of, or makes a new
// one, and refuses with a [DoubtError] where neither is certain: two reviews
// mixed up cannot be distinguished again, and two that are one can be merged. Each
// line of the log that adds a version has title and path; a line "renamed" or
// "merged" gives what one name has to another, at once and whole, and the
// versions and decisions stay where they are.
//
// A person may put the name of a product right. Its review is known by what was
// heard too, which the record keeps (schema.Product.Settled) and the line that adds
// the version (Decision.Called), so that versions read with and without that answer
// are of one review.
//
// A review remembers all [captions] that it was read from, those of reviews
// merged into it too: added again they are its own, and as they were where
// nothing but the name of the file differs. From another path they are as they
// were too: a line "copied" notes the path, and that is where the review is from
// then on. [Writer.Merge] refuses reviews of
// different products with a [DifferentError]. A review that was removed gives
// its name and captions back; what is added in its place begins at version 1,
// and [Added].Removed says when it was removed.
//
// # The index
//
// The index is a cache: delete it and it is made again. It has a version of
// its own; another version, other sizes, a checksum that differs or a panic
// inside make it broken, and a broken index is rebuilt. A generation is never
// written to once current.json names it: a writer links its files into the
// next one, adds to that, and switches. Readers therefore need no lock and
// are never waited for, and a reader that stays open keeps what it opened.
//
// What terms the document of a review has is in the doc of package terms.
//
// # The packages
//
// This package is what others use: whose review a record is, what is written when, which
// index answers, and the order of results. It puts together what the packages below it
// know, each of which can be read alone:
//
//	store    the files of the folder
//	query    what people search for: the grammar is in its doc
//	facts    what a record says
//	match    a query held against one review: what is shown, and the oracle of the index
//	index    sets of documents in segments of bleve
//	terms    the terms of a review, and a query asked of them
//	compare  records side by side
//	spread   how numbers are spread
//	replay   a record with what people decided of it
package archive
