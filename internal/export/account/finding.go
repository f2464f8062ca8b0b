package account

import (
	"slices"

	"saywatt/internal/export/word"
	"saywatt/schema"
)

// FindingSource says what would agree, the rule and where it is from.
func FindingSource(f *schema.Finding) string {
	source := f.Rule
	if f.Source != "" {
		source += ", " + word.Source(f.Source, f.Standing)
	}
	if f.Proposal != nil {
		return "would agree: " + word.Quantity(f.Proposal) + "; " + source
	}
	return source
}

// ByGravity lists the findings, the gravest first.
func ByGravity(r *schema.Record) []*schema.Finding {
	sorted := make([]*schema.Finding, len(r.Findings))
	for i := range r.Findings {
		sorted[i] = &r.Findings[i]
	}
	slices.SortStableFunc(sorted, func(a, b *schema.Finding) int { return int(b.Severity) - int(a.Severity) })
	return sorted
}
