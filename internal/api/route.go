package api

import (
	"bytes"
	"errors"
	"io"
	"mime"
	"net/http"
	"net/url"
	"os"
	"slices"
	"strconv"
	"strings"
	"time"

	"saywatt/internal/export/plainjson"
)

// Base is what all paths begin with.
const Base = "/api/v1/"

// A route is an address and what can be done there.
type route struct {
	path      string // under Base; a segment {name} stands for any
	get, post *endpoint
}

// match reports whether the route has the path, and what stands for {name}.
func (r *route) match(path string) (name string, ok bool) {
	head, open := strings.CutSuffix(r.path, "{name}")
	if !open {
		return "", path == r.path
	}
	name, ok = strings.CutPrefix(path, head)
	return name, ok && name != "" && !strings.Contains(name, "/")
}

// methods lists what may be done, as the field Allow has it (RFC 9110, 10.2.1).
func (r *route) methods() string {
	var all []string
	if r.get != nil {
		all = append(all, http.MethodGet, http.MethodHead)
	}
	if r.post != nil {
		all = append(all, http.MethodPost)
	}
	return strings.Join(all, ", ")
}

// An endpoint is one method of a route.
type endpoint struct {
	do     func(*call) error
	takes  []string // media types of the body
	bare   bool     // a body without a media type is taken too
	gives  []string // media types of the answer, the preferred one first
	query  []string // parameters
	stream bool     // do reads the body itself
}

// A call is a request on its way through the gates.
type call struct {
	w     *answer
	r     *http.Request
	name  string     // what stands for {name}
	query url.Values // checked to be known and single
	takes string     // media type of the body, "" where the request names none
	gives string     // media type of the answer
	body  []byte
}

// answer knows whether anything was sent.
type answer struct {
	http.ResponseWriter
	sent bool
	head bool // HEAD: the header is all of it
}

func (w *answer) WriteHeader(status int) {
	w.sent = true
	w.ResponseWriter.WriteHeader(status)
}

func (w *answer) Write(b []byte) (int, error) {
	w.sent = true
	if w.head {
		return len(b), nil
	}
	return w.ResponseWriter.Write(b)
}

// Unwrap is for http.ResponseController.
func (w *answer) Unwrap() http.ResponseWriter { return w.ResponseWriter }

func (a *api) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	c := &call{w: &answer{ResponseWriter: w, head: r.Method == http.MethodHead}, r: r}
	h := w.Header()
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("Cache-Control", "no-store")
	err := a.serve(c)
	switch {
	case err == nil:
	case c.w.sent:
		// The client must not take half an answer for a whole one.
		panic(http.ErrAbortHandler)
	default:
		a.refuse(c, err)
	}
}

// serve lets a call through the gates one by one.
func (a *api) serve(c *call) error {
	e, err := a.find(c)
	if err != nil {
		return err
	}
	if err := c.negotiate(e); err != nil {
		return err
	}
	if err := c.parameters(e); err != nil {
		return err
	}
	if c.r.Method != http.MethodPost {
		return a.within(c, e)
	}
	if err := c.media(e); err != nil {
		return err
	}
	places := a.requests
	if e.stream {
		places = a.batches
	}
	if !places.TryAcquire(1) {
		return &refusal{status: http.StatusServiceUnavailable,
			detail: "as many requests as may be are being served; try again later", retry: 1}
	}
	defer places.Release(1)
	if e.stream {
		return e.do(c)
	}
	if err := a.receive(c); err != nil {
		return err
	}
	return a.within(c, e)
}

// within does what an endpoint does, with a client that may be slow to take
// the answer, but not for ever.
func (a *api) within(c *call, e *endpoint) error {
	control := http.NewResponseController(c.w)
	control.SetWriteDeadline(time.Now().Add(3 * a.MaxTime)) // to find room, to work, to send; not every server can
	defer control.SetWriteDeadline(time.Time{})
	return e.do(c)
}

// find finds the endpoint of a request.
func (a *api) find(c *call) (*endpoint, error) {
	path, ok := strings.CutPrefix(c.r.URL.Path, Base)
	for i := range a.routes {
		r := &a.routes[i]
		name, found := r.match(path)
		if !ok || !found {
			continue
		}
		c.name = name
		var e *endpoint
		switch c.r.Method {
		case http.MethodGet, http.MethodHead:
			e = r.get
		case http.MethodPost:
			e = r.post
		}
		if e == nil {
			c.w.Header().Set("Allow", r.methods())
			return nil, &refusal{status: http.StatusMethodNotAllowed, detail: "this address takes " + r.methods()}
		}
		return e, nil
	}
	return nil, &refusal{status: http.StatusNotFound, detail: "there is no such address; " + Base +
		"openapi.json says what there is"}
}

// negotiate chooses the media type of the answer (RFC 9110, 12.5.1).
func (c *call) negotiate(e *endpoint) error {
	fields := c.r.Header.Values("Accept")
	if len(fields) == 0 {
		c.gives = e.gives[0]
		return nil
	}
	best := 0.0
	for _, t := range e.gives {
		if q := quality(strings.Join(fields, ","), t); q > best {
			best, c.gives = q, t
		}
	}
	if best == 0 {
		return &refusal{status: http.StatusNotAcceptable, detail: "the answer is " + strings.Join(e.gives, " or ")}
	}
	return nil
}

