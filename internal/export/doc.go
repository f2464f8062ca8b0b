// Package export writes records for people and for machines: it is the one list of
// formats, and a [Writer] that writes records in any of them.
//
// format.go lists the formats with their names, media types and properties. The
// commands read, emit and watch, completion and the desk take all of these from there,
// so that a new format is a row and a case of [Writer]. A Writer takes records one
// after another. Most formats are written as records come, and none is held; those that
// need all records first are written when it is closed.
//
// What a format consists of is in a package of its own, which can be read alone:
//
//	sheet      the specification sheet as text
//	article    the same in Markdown and HTML, with pictures
//	table      tables of typed cells: CSV, Parquet, what each column means
//	workbook   sheets of an article and of tables, Office Open XML
//	feed       JSON Lines with ids, readings; records read back
//	report     rules, findings, calculators and their answers
//	overview   what an archive answers of many reviews
//
// They stand on small ones: line (lines of styled text), account (what of a record a
// person has to look at), word (text, quantities and phrases for people), naming (what
// reviews and files are called) and plainjson.
//
// The same record gives the same bytes. Whatever captions held, a terminal is shown no
// control character of theirs (word.Printable), and a spreadsheet no formula
// (table.CSVCell).
package export
