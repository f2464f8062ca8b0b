// Package overview writes what an archive answers of many reviews: what a search
// found, reviews side by side, how values are spread, readings that wait for an
// ear, and the list of reviews. In goes an answer of internal/archive; out comes
// text for a terminal, CSV, JSON or a page. The archive finds and counts; nothing
// here does.
//
// A [Look] says how wide a terminal is and what it can show. The same answer and
// look give the same bytes.
package overview