// quality is how much a client wants a media type, 0 to 1, by the most
// specific range of the field Accept that has it.
func quality(accept, media string) float64 {
	kind, _, _ := strings.Cut(media, "/")
	best, found := 0.0, -1
	for _, part := range strings.Split(accept, ",") {
		t, params, _ := strings.Cut(part, ";")
		rank := slices.Index([]string{"*/*", kind + "/*", media}, strings.ToLower(strings.TrimSpace(t)))
		if rank < 0 || rank < found {
			continue
		}
		q := 1.0
		for _, p := range strings.Split(params, ";") {
			if name, value, _ := strings.Cut(strings.TrimSpace(p), "="); strings.EqualFold(name, "q") {
				var err error
				if q, err = strconv.ParseFloat(value, 64); err != nil || !(q >= 0 && q <= 1) {
					q = 0
				}
			}
		}
		if rank > found {
			best, found = q, rank
		} else {
			best = max(best, q)
		}
	}
	return best
}

// parameters refuses what would be passed over without a word.
func (c *call) parameters(e *endpoint) error {
	var err error
	if c.query, err = url.ParseQuery(c.r.URL.RawQuery); err != nil {
		return &refusal{status: http.StatusBadRequest, kind: kindParameter, detail: "the parameters cannot be read: " +
			err.Error()}
	}
	for name, values := range c.query {
		switch {
		case !slices.Contains(e.query, name):
			there := "this address takes none"
			if len(e.query) > 0 {
				there = "there are " + strings.Join(e.query, ", ")
			}
			return badParameter(name, "there is no parameter of this name here; "+there)
		case len(values) > 1:
			return badParameter(name, "it is given more than once")
		}
	}
	return nil
}

// media refuses bodies of a kind or size that is not taken, unread.
func (c *call) media(e *endpoint) error {
	unsupported := &refusal{status: http.StatusUnsupportedMediaType}
	if coding := c.r.Header.Get("Content-Encoding"); coding != "" && !strings.EqualFold(coding, "identity") {
		c.w.Header().Set("Accept-Encoding", "identity")
		unsupported.detail = "the body is sent as it is, without Content-Encoding"
		return unsupported
	}
	field := c.r.Header.Get("Content-Type")
	if field == "" && e.bare {
		return nil
	}
	t, params, err := mime.ParseMediaType(field)
	if err != nil || !slices.Contains(e.takes, t) {
		c.w.Header().Set("Accept", strings.Join(e.takes, ", "))
		unsupported.detail = "the Content-Type is to be " + strings.Join(e.takes, " or ")
		return unsupported
	}
	if charset := strings.ToLower(params["charset"]); charset != "" && !slices.Contains(charsets(t), charset) {
		unsupported.detail = "the charset is to be " + strings.Join(charsets(t), " or ")
		return unsupported
	}
	c.takes = t
	return nil
}

// charsets are the encodings in which a body is read: JSON is UTF-8 (RFC 8259,
// 8.1), captions may be UTF-16 with a byte order mark too.
func charsets(media string) []string {
	if media == typeJSON || slices.Contains(lineTypes, media) {
		return []string{"utf-8"}
	}
	return []string{"utf-8", "us-ascii", "utf-16"}
}

// receive reads the body.
func (a *api) receive(c *call) error {
	control := http.NewResponseController(c.w)
	control.SetReadDeadline(time.Now().Add(a.MaxTime)) // not every server can
	body := c.r.Body
	if c.r.ContentLength > a.MaxBytes {
		c.w.Header().Set("Connection", "close")
		passOver(body, a.MaxBytes)
		return a.tooLarge()
	}
	var err error
	c.body, err = io.ReadAll(http.MaxBytesReader(c.w, body, a.MaxBytes))
	if err != nil {
		if large := (*http.MaxBytesError)(nil); errors.As(err, &large) {
			passOver(body, a.MaxBytes)
		}
		return a.broken(err)
	}
	// A deadline that passes while the answer is made would end the request.
	control.SetReadDeadline(time.Time{})
	if len(bytes.TrimSpace(c.body)) == 0 {
		return &refusal{status: http.StatusBadRequest, kind: kindBody, detail: "the body is empty"}
	}
	return nil
}

// passedOver is how many times as much as may be is taken from a client and
// thrown away.
const passedOver = 4

// passOver takes what a client goes on to send, so that it comes to read the
// answer: a connection that is ended before shows it nothing but that. Who sends
// without end is not waited for.
func passOver(body io.Reader, most int64) { io.CopyN(io.Discard, body, passedOver*most) }

func (a *api) tooLarge() error {
	return &refusal{status: http.StatusRequestEntityTooLarge, detail: "more than " + strconv.FormatInt(a.MaxBytes, 10) +
		" bytes"}
}

// broken says why a body did not arrive.
func (a *api) broken(err error) error {
	var large *http.MaxBytesError
	switch {
	case errors.As(err, &large):
		return a.tooLarge()
	case errors.Is(err, os.ErrDeadlineExceeded):
		return &refusal{status: http.StatusRequestTimeout, detail: "the body did not arrive within " +
			a.MaxTime.String()}
	}
	return &refusal{status: http.StatusBadRequest, kind: kindBody, detail: "the body ends early: " + err.Error()}
}

// send answers with a JSON value, indented.
func (c *call) send(v any) error {
	var b bytes.Buffer
	if err := plainjson.Write(&b, v); err != nil {
		return err
	}
	return c.sendBytes(b.Bytes())
}

// sendBytes answers with a whole body.
func (c *call) sendBytes(b []byte) error {
	h := c.w.Header()
	h.Set("Content-Type", c.gives)
	h.Set("Content-Length", strconv.Itoa(len(b)))
	c.w.WriteHeader(http.StatusOK)
	_, err := c.w.Write(b)
	return err
}
