package desk

import (
	"bytes"
	"fmt"
	"net/http"
	"strings"

	"saywatt/internal/export/word"
	"saywatt/internal/picture"
	"saywatt/schema"
)

func quantityWords(q *schema.Quantity) string { return word.Quantity(q) }

// A picturePage shows what can be drawn of a record.
type picturePage struct {
	*page
	Pictures []pictureView
	Evidence *pictureView // of the question that comes next
	Question string       // its address
}

type pictureView struct {
	Name, Title, Alt, Source string
	PNG                      string
}

// drawings are the pictures of a record as a whole.
var drawings = []func(*schema.Record) (*picture.Picture, bool){picture.Levels, picture.Powers}

func (d *Desk) picture(w http.ResponseWriter, q *http.Request, r *review, s *state) {
	p := &picturePage{page: d.pageOf(q, r, s, "Pictures", "picture")}
	p.Live = true
	v := fmt.Sprintf("?v=%d", s.version())
	for _, draw := range drawings {
		if pic, ok := draw(s.record); ok {
			base := "/r/" + r.id + "/picture/" + pic.Name
			p.Pictures = append(p.Pictures,
				pictureView{pic.Name, clip(pic.Title, 120), clip(pic.Alt, 1000), base + ".svg" + v, base + ".png" + v})
		}
	}
	if order := r.questions(s); len(order) > 0 {
		if pic, ok := picture.Evidence(order[0]); ok {
			at := addressOf(s.record, order[0])
			p.Question = "/r/" + r.id + "/question/" + at
			p.Evidence = &pictureView{pic.Name, clip(pic.Title, 120), clip(pic.Alt, 1000), "/r/" + r.id + "/evidence/" +
				at + ".svg" + v, ""}
		}
	}
	d.show(w, http.StatusOK, "picture", p)
}

// pictureFile serves one picture, as SVG or PNG.
func (d *Desk) pictureFile(w http.ResponseWriter, q *http.Request, r *review, s *state) {
	name, kind, _ := strings.Cut(q.PathValue("name"), ".")
	for _, draw := range drawings {
		if pic, ok := draw(s.record); ok && pic.Name == name && (kind == "svg" || kind == "png") {
			writePicture(d, w, pic, kind)
			return
		}
	}
	d.refuse(w, q, http.StatusNotFound, "There is no such picture.")
}

// pictureTypes are the media types of pictures (IANA).
var pictureTypes = map[string]string{"svg": "image/svg+xml", "png": "image/png"}

func writePicture(d *Desk, w http.ResponseWriter, pic *picture.Picture, kind string) {
	var b bytes.Buffer
	write := pic.WriteSVG
	if kind == "png" {
		write = pic.WritePNG
	}
	if err := write(&b); err != nil {
		d.config.Log(err)
		http.Error(w, "The picture could not be drawn.", http.StatusInternalServerError)
		return
	}
	w.Header().Set("Content-Type", pictureTypes[kind])
	if kind == "svg" { // styles of the drawing itself, should it be opened alone; nothing else
		w.Header().Set("Content-Security-Policy", "default-src 'none'; style-src 'unsafe-inline'; sandbox")
	}
	w.Write(b.Bytes())
}
