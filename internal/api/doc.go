// Package api serves the engine to programs: HTTP requests under /api/v1 go
// in, records, findings, results and sums come out, as JSON. Handler is the
// whole of it; openapi.json, which it serves, is its specification, and a test
// walks that document against the handlers.
//
//	GET  openapi.json, record.schema.json   what all of this looks like
//	POST read                               captions → record
//	POST batch                              JSON Lines of captions → of records, in order
//	POST check                              record → findings
//	GET  rules                              what records are checked by
//	GET  calc, calc/{name}                  the calculators
//	POST calc/{name}                        inputs → results with formula and source
//	GET  search                             archive → reviews
//
// # Order of a request
//
// Every request passes the same gates before its handler sees it, cheap ones
// first, so that a request that is refused costs nothing: address (404), method
// (405), what the client accepts (406), parameters (400), form of the body (415,
// 413), a free place (503), and then the body itself, read whole but for
// batches. A handler returns an error; problemOf turns errors into problem
// details (RFC 9457) in one place, so that no error has another form.
//
// # Limits
//
// Options bound the bytes of a body, the time that one takes to arrive and the
// work on it to finish, how many requests hold a body at once, and how much
// work is done at once. The engine cannot be stopped in the middle of a file:
// work that is over its time is answered with 503 and keeps its place among
// what is done at once until it is through, so that giving up does not make
// room for more than there is.
//
// A batch is as long as its client likes. Its lines are read ahead only as far
// as they can be worked on, and as their bytes fit a budget; each has the limits
// that a request of its own would have, and its error is a line among the
// others. When the client goes away, nothing further is read or begun.
//
// # What is refused though JSON would take it
//
// Names given twice, unknown names, text that is no UTF-8, and nesting deeper
// than any record has: each would otherwise be dropped or changed without a
// word.
//
// The package keeps no state; the archive it searches is the caller's, as are
// authentication and the check of where requests come from.
package api
