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

// TestFieldsAreFilled: what queries ask by name, a fact or a document says.
func TestFieldsAreFilled(t *testing.T) {
	var filled strings.Builder
	for _, file := range []string{"fact.go", "document.go"} {
		b, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		filled.Write(b)
	}
	for _, field := range slices.Sorted(maps.Keys(query.Known().Fields)) {
		if !strings.Contains(filled.String(), strconv.Quote(field)) {
			t.Errorf("fields.tsv: nothing in fact.go or document.go is of the field %q", field)
		}
	}
}
