package extract

import "saywatt/schema"

// bounds say how likely something must be to be weighed, named or taken, from
// tables/bounds.tsv.
type bounds struct {
	leastPlace, surePlace, bareNone, leastPair       float64
	leastPort, leastPart, surePlain                  float64
	kindStands, kindLikely, tensApart, hundredsApart float64
	heardOften, ownPort                              float64
}

// fields are the bounds by their names in the table.
func (b *bounds) fields() map[string]*float64 {
	return map[string]*float64{
		"least_place":    &b.leastPlace,
		"sure_place":     &b.surePlace,
		"bare_none":      &b.bareNone,
		"least_pair":     &b.leastPair,
		"least_port":     &b.leastPort,
		"least_part":     &b.leastPart,
		"sure_plain":     &b.surePlain,
		"kind_stands":    &b.kindStands,
		"kind_likely":    &b.kindLikely,
		"tens_apart":     &b.tensApart,
		"hundreds_apart": &b.hundredsApart,
		"heard_often":    &b.heardOften,
		"own_port":       &b.ownPort,
	}
}

// mayRate reports whether a quantity that is so likely a rating of a part may be one,
// though it is taken for something else.
func (b *bounds) mayRate(p float64) bool { return p >= b.leastPart }

// often reports whether a misheard unit was seen in captions so often that it stands
// where less would do.
func (b *bounds) often(count int32) bool { return float64(count) >= b.heardOften }

// lengths say how long words, numbers and codes are that are read in one way and
// not in another, from tables/lengths.tsv.
type lengths struct {
	codeHeadWords, codeHeadLetters, codeTail, codeMost, codeWord int
	codeDigits, codeDigitsDoubtful, codeQuantity                 int
	lowerCode, lowerCodeDigits, letterCodeDigits                 int
	fraction, annotation, soundWord, soundUnit, cells            int
	counted, spelledDigits, spelledMost                          int
}

// fields are the lengths by their names in the table.
func (l *lengths) fields() map[string]*int {
	return map[string]*int{
		"code_head_words":      &l.codeHeadWords,
		"code_head_letters":    &l.codeHeadLetters,
		"code_tail":            &l.codeTail,
		"code_most":            &l.codeMost,
		"code_digits":          &l.codeDigits,
		"code_digits_doubtful": &l.codeDigitsDoubtful,
		"code_quantity":        &l.codeQuantity,
		"code_word":            &l.codeWord,
		"lower_code":           &l.lowerCode,
		"lower_code_digits":    &l.lowerCodeDigits,
		"letter_code_digits":   &l.letterCodeDigits,
		"fraction":             &l.fraction,
		"annotation":           &l.annotation,
		"sound_word":           &l.soundWord,
		"sound_unit":           &l.soundUnit,
		"cells":                &l.cells,
		"counted":              &l.counted,
		"spelled_digits":       &l.spelledDigits,
		"spelled_most":         &l.spelledMost,
	}
}

func (x *Lexicon) loadBounds() error {
	x.bound, x.length = &bounds{}, &lengths{}
	if err := schema.ReadNumbers(tables, "tables/bounds.tsv", "bound", "n", x.bound.fields()); err != nil {
		return err
	}
	return schema.ReadNumbers(tables, "tables/lengths.tsv", "length", "n", x.length.fields())
}
