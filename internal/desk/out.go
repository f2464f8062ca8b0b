package desk

import (
	"bytes"
	"context"
	"errors"
	"io"
	"mime"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"saywatt/extract/transcript"
	"saywatt/internal/edit"
	"saywatt/internal/export"
	"saywatt/internal/export/table"
	"saywatt/normalize"
)

// An outPage lists what can be taken away.
type outPage struct {
	*page
	Groups []outGroup
}

type outGroup struct {
	Title string
	Files []outView
}

// An outView is a file that can be taken away.
type outView struct {
	Name, Title, What string
	format            export.Format // FormatUnknown where package export has none
}

// The files that package export writes from a record, and their formats.
var (
	outSheets = []outView{
		{"sheet.html", "Sheet as a page", "HTML with its pictures inside, for print and for an article",
			export.FormatHTML},
		{"sheet.md", "Sheet as Markdown", "", export.FormatMarkdown},
		{"sheet.txt", "Sheet as text", "", export.FormatSheet},
		{"workbook.xlsx", "Workbook", "every table as a sheet (Office Open XML)", export.FormatWorkbook},
	}
	outData = []outView{
		{"record.json", "Record", "all of it, with the readings and reasons", export.FormatRecord},
		{"readings.jsonl", "Readings", "a line for every quantity said", export.FormatReadings},
	}
)

// The names under which is served what the desk writes itself.
const (
	outCaptions  = "captions"
	outMarked    = "captions-with-notes"
	outChanges   = "changes.csv"
	outDecisions = "decisions.jsonl"
)

func (d *Desk) outPage(w http.ResponseWriter, q *http.Request, r *review, s *state) {
	p := &outPage{page: d.pageOf(q, r, s, "Take away", "out")}
	if r.transcript != nil {
		p.Groups = append(p.Groups, outGroup{"Captions", []outView{
			{Name: outCaptions, Title: "Corrected captions",
				What: "in the format they came in; only what was corrected differs"},
			{Name: outMarked, Title: "Corrected captions with notes",
				What: "what is still open is noted before its cue, where the format has notes"},
			{Name: outChanges, Title: "List of changes", What: "CSV, for an editor to approve or undo"},
		}})
	}
	decisions := outView{Name: outDecisions, Title: "Decisions",
		What: "the log: who, when, what; “saywatt read --answers” replays it"}
	p.Groups = append(p.Groups, outGroup{"Sheet", outSheets},
		outGroup{"For machines", append(slices.Clone(outData), decisions)})
	tables := outGroup{Title: "Tables, CSV"}
	for _, t := range table.Names {
		if name := tableFile(t); t != "changes" || r.transcript != nil {
			tables.Files = append(tables.Files, outView{Name: name, Title: tableTitle(t)})
		}
	}
	p.Groups = append(p.Groups, tables)
	d.show(w, http.StatusOK, "out", p)
}

// tableFile is the name under which a table is served: changes.csv is the list for
// an editor.
func tableFile(table string) string {
	if table == "changes" {
		return "table-changes.csv"
	}
	return table + ".csv"
}

// tableTitle is the name of a table for people.
func tableTitle(table string) string {
	switch table {
	case "ear":
		return "Needs your ear"
	case "shared-power":
		return "Ports in use together"
	}
	return strings.ToUpper(table[:1]) + table[1:]
}

// formatOf is the format of what package export writes from a record under a name,
// FormatUnknown of what else there is.
func formatOf(name string) export.Format {
	for _, f := range slices.Concat(outSheets, outData) {
		if f.Name == name {
			return f.format
		}
	}
	return export.FormatUnknown
}

// mediaType is the media type of what is taken away under a name.
func mediaType(name string) string {
	switch f := formatOf(name); {
	case f != export.FormatUnknown:
		return f.MediaType()
	case name == outDecisions:
		return export.FormatJSONL.MediaType()
	}
	return export.FormatCSV.MediaType()
}

// wholeWait bounds how long a file waits for a reading that goes on.
const wholeWait = writeWait / 2

// outFile writes one of them, whole or not at all.
func (d *Desk) outFile(w http.ResponseWriter, q *http.Request, r *review, s *state) {
	name := q.PathValue("name")
	if s.whole != nil { // what is taken away is whole
		ctx, cancel := context.WithTimeout(q.Context(), wholeWait)
		defer cancel()
		var err error
		if s, err = r.readWhole(ctx); err != nil {
			w.Header().Set("Retry-After", strconv.Itoa(secondsUp(r.readingTakes())))
			d.refuse(w, q, http.StatusServiceUnavailable,
				"The captions are still being read with what you decided; ask for it again in a while.")
			return
		}
	}
	write := r.exporter(s, name)
	if write == nil {
		d.refuse(w, q, http.StatusNotFound, "There is nothing of this name to take away.")
		return
	}
	var b bytes.Buffer
	if err := write(&b); err != nil {
		d.refuse(w, q, http.StatusUnprocessableEntity, "This could not be written: "+err.Error()+".")
		return
	}
	kind, file := mediaType(name), r.id+"-"+name
	if name == outCaptions || name == outMarked {
		kind, file = "application/octet-stream", r.id+"-corrected"+captionEnding(r.transcript.Format)
	}
	w.Header().Set("Content-Type", kind)
	w.Header().Set("Content-Disposition", mime.FormatMediaType("attachment", map[string]string{"filename": file}))
	w.Write(b.Bytes())
}

