package archive

import (
	"maps"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"saywatt/internal/archive/query"
)

// TestFieldsAreFilled: what queries ask by name, a fact or a subject says.
func TestFieldsAreFilled(t *testing.T) {
	var filled strings.Builder
	for _, file := range []string{"facts/record.go", "match/subject.go"} {
		b, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		filled.Write(b)
	}
	for _, field := range slices.Sorted(maps.Keys(query.Known().Fields)) {
		if !strings.Contains(filled.String(), strconv.Quote(field)) {
			t.Errorf("fields.tsv: nothing in facts/record.go or match/subject.go is of the field %q", field)
		}
	}
}
