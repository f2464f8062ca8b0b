package desk

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"crypto/subtle"
	"encoding/hex"
	"fmt"
	"net"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"sync"
	"time"

	"saywatt/internal/api"
)

// MinToken is the least length of a token, in bytes.
const MinToken = 16

// bodyLimit bounds what forms of pages may hold, in bytes; files have the limit
// of Config.MaxBytes.
const bodyLimit = 1 << 20

// writeWait bounds how long a page may take to be made and sent.
const writeWait = 2 * time.Minute

// policy of pages (W3C Content Security Policy Level 3): scripts, styles,
// pictures and sound from here alone, nothing inline.
const policy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; media-src 'self'; " +
	"connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"

// guard is what every request passes: its host, where it comes from, who it is.
func (d *Desk) guard(next http.Handler) http.Handler {
	cross := http.NewCrossOriginProtection()
	cross.SetDenyHandler(http.HandlerFunc(func(w http.ResponseWriter, q *http.Request) {
		d.refuse(w, q, http.StatusForbidden, "This came from another site and was not done.")
	}))
	inner := cross.Handler(d.entry.guard(d, next))
	return http.HandlerFunc(func(w http.ResponseWriter, q *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", policy)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "same-origin")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Cache-Control", "no-store")
		if !d.hostAllowed(q.Host) {
			http.Error(w, "This server does not go by that name.", http.StatusMisdirectedRequest)
			return
		}
		if path := q.URL.Path; !strings.HasSuffix(path, "/events") && !strings.HasSuffix(path, "/media") {
			// Streams and what is heard may take their time; nothing else is waited for.
			// Where the server has no deadlines there is nothing to set.
			_ = http.NewResponseController(w).SetWriteDeadline(time.Now().Add(writeWait))
		}
		if _, err := q.Cookie(careCookie); err != nil && strings.Contains(q.Header.Get("Accept"), "text/html") {
			http.SetCookie(w, &http.Cookie{Name: careCookie, Value: "seen", Path: "/", HttpOnly: true,
				SameSite: http.SameSiteStrictMode})
		}
		inner.ServeHTTP(w, q)
	})
}

// hostAllowed reports whether a request names this server: a page elsewhere
// whose name was made to point here does not.
func (d *Desk) hostAllowed(host string) bool {
	name := host
	if h, _, err := net.SplitHostPort(host); err == nil {
		name = h
	}
	name = strings.ToLower(strings.Trim(name, "[]"))
	if len(d.config.Hosts) > 0 {
		return slices.Contains(d.config.Hosts, name)
	}
	if name == "localhost" {
		return true
	}
	ip := net.ParseIP(name)
	return ip != nil && ip.IsLoopback()
}

// An entrance asks for the token, where there is one, and remembers browsers
// that showed it.
type entrance struct {
	token [sha256.Size]byte
	asks  bool

	cookie string // see cookieFor

	mu   sync.Mutex
	keys map[string]time.Time // of browsers let in, and until when
}

// NewToken makes a token that nobody guesses.
func NewToken() string {
	raw := make([]byte, MinToken)
	rand.Read(raw) // never fails, crypto/rand
	return hex.EncodeToString(raw)
}

// Address is an address that lets a browser in that opens it.
func Address(base, token string) string {
	return base + "/?" + tokenParameter + "=" + url.QueryEscape(token)
}

func newEntrance(token string) (*entrance, error) {
	if token == "" {
		return &entrance{}, nil
	}
	if len(token) < MinToken {
		return nil, fmt.Errorf("a token of %d bytes can be guessed; it has to have %d", len(token), MinToken)
	}
	sum := sha256.Sum256([]byte(token))
	name := sha256.Sum256(sum[:])
	return &entrance{token: sum, asks: true, cookie: keyCookie + "-" + hex.EncodeToString(name[:4]),
		keys: map[string]time.Time{}}, nil
}

const (
	keyCookie      = "saywatt-desk"
	keyLasts       = 12 * time.Hour
	tokenParameter = "key" // of an address that lets in
)

// cookieFor is the name of the cookie of a browser that was let in. Cookies know no
// ports: two desks on one machine need two names, of one token too.
func (e *entrance) cookieFor(q *http.Request) string {
	if _, port, err := net.SplitHostPort(q.Host); err == nil {
		return e.cookie + "-" + port
	}
	return e.cookie
}

