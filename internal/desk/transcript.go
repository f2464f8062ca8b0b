package desk

import (
	"bytes"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"saywatt/schema"
)

// transcriptBytes is how much text one page of a transcript shows.
const transcriptBytes = 40 << 10

// A transcriptPage is the text, with what was read of it marked.
type transcriptPage struct {
	*page
	Status  string // the filter, "" for all of the text
	Filters []filterView
	Cues    []cueView
	Places  []placeView // where the filter is set
	Earlier string      // addresses of the pages around
	Later   string
	Find    string
	Missing bool // the captions are not at hand
}

type filterView struct {
	Status, Word, Sign string
	N                  int
	Now                bool
}

// A cueView is one cue; a long one is cut.
type cueView struct {
	ID, Clock, From, To string
	Parts               []part
}

// transcriptPage shows the text, or the places of one status.
func (d *Desk) transcriptPage(w http.ResponseWriter, q *http.Request, r *review, s *state) {
	p := &transcriptPage{page: d.pageOf(q, r, s, "Transcript", "transcript"),
		Find: clip(q.URL.Query().Get("find"), maxTyped), Missing: r.transcript == nil}
	wanted := q.URL.Query().Get("status")
	p.Filters = append(p.Filters, filterView{Word: "all of the text", Now: wanted == ""})
	for _, st := range []schema.Status{schema.StatusOpen, schema.StatusRepaired, schema.StatusSettled,
		schema.StatusHeard} {
		n := 0
		for i := range s.record.Quantities {
			if s.record.Quantities[i].Status == st {
				n++
			}
		}
		p.Filters = append(p.Filters, filterView{st.String(), wordOf(st), st.Mark(), n, wanted == st.String()})
	}
	from, _ := strconv.Atoi(q.URL.Query().Get("from"))
	if st, err := schema.ParseStatus(wanted); err == nil && wanted != "" {
		p.Status = wanted
		p.Places, p.Earlier, p.Later = r.places(s, st, from)
	} else if r.transcript != nil {
		p.Cues, p.Earlier, p.Later = r.cues(s, from)
	}
	d.show(w, http.StatusOK, "transcript", p)
}

// placesShown is how many places one page shows.
const placesShown = 100

// places lists the quantities of a status with the words around them.
func (r *review) places(s *state, st schema.Status, from int) (all []placeView, earlier, later string) {
	base := "/r/" + r.id + "/transcript?status=" + st.String() + "&from="
	n := 0
	for i := range s.record.Quantities {
		q := &s.record.Quantities[i]
		if q.Status != st {
			continue
		}
		n++
		if n <= from || n > from+placesShown {
			continue
		}
		a, b := r.moment(q)
		all = append(all, placeView{At: addressOf(s.record, q), Clock: clockOf(q.At), From: a, To: b,
			Sentence: r.sentence(s, q), Status: q.Status})
	}
	if from > 0 {
		earlier = base + strconv.Itoa(max(0, from-placesShown))
	}
	if n > from+placesShown {
		later = base + strconv.Itoa(from+placesShown)
	}
	return all, earlier, later
}

// cues cuts a page of the text into its cues; from is a byte of the text.
func (r *review) cues(s *state, from int) (views []cueView, earlier, later string) {
	text := r.transcript.Text
	base := "/r/" + r.id + "/transcript?from="
	from = min(max(from, 0), len(text))
	end := min(len(text), from+transcriptBytes)
	if end < len(text) { // where a word ends, if one does
		if i := bytes.LastIndexAny(text[from:end], " \n"); i > 0 {
			end = from + i
		}
	}
	for i := range r.transcript.Cues {
		c := &r.transcript.Cues[i]
		shown := schema.Span{Start: max(c.Text.Start, from), End: min(c.Text.End, end)}
		if shown.Start >= shown.End {
			continue
		}
		v := cueView{ID: "c" + strconv.Itoa(i+1)}
		if r.transcript.Timed {
			v.Clock, v.From, v.To = schema.SecondsOf(c.Start).Clock(), schema.SecondsOf(c.Start).String(),
				schema.SecondsOf(c.End).String()
		}
		v.Parts = r.marked(s, shown, schema.Span{Start: -1})
		views = append(views, v)
	}
	if from > 0 {
		earlier = base + strconv.Itoa(max(0, from-transcriptBytes))
	}
	if end < len(text) {
		later = base + strconv.Itoa(end)
	}
	return views, earlier, later
}

// A replacePage shows where words occur, before they are replaced.
type replacePage struct {
	*page
	Find, With string
	Places     []placeView
	More       int // places not shown
	Reads      string
}

// maxReplaced bounds the places of one act.
const maxReplaced = 500

