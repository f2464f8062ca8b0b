// Package api serves programs over HTTP: captions in, records out.
//
//	POST /api/v1/read          captions → record
//	POST /api/v1/batch         captions, one JSON object a line → a record or a problem a line, in the same order
//	POST /api/v1/check         a record → findings
//	GET  /api/v1/rules         the rules
//	GET  /api/v1/calc          the calculators and their inputs
//	POST /api/v1/calc/{name}   inputs, or a record → answers
//	GET  /api/v1/search        the archive, where there is one
//	GET  /api/v1/openapi.json  all this as an OpenAPI 3.1 document
//	GET  /api/v1/record.schema.json  the JSON Schema of a record
//
// It keeps no state: what a request tells is all that its answer depends on,
// but for the archive, which is only read. Nothing is written anywhere.
//
// # Bounds
//
// A body has at most Options.MaxBytes, a line of a batch as well. Readings
// run a few at a time (Options.Parallel); a request waits for its turn as long
// as its client does. A batch holds as many lines in memory as run at a time,
// and ends when its client goes away or a write takes too long.
//
// # Errors
//
// Every error is problem details (RFC 9457): type, title, status, detail and,
// where a place in the captions or the document is known, file, line and
// column. In a batch the problem stands in the line of the captions it is of,
// and the batch goes on.
//
// # Safety
//
// Host, Origin and token are the desk's guard's business, which stands before
// this handler. Captions are hostile input: nothing of them is run, opened or
// followed; names are only copied into the record.
package api