func (e *entrance) guard(d *Desk, next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, q *http.Request) {
		if e.asks && q.URL.Path == "/enter" {
			q.Body = http.MaxBytesReader(w, q.Body, bodyLimit)
		}
		switch {
		case !e.asks || e.knows(d, q) || strings.HasPrefix(q.URL.Path, "/static/"):
			next.ServeHTTP(w, q)
		case strings.HasPrefix(q.URL.Path, "/api/"):
			w.Header().Set("WWW-Authenticate", "Bearer")
			d.refuse(w, q, http.StatusUnauthorized, "A token is asked for: Authorization: Bearer TOKEN.")
		case q.URL.Path == "/enter" && q.Method == http.MethodPost:
			e.enter(d, w, q, q.PostFormValue("token"))
		case q.Method == http.MethodGet && q.URL.Query().Has(tokenParameter):
			e.enter(d, w, q, q.URL.Query().Get(tokenParameter))
		default:
			d.show(w, http.StatusUnauthorized, "enter", d.page(q, "Enter", ""))
		}
	})
}

// knows reports whether a request shows the token, or the key of a browser
// that did.
func (e *entrance) knows(d *Desk, q *http.Request) bool {
	// The name of a scheme has no case (RFC 9110, 11.1).
	if scheme, bearer, ok := strings.Cut(q.Header.Get("Authorization"), " "); ok &&
		strings.EqualFold(scheme, "Bearer") {
		return e.right(strings.TrimLeft(bearer, " "))
	}
	c, err := q.Cookie(e.cookieFor(q))
	if err != nil {
		return false
	}
	e.mu.Lock()
	defer e.mu.Unlock()
	until, ok := e.keys[c.Value]
	return ok && d.config.Now().Before(until)
}

// right compares a token in a time that does not say how much of it is right.
// A wrong one never delays a right one: the length that tokens have is what
// keeps them from being guessed.
func (e *entrance) right(token string) bool {
	sum := sha256.Sum256([]byte(token))
	return subtle.ConstantTimeCompare(sum[:], e.token[:]) == 1
}

// enter gives a browser that shows the token a key of its own, and leads it to
// the page without the token in its address.
func (e *entrance) enter(d *Desk, w http.ResponseWriter, q *http.Request, token string) {
	if !e.right(token) {
		p := d.page(q, "Enter", "")
		p.Fault = "That is not the token."
		d.show(w, http.StatusUnauthorized, "enter", p)
		return
	}
	raw := make([]byte, 32)
	rand.Read(raw) // never fails, crypto/rand
	key := hex.EncodeToString(raw)
	now := d.config.Now()
	e.mu.Lock()
	for k, until := range e.keys {
		if now.After(until) {
			delete(e.keys, k)
		}
	}
	e.keys[key] = now.Add(keyLasts)
	e.mu.Unlock()
	http.SetCookie(w, &http.Cookie{Name: e.cookieFor(q), Value: key, Path: "/", HttpOnly: true,
		SameSite: http.SameSiteStrictMode, MaxAge: int(keyLasts.Seconds())})
	to := "/"
	if q.Method == http.MethodGet {
		to = q.URL.EscapedPath()
	}
	http.Redirect(w, q, to, http.StatusSeeOther)
}

// refuse answers with an error in the form that the address has: problem
// details for programs, a page for people.
func (d *Desk) refuse(w http.ResponseWriter, q *http.Request, status int, detail string) {
	if strings.HasPrefix(q.URL.Path, "/api/") {
		api.NewProblem(status, detail).Write(w)
		return
	}
	p := d.page(q, http.StatusText(status), "")
	p.Fault = detail
	d.show(w, status, "fault", p)
}

// Serve runs a server of the desk on a listener until the context ends, then
// lets requests finish for a while.
func (d *Desk) Serve(ctx context.Context, l net.Listener) error {
	s := &http.Server{
		Handler: d.handler(), ReadHeaderTimeout: 10 * time.Second, ReadTimeout: 2 * time.Minute,
		IdleTimeout:    2 * time.Minute,
		MaxHeaderBytes: 64 << 10,
		BaseContext:    func(net.Listener) context.Context { return ctx }, // streams of events end with it
	}
	failed := make(chan error, 1)
	go func() { failed <- s.Serve(l) }()
	select {
	case err := <-failed:
		return err
	case <-ctx.Done():
	}
	end, cancel := context.WithTimeout(context.Background(), 10*time.Second)
	defer cancel()
	return s.Shutdown(end)
}
