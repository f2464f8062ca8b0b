// Package form says whether a JSON document is a record at all: its form, by the
// JSON Schema that "saywatt schema" prints, and its sense, that it does not
// contradict itself.
//
// In go the bytes of one document. [Check] gives findings on its form, [Read]
// those on form and sense, or the record where there are none. A finding is a
// sentence in plain words with the path of the field (JSON names, indices from
// 0) and its line and column (from 1, in bytes) in the document; findings come
// in the order of the document. What is no JSON is an [Error] with its place.
//
// What the values of a record say is not judged here: that is for the rules of
// package validate, which asks this package first.
package form