// replacePreview shows where words occur, and what would stand there.
func (d *Desk) replacePreview(w http.ResponseWriter, q *http.Request, r *review, s *state) {
	find, with := clip(strings.TrimSpace(q.URL.Query().Get("find")), maxTyped),
		clip(strings.TrimSpace(q.URL.Query().Get("with")), maxTyped)
	p := &replacePage{page: d.pageOf(q, r, s, "Find and replace", "transcript"), Find: find, With: with}
	if r.transcript == nil {
		d.refuse(w, q, http.StatusConflict,
			"The captions of this review are not at hand, so there are no words to find.")
		return
	}
	spans := occurrences(r.transcript.Text, find)
	p.More = max(0, len(spans)-maxReplaced)
	for _, span := range spans[:min(len(spans), maxReplaced)] {
		src := r.transcript.SourceSpans(span)[0]
		v := placeView{At: addressOfPlace(src), Sentence: r.found(span), Chosen: true}
		if e := s.stands[spot{span: src, words: true}]; e != nil {
			v.Now = e.what()
		}
		if at, ok := r.transcript.TimeAt(span.Start); ok {
			sec := schema.SecondsOf(at)
			v.Clock, v.From, v.To = sec.Clock(), sec.String(), (sec + 3000).String()
		}
		if said := exactly(s, src); said != nil {
			if quantity, err := typedQuantity(with, said.Quantity.Unit); err == nil {
				v.Now, v.Role = "read as "+quantityWords(&said.Quantity), "will be settled as "+quantityWords(quantity)
			}
		}
		p.Places = append(p.Places, v)
	}
	d.show(w, http.StatusOK, "replace", p)
}

// found is an occurrence with the words around it.
func (r *review) found(span schema.Span) []part {
	text := r.transcript.Text
	shown := around(text, span, 80, 80)
	return []part{{Text: clip(string(text[shown.Start:span.Start]), 200)},
		{Text: clip(string(text[span.Start:span.End]), maxMarked), Class: "found", Word: "found", Now: true},
		{Text: clip(string(text[span.End:shown.End]), 200)}}
}

// replace notes what captions should say at the places chosen. Where the words
// are those of one quantity and the new ones spell one, it is settled.
func (d *Desk) replace(w http.ResponseWriter, q *http.Request, r *review, s *state) {
	if !d.form(w, q) {
		return
	}
	if r.transcript == nil {
		d.refuse(w, q, http.StatusConflict, "The captions of this review are not at hand.")
		return
	}
	find, with := strings.TrimSpace(q.PostFormValue("find")), clip(strings.TrimSpace(q.PostFormValue("with")), maxTyped)
	if with == "" {
		d.refuse(w, q, http.StatusUnprocessableEntity,
			"Nothing stands in the field of the new words; nothing was changed.")
		return
	}
	var entries []entry
	for _, span := range occurrences(r.transcript.Text, find) {
		src := r.transcript.SourceSpans(span)[0]
		if len(entries) == maxReplaced || !slices.Contains(q.PostForm["place"], addressOfPlace(src)) {
			continue
		}
		e := entry{File: s.record.Source.File, Span: src,
			Heard: strings.Join(strings.Fields(string(r.transcript.Text[span.Start:span.End])), " "), How: howReplaced,
			Words: with, Note: clip(strings.TrimSpace(q.PostFormValue("note")), maxNote)}
		if said := exactly(s, src); said != nil {
			if quantity, err := typedQuantity(with, said.Quantity.Unit); err == nil {
				e.Quantity, e.Words = quantity, ""
				e.Heard = strings.Join(strings.Fields(said.Heard), " ")
			}
		}
		entries = append(entries, e)
	}
	d.commit(w, q, r, entries, func(next *state) string {
		return "/r/" + r.id + "/decisions?" + doneOf("reworded", next)
	})
}

func addressOfPlace(s schema.Span) string { return strconv.Itoa(s.Start) + "-" + strconv.Itoa(s.End) }

// exactly is the one quantity whose words are a place and no more, nil where
// there is none or there are two.
func exactly(s *state, src schema.Span) *schema.Said {
	for i := range s.record.Quantities {
		if q := &s.record.Quantities[i]; q.Span == src && !shared(s.record, q) {
			return q
		}
	}
	return nil
}

// occurrences finds words in the text, whatever their case and wherever lines
// break; only whole words count.
func occurrences(text []byte, find string) []schema.Span {
	words := bytes.Fields([]byte(find))
	if len(words) == 0 {
		return nil
	}
	var spans []schema.Span
	for at := 0; at < len(text); {
		end := matchAt(text, at, words)
		if end < 0 || at > 0 && wordByte(text[at-1]) && wordByte(words[0][0]) ||
			end < len(text) && wordByte(text[end]) && wordByte(text[end-1]) {
			at++
			continue
		}
		spans = append(spans, schema.Span{Start: at, End: end})
		at = end
	}
	return spans
}

// matchAt is the end of words that stand at a place of the text, -1 where they
// do not.
func matchAt(text []byte, at int, words [][]byte) int {
	for i, w := range words {
		if i > 0 {
			gap := at
			for at < len(text) && (text[at] == ' ' || text[at] == '\n') {
				at++
			}
			if gap == at {
				return -1
			}
		}
		if at+len(w) > len(text) || !bytes.EqualFold(text[at:at+len(w)], w) {
			return -1
		}
		at += len(w)
	}
	return at
}

// wordByte reports whether a byte is of a word or number; those of characters
// beyond ASCII are.
func wordByte(c byte) bool {
	return c >= '0' && c <= '9' || c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= 0x80
}

// queryOf writes a query of an address.
func queryOf(pairs ...string) string {
	v := url.Values{}
	for i := 0; i+1 < len(pairs); i += 2 {
		if pairs[i+1] != "" {
			v.Add(pairs[i], pairs[i+1])
		}
	}
	return v.Encode()
}
