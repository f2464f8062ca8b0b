// Package export writes records for people and for machines.
//
// A [Writer] takes records one after another and writes each in one format as
// it comes, holding none of them: a sheet for a terminal, the record itself as
// a JSON document or as a line, one line of JSON for every quantity said, and
// two CSV tables, of operating levels and of components. Each format has its
// file, and the comment at the head of the file is its specification.
//
// The same record gives the same bytes. Whatever captions held, a terminal is
// shown no control character of theirs (see Printable), and a spreadsheet no
// formula (see cell).
package export
