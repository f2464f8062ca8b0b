package extract

import "saywatt/schema"

// windows say how far the features reach that what was learned rests on, from
// tables/windows.tsv.
type windows struct {
	wordsBefore, wordsBehind, closeWords, headingWords, headingReach int32
	eventsBehind, sentenceWords, recent                              int32
	nearWords, sentenceLink, pairs                                   int32
	portsBefore, portBehind, portNumber, portFade, portList          int32
	levelWords, tightWords, breathWords, wordsKept                   int32
	introduction, fewTokens                                          int32
	alikeBefore, alikeBehind                                         int32
	nearPercent, productPercent, quotientPercent, leastQuotient      int32
	eventWindows
}

// eventWindows are those of what was said before a quantity.
type eventWindows struct{ eventsFade, topics int32 }

// fields are the windows by their names in the table.
func (w *windows) fields() map[string]*int32 {
	return map[string]*int32{
		"words_before":     &w.wordsBefore,
		"words_behind":     &w.wordsBehind,
		"close_words":      &w.closeWords,
		"events_behind":    &w.eventsBehind,
		"sentence_words":   &w.sentenceWords,
		"recent":           &w.recent,
		"heading_words":    &w.headingWords,
		"heading_reach":    &w.headingReach,
		"near_words":       &w.nearWords,
		"sentence_link":    &w.sentenceLink,
		"pairs":            &w.pairs,
		"ports_before":     &w.portsBefore,
		"port_behind":      &w.portBehind,
		"port_number":      &w.portNumber,
		"port_fade":        &w.portFade,
		"port_list":        &w.portList,
		"level_words":      &w.levelWords,
		"tight_words":      &w.tightWords,
		"breath_words":     &w.breathWords,
		"words_kept":       &w.wordsKept,
		"introduction":     &w.introduction,
		"few_tokens":       &w.fewTokens,
		"alike_before":     &w.alikeBefore,
		"alike_behind":     &w.alikeBehind,
		"near_percent":     &w.nearPercent,
		"product_percent":  &w.productPercent,
		"quotient_percent": &w.quotientPercent,
		"least_quotient":   &w.leastQuotient,
		"events_fade":      &w.eventsFade,
		"topics":           &w.topics,
	}
}

func (x *Lexicon) loadWindows() error {
	x.window = &windows{}
	return schema.ReadNumbers(tables, "tables/windows.tsv", "window", "n", x.window.fields())
}
