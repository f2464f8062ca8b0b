package export

import (
	"slices"

	"saywatt/internal/export/word"
	"saywatt/schema"
)

// findingSource says what would agree, the rule and where it is from.
func findingSource(f *schema.Finding) string {
	source := f.Rule
	if f.Source != "" {
		source += ", " + word.Source(f.Source, f.Standing)
	}
	if f.Proposal != nil {
		return "would agree: " + word.Quantity(f.Proposal) + "; " + source
	}
	return source
}

// byGravity lists the findings, the gravest first.
func byGravity(r *schema.Record) []*schema.Finding {
	sorted := make([]*schema.Finding, len(r.Findings))
	for i := range r.Findings {
		sorted[i] = &r.Findings[i]
	}
	slices.SortStableFunc(sorted, func(a, b *schema.Finding) int { return int(b.Severity) - int(a.Severity) })
	return sorted
}
