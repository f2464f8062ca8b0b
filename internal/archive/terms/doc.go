// Package terms is what the index has of a review, and how a query is asked of it. Both
// are in one package since they must spell alike: [Document] makes the terms of a review
// (package match has the review as queries see it), and a [Finder] finds the documents
// that have those that a query wants. [Columns] are what results are counted and sorted
// by; [Finder.Values] goes through the numbers of a subject.
//
// The index finds exactly the reviews that hold by package match, which tests see to. A
// word or name that nothing is called by is looked for by near spellings among all names;
// what was taken instead goes into the query and into the notes. What a query means can
// depend on what there is, so a Finder of one of several indexes asks its peers as well.
//
// # The terms
//
// Bleve's segments, dictionaries and posting lists are used as they are, under
// a static set of fields; its mapping, scoring and facets are not. A review is
// one document of plain terms, without frequencies, positions or doc values:
//
//	w  words and pairs of neighbouring words, as heard and in normal form
//	f  fields: name, then every run of words of the value
//	v  values: path, then the number in SI units, spelled so that bytes sort as numbers do; again for
//	   one that may belong elsewhere, by how sure its place is
//	r  ranges: path, low end, high end
//	i  items: pairs of values that stand in one level or one part
//	c  columns: what results are counted and sorted by, and how many readings wait for a person
//
// Package archive keeps two things in it to be shown without a record: the review (s),
// and its readings that wait for a person (o).
//
// A number costs two terms (itself and its leading digit) and not the sixteen
// of a float field, keeps all its digits, and a range of numbers is the union
// of a few leading digits and of the edges. Sets of documents are bitmaps, so
// and, or, not, counting facets and sorting cost little whatever is found.
package terms
