package work

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"hash/fnv"
	"path/filepath"
	"strings"

	"saywatt/internal/archive"
)

// taskVersion names the form of a task.
const taskVersion = "saywatt/task/1"

// A task is one review to read: the message of the work stream.
type task struct {
	Version string `json:"version"`
	Review  string `json:"review"` // name of the review
	File    string `json:"file"`   // name of the captions, as records have it
	SHA256  string `json:"sha256"` // of the captions
	Size    int64  `json:"size"`
	// Path is where the captions are, for every worker, where they were sent by
	// reference. "" means that the object store has them under their SHA-256.
	Path string `json:"path,omitempty"`
	// Again has the captions read though there is a record of them.
	Again bool `json:"again,omitempty"`
}

// sameAs reports whether two tasks are of the same captions.
func (t *task) sameAs(o *task) bool { return t.SHA256 == o.SHA256 && t.File == o.File }

// Errors of a task that is no task.
var (
	errTask   = errors.New("this is no task of this program")
	errReview = errors.New("a review needs a name with letters or digits")
)

// parseTask reads a message of the work stream.
func parseTask(b []byte) (*task, error) {
	t := &task{}
	if err := json.Unmarshal(b, t); err != nil {
		return nil, fmt.Errorf("%w: %v", errTask, err)
	}
	switch {
	case t.Version != taskVersion:
		return nil, fmt.Errorf("%w: version %q, want %q", errTask, t.Version, taskVersion)
	case t.Review != ReviewName(t.Review):
		return nil, fmt.Errorf("%w: %q: %w", errTask, t.Review, errReview)
	case len(t.SHA256) != 2*sha256.Size:
		return nil, fmt.Errorf("%w: %q is no SHA-256", errTask, t.SHA256)
	}
	return t, nil
}

// longestName bounds the name of a review, in bytes: it is part of a subject.
const longestName = 160

// ReviewName makes a review's name of the name of a file, seen from the folder
// that was sent: the words of its path with hyphens, the ending of captions
// left out. So a/en.vtt and b/en.vtt are two reviews, a-en and b-en. A very long
// name is cut, with a hash of it behind. It is "" where there are no words.
func ReviewName(file string) string {
	var all []string
	elements := strings.Split(filepath.ToSlash(file), "/")
	for i, element := range elements {
		if i == len(elements)-1 {
			element = withoutEnding(element)
		}
		if name := archive.Name(element + ".txt"); name != "" { // which takes the last ending off
			all = append(all, name)
		}
	}
	name := strings.Join(all, "-")
	if len(name) <= longestName {
		return name
	}
	sum := sha256.Sum256([]byte(name))
	return strings.ToValidUTF8(name[:longestName-17], "") + "-" + hex.EncodeToString(sum[:8])
}

// withoutEnding takes the ending off a file's name: few letters and digits
// behind a point, a letter first, so that "qc 3.0" keeps its number.
func withoutEnding(name string) string {
	const longest = 6 // .jsonl
	ext := filepath.Ext(name)
	if len(ext) < 2 || len(ext) > longest || ext[1] >= '0' && ext[1] <= '9' {
		return name
	}
	for i := 1; i < len(ext); i++ {
		if c := ext[i] | 0x20; (c < 'a' || c > 'z') && (c < '0' || c > '9') {
			return name
		}
	}
	return strings.TrimSuffix(name, ext)
}

// Slots is how many parts the reviews are in. Shards are made of whole slots.
const Slots = 256

// slot is the part that a review is in: FNV-1a of its name, modulo [Slots].
func slot(review string) int {
	h := fnv.New32a()
	h.Write([]byte(review))
	return int(h.Sum32() % Slots)
}

// shardOf is the shard, of so many, that a review is in.
func shardOf(review string, shards int) int { return slot(review) * shards / Slots }

// slotsOf gives the slots of a shard: from, and up to but not to.
func slotsOf(shard, shards int) (from, to int) {
	return (shard*Slots + shards - 1) / shards, ((shard+1)*Slots + shards - 1) / shards
}

// token spells a review's name as one token of a subject. A name holds letters,
// digits, hyphens and points between digits, and no underline.
func token(review string) string { return strings.ReplaceAll(review, ".", "_") }

// reviewOf reads the name back from a subject.
func reviewOf(subject string) string {
	return strings.ReplaceAll(subject[strings.LastIndexByte(subject, '.')+1:], "_", ".")
}
