package account

import "saywatt/schema"

// FirstSaid returns the earliest time at which any of the values was said, nil
// where none has a time.
func FirstSaid(r *schema.Record, values ...*schema.Value) *schema.Seconds {
	var first *schema.Seconds
	for _, v := range values {
		if v == nil {
			continue
		}
		for _, n := range v.Said {
			if s := r.Quantity(n); s != nil && s.At != nil && (first == nil || *s.At < *first) {
				first = s.At
			}
		}
	}
	return first
}

// RatingValues are the values of ratings, in their order.
func RatingValues(ratings []schema.Rating) []*schema.Value {
	all := make([]*schema.Value, len(ratings))
	for i := range ratings {
		all[i] = &ratings[i].Value
	}
	return all
}