// captionEnding is the usual ending of the name of captions.
func captionEnding(f transcript.Format) string {
	switch f {
	case transcript.FormatVTT, transcript.FormatSRT, transcript.FormatTTML,
		transcript.FormatSBV, transcript.FormatASS, transcript.FormatJSON:
		return "." + f.String()
	}
	return ".txt"
}

// exporter is what writes an export, nil where there is none of the name.
func (r *review) exporter(s *state, name string) func(io.Writer) error {
	rec := s.record
	if r.transcript != nil {
		switch name {
		case outCaptions, outMarked:
			return func(w io.Writer) error { return r.writeCaptions(w, s, name == outMarked) }
		case outChanges:
			return func(w io.Writer) error {
				changes, err := r.changes(s)
				if err != nil {
					return err
				}
				return edit.WriteCSV(w, changes, r.left(s, changes), "")
			}
		}
	}
	if name == outDecisions {
		return func(w io.Writer) error { return writeLog(w, s.entries) }
	}
	if f := formatOf(name); f != export.FormatUnknown {
		return func(w io.Writer) error { return r.writeFormat(w, s, f) }
	}
	if name == tableFile("changes") && r.transcript != nil {
		return func(w io.Writer) error {
			changes, err := r.changes(s)
			if err != nil {
				return err
			}
			t, _ := table.Named(rec, changes, "changes")
			return t.WriteCSV(w, true)
		}
	}
	if named, ok := strings.CutSuffix(name, ".csv"); ok && named != "changes" {
		if t, ok := table.Named(rec, nil, named); ok {
			return func(w io.Writer) error { return t.WriteCSV(w, true) }
		}
	}
	return nil
}

// writeFormat writes the record in a format, with its changes where tables are written.
func (r *review) writeFormat(w io.Writer, s *state, f export.Format) error {
	var changes []edit.Change
	if f.TakesTable() {
		var err error
		if changes, err = r.changes(s); err != nil {
			return err
		}
	}
	out := export.NewWriter(w, f, export.Options{})
	return errors.Join(out.Write(s.record, changes...), out.Close())
}

func (r *review) writeCaptions(w io.Writer, s *state, marks bool) error {
	if err := edit.Writable(r.transcript); err != nil {
		return err
	}
	changes, err := r.changes(s)
	if err != nil {
		return err
	}
	if marks {
		more, _, err := edit.Marks(r.left(s, changes), r.transcript)
		if err != nil {
			return err
		}
		changes = append(changes, more...)
	}
	corrected, err := edit.Apply(r.transcript.Source, changes)
	if err != nil {
		return err
	}
	if _, err := edit.Reread(r.transcript, corrected); err != nil {
		return err
	}
	_, err = w.Write(corrected)
	return err
}

// wordings are what the captions should say, of words that overlap what was said last:
// as answer files are read.
func (s *state) wordings() ([]normalize.Wording, error) {
	var onWords []entry
	for i := range s.entries {
		if s.entries[i].spot().words {
			onWords = append(onWords, s.entries[i])
		}
	}
	var lines bytes.Buffer
	if err := writeLog(&lines, onWords); err != nil {
		return nil, err
	}
	decisions, err := normalize.ReadDecisions(&lines, "decisions")
	if err != nil {
		return nil, err
	}
	_, wordings := normalize.Standing(decisions)
	return wordings, nil
}

// changes are the corrections of the captions: what a person reworded, and of
// the record what that does not touch. None where the captions are not at hand.
func (r *review) changes(s *state) ([]edit.Change, error) {
	if r.transcript == nil {
		return nil, nil
	}
	wordings, err := s.wordings()
	if err != nil {
		return nil, err
	}
	var items []edit.Item
	for _, w := range wordings {
		items = append(items, edit.Item{Before: w.Heard, After: w.Words, Span: w.Span})
	}
	changes, _, err := edit.ForReworded(items, s.record, r.transcript, edit.Style{})
	return changes, err
}

// left are the places of the captions that are left to a person and that no
// change touches.
func (r *review) left(s *state, changes []edit.Change) []edit.Left {
	_, left, err := edit.ForRecord(s.record, r.transcript, edit.Style{})
	if err != nil { // changes has reported it
		return nil
	}
	return slices.DeleteFunc(left, func(l edit.Left) bool {
		return slices.ContainsFunc(changes, func(c edit.Change) bool { return c.Span.Overlaps(l.Span) })
	})
}
