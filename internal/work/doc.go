// Package work spreads the reading of captions over processes and machines. It
// has no engine of its own: captions, results and answers are messages in NATS
// JetStream, and any number of workers pull them.
//
//	send → work stream → worker → results stream → gather → archive, JSON Lines
//	                       ↑  ↓
//	           answers stream  dead-letter stream
//
// # What is kept where
//
// A job has a name, "saywatt" where none is given. Its streams are
//
//	NAME-work      a [task] for each review to read; gone when it is acknowledged
//	NAME-results   for each review the newest record, its findings, its tables
//	NAME-answers   what people decided, in order
//	NAME-dead      what could not be read, with the reason and the file's name
//
// and the object store NAME-captions holds the captions by the SHA-256 of their
// bytes, unless they were sent by reference. NAME-workers is a key-value bucket
// in which workers say what they do.
//
// The last two tokens of every subject are the slot and the review: the slot is
// a hash of the review's name (see [Slot]), so that writers can share the
// results by subject. A message of results is lines of the feed (see
// feed.Write), the record as one line, a row of a table as one line.
//
// # Once, and the newest
//
// A message may be delivered twice and a worker may die at any moment, so
// nothing is done that cannot be done again. A record is stored under its
// review's subject, which keeps one message, on the condition that the last
// message there is the one that the worker has looked at (the engine compares
// the sequence, in one step). Each record says which task it is of and how many
// answers it knows; a worker that finds a newer task or more answers than it
// read with reads again, and one that finds its own work done leaves it. The
// tables are stored on the condition that the record is still theirs. Only then
// is the task acknowledged.
//
// # Failing
//
// Captions that cannot be read go back to the stream, and after some tries to
// the dead-letter stream. Trouble with the broker is no failure of captions:
// what was begun is done again. See [Worker].
package work
