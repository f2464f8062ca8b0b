// Package desk serves the review desk: local web pages on which a person
// hears what captions left in doubt, decides it, and sees what that changes.
// New makes a Desk of a Config; Desk.Handler is the whole of it for an HTTP
// server, which the caller runs.
//
// # State
//
// A Desk holds a session: reviews that are open, each a caption file read into
// memory, and perhaps an archive. Nothing that a person decides is kept in
// pages or in the browser. It is kept as a log of entries (entry), one for each
// place of the captions decided on; what was decided in one act has one number.
// A log is only ever added to: undoing an act adds entries that say again what
// stood before it, and an act that was undone can be done again. With an archive
// the log is the archive's, without one it is a file beside the captions, or in
// memory where that was asked for, and pages say so. An act is answered when it is
// on disk. The log can be written out as a file that
// "saywatt read --answers" and "saywatt learn" take, so that what was decided
// here can be replayed anywhere.
//
// A state is what the engine (package pipeline) makes of the captions and of the
// log so far. It never changes; an act makes the next one, by reading everything
// anew with all that was decided, and the difference between the two is shown as
// what the answer settled besides. Where a reading takes longer than somebody
// should wait, it is made behind the pages: the next state has the decision at its
// own place, and a later one has what hangs on it.
//
// # Two at a time
//
// Every page carries the version it shows, the number of entries of the log, and
// every act carries the version it was made against. Where the log has grown in
// between and a later entry is about a place that the act is about, the act is
// refused with 409 and a page that shows both, from which it can be made again.
// Entries of other places are no conflict, nor is the same decision made twice.
// Another process on the same archive or the same file is met in the same way,
// since the log is read again under a lock before anything is added to it.
//
// # Pages
//
// A page is built around one doubtful quantity: the sentence, what is heard, and
// the readings that it may have are one screen, and nothing above the answers
// changes its height, so that a key or a finger meets what was there before. What
// speaks for and against each reading, and the moments that say so, are beneath.
// What is asked next is what is worth most (worth), be it what was said or what that
// belongs to; where both are in doubt of one quantity, the one comes after the other.
// A strip on top of every page takes back what was decided last. The script takes no
// answer from a key that is held, none before a page was there for a while, one a
// page, and none once a page is being left.
// The sheet, the transcript and the picture lead to it and come back from it.
// Pages are html/template, with one style sheet and one script, embedded; they
// work without the script, by plain forms, but for keys and live progress. What
// keys do is said by data-key attributes in the pages: the script presses what has
// them and knows nothing else of the job.
//
// # Safety
//
// Captions are hostile input. Everything of them goes through the escaping of
// html/template, stands in an element with dir=auto so that direction marks end
// with it, and is clipped. The Content-Security-Policy allows no inline script or
// style and no other host. Requests must name the server's own host, which
// defeats rebinding of names, and changes must come from its own pages
// (http.CrossOriginProtection). Of files only those given as media are served;
// captions of the archive's reviews are read only from folders named at start.
// Bodies, headers, times and the rows of a page are bounded. The command asks for
// a token always, since other accounts on a machine reach its loopback address.
package desk
