// Package export writes records for people and for machines.
//
// A [Writer] takes records one after another and writes each in one format as
// it comes, holding none of them: a sheet for a terminal, the record itself as
// a JSON document or as a line, one line of JSON for every quantity said, and
// two CSV tables, of operating levels and of components. Each format has its
// file, and the comment at the head of the file is its specification.
//
// For other programs and for print there are more: [Tables], which CSV, the
// sheets of a workbook, Parquet ([ParquetWriter]) and the rows of the feed are
// made from; [Article], a sheet in Markdown or HTML with its pictures inside, or
// a workbook; [WriteFeed] and [ReadRecords], a feed with stable ids that may be
// endless. [Saver.WriteFile] puts any of them into a file, whole or not at all.
//
// What each column of each table holds is a row of tables/columns.tsv: its
// type, unit and meaning. [WriteDictionary] prints it, [Table.WriteMetadata]
// writes it beside a CSV file, and a Parquet file has its types from it.
//
// Sheets are made for paper too. HTML prints in two columns with the narrow
// form of the pictures, which a telephone shows as well; a workbook has a first
// sheet to print, and prints every other one landscape, as wide as the page. An
// article shows no folder of the machine it was made on, and its times are
// links only where an address for them is given.
//
// The same record gives the same bytes. Whatever captions held, a terminal is
// shown no control character of theirs (see Printable), and a spreadsheet no
// formula (see cell).
package export
