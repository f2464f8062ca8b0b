package article

import (
	"embed"
	"html/template"
	"io"
	"sync"

	"saywatt/internal/picture"
	"saywatt/schema"
)

//go:embed templates/*.html
var templates embed.FS

// sheetTemplate is parsed when a sheet is first written: few commands write one. That it
// can be is tested (TestArticleGoldens).
var sheetTemplate = sync.OnceValue(func() *template.Template {
	return template.Must(template.New("sheet.html").Funcs(template.FuncMap{
		// The drawing is made by this program, and escapes what it was given.
		"drawing": func(p *picture.Picture) template.HTML { return template.HTML(p.Inline()) },
		"anchor":  anchorOf,
		"columns": func(s Section) int { return len(s.Heads) + 1 },
	}).ParseFS(templates, "templates/sheet.html"))
})

// WriteHTML writes records as sheets in one HTML file that needs no other: the
// pictures stand in it, no script runs, nothing is loaded from anywhere. It is
// well-formed XML too, made to be printed, and to be cut up for an article.
func (a Options) WriteHTML(w io.Writer, records []*schema.Record) error {
	var pages []*Page
	for _, r := range records {
		pages = append(pages, a.Page(r))
	}
	return sheetTemplate().Execute(w, pages)
}
