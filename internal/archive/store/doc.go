// Package store keeps what an archive holds on disk: record files, the log of
// decisions, the lock of the one writer, and which generation of the index holds. It
// knows nothing of what reviews say or of searching.
//
// A folder goes in, and bytes that are synced come out. [Records] puts and gets
// records by the SHA-256 of their bytes, [Journal] appends and reads lines of
// decisions.jsonl, each a [Decision] with a checksum, [TakeLock] gives the right to
// write or a [BusyError], and a [Manifest] is index/current.json: what the index was
// made of, its files with their checksums, and what could not be taken in. Anything
// that cannot be read is a [Damage], which names the file and says how it is mended;
// the rest is served.
//
// What is written is whole and synced under its name, and so is its folder, before
// a call returns. How the parts hang together is in the doc of package archive.
package store
