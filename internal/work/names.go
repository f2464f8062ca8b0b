package work

import (
	"fmt"
	"strings"
)

// defaultJob is the name of a job where none is given.
const defaultJob = "saywatt"

// names are the names of a job's streams and subjects.
type names struct{ job string }

func (n names) work() string     { return n.job + "-work" }
func (n names) results() string  { return n.job + "-results" }
func (n names) answers() string  { return n.job + "-answers" }
func (n names) dead() string     { return n.job + "-dead" }
func (n names) captions() string { return n.job + "-captions" }
func (n names) workers() string  { return n.job + "-workers" }

// Kinds of messages: the second token of a subject.
const (
	kindWork     = "work"
	kindRecord   = "record"
	kindFindings = "findings"
	kindTables   = "tables"
	kindAnswer   = "answer"
	kindDead     = "dead"
)

// subject is where messages of a kind on a review go.
func (n names) subject(kind, review string) string {
	return fmt.Sprintf("%s.%s.%d.%s", n.job, kind, slot(review), token(review))
}

// all is every subject of a kind.
func (n names) all(kind string) string { return n.job + "." + kind + ".*.*" }

// slot is every subject of a kind in a slot.
func (n names) slot(kind string, slot int) string {
	return fmt.Sprintf("%s.%s.%d.*", n.job, kind, slot)
}

// CheckJob refuses what is no name of a job: it is part of stream names and
// subjects.
func CheckJob(job string) error {
	ok := job != "" && strings.IndexFunc(job, func(r rune) bool {
		return !(r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || r == '-')
	}) < 0
	if !ok {
		return fmt.Errorf("job %q: a name has letters, digits and hyphens", job)
	}
	return nil
}

// Headers of messages. Those of results say which task and how many answers a
// record is made of.
const (
	headTask    = "Saywatt-Task"    // the task, JSON
	headStamp   = "Saywatt-Stamp"   // when the broker took the task in, nanoseconds since 1970
	headAnswers = "Saywatt-Answers" // sequence of the last answer known
	headID      = "Saywatt-Id"      // id of the record in the feed
	headObject  = "Saywatt-Object"  // name in the object store of what is too large for a message
)
