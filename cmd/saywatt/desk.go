package main

import (
	"context"
	"errors"
	"fmt"
	"net"
	"net/netip"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"saywatt/extract/transcript"
	"saywatt/internal/api"
	"saywatt/internal/archive"
	"saywatt/internal/desk"
	"saywatt/internal/export/word"
	"saywatt/internal/intake"
	"saywatt/internal/pipeline"
)

type deskCmd struct {
	knownFlags
	formFlag
	Media     []string `sep:"none" help:"Sound or film."`
	Captions  []string `sep:"none" help:"Folder of the captions of the archive's reviews."`
	Unsaved   bool     `help:"Keep decisions in memory only."`
	Archive   string   `help:"Folder of the archive."`
	Decisions string   `help:"File that decisions are kept in."`
	Name      string   `help:"Who decides."`
	Listen    string   `default:"127.0.0.1:0" help:"Address to serve at."`
	Token     string   `help:"Token asked for."`
	Threshold float64  `help:"Probability from which a reading stands."`
	MaxBytes  positive `help:"Largest file read, in bytes."`
	File      []string `arg:"" optional:"" help:"Captions to open."`
}

func (deskCmd) Help() string {
	return fmt.Sprintf(`Usage: saywatt desk [FLAG ...] [FILE ...]

Serves the review desk, pages for a browser on this machine: one doubtful
quantity at a time, with what speaks for and against each reading; the sheet as
it grows; the transcript, pictures, and what can be taken away. The address is
printed; Ctrl-C ends it. Nothing is loaded from anywhere else. More captions can
be added in the browser. A FILE may be a folder or a pattern. Programs find the
same under /api/v1/ ("saywatt help api"), the keys are in "saywatt help keys".

Flags:
      --media FILE   sound or film to hear the words: wav, mp3, m4a, ogg, opus,
                     flac, mp4, webm, mov. It belongs to the captions of its
                     name, the first else to the first FILE. May be repeated
      --archive DIR  put the reviews into this archive, made where there is
                     none, and keep decisions in its log; else SAYWATT_ARCHIVE;
                     else there is none
      --captions DIR look in this folder for the captions of the archive's
                     reviews, beside the folders of the FILEs. May be repeated
      --decisions F  without an archive: keep the decisions on the first FILE
                     in the file F, as "saywatt read --answers" takes them;
                     else they are in FILE.decisions.jsonl beside each FILE, and
                     those on captions that were dropped onto the page in
                     saywatt/decisions in the folder of the user's settings
      --unsaved      keep decisions in memory only, to be written out in the
                     browser; how many were lost is printed at the end
      --name NAME    who is put down for decisions; else the user's name
      --listen ADDR  HOST:PORT to serve at; port 0 takes a free one
                     (default 127.0.0.1:0)
      --token TOKEN  ask for this token, of %d bytes at least, before anything
                     is shown; else SAYWATT_TOKEN; else one is made and is in
                     the address printed. An address that other machines reach
                     is refused without one of yours. What is sent is not
                     encrypted: put a TLS proxy before it in any other network
                     than your own
      --json         print a line of JSON instead of the address: address, api,
                     key, and where decisions are kept
      --threshold P  probability, 0 to 1, from which a reading stands
%s      --max-bytes N  refuse larger files; %d where not given

A record is a transcript of what was said, not a certification.

Exit status: 0 ended as asked; 2 it could not start, or the command line is
wrong.

Example:
  saywatt desk --media station.mp4 station.vtt
`, desk.MinToken, knownHelp, int64(transcript.DefaultMaxBytes))
}

func (c *deskCmd) Run(e *env) (err error) {
	if c.Token == "" {
		c.Token = e.getenv("SAYWATT_TOKEN")
	}
	if c.Archive == "" {
		c.Archive = e.getenv(archiveVariable)
	}
	if len(c.File) > 0 {
		files, err := intake.Files(c.File)
		if err != nil {
			return err
		}
		c.File = c.File[:0]
		for _, f := range files {
			c.File = append(c.File, f.Name)
		}
	}
	if err := c.check(); err != nil {
		return &usageError{err, "saywatt desk"}
	}
	config, err := c.config(e)
	if err != nil {
		return err
	}
	if config.Archive != nil {
		defer func() { err = errors.Join(err, config.Archive.Close()) }()
	}
	d, err := desk.New(config)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, d.Close()) }()
	ctx, stop := e.untilInterrupted()
	defer stop()
	if err := c.open(ctx, e, d); err != nil {
		return err
	}
	l, err := net.Listen("tcp", c.Listen)
	if err != nil {
		return fmt.Errorf("--listen %s: %w", c.Listen, err)
	}
	words := "The desk is at " + c.address(l.Addr(), config)
	if err := c.line(e.stdout, c.served(l.Addr(), config, d), words); err != nil {
		l.Close()
		return err
	}
	if !c.JSON {
		printLogs(e, d)
	}
	fmt.Fprintln(e.stderr, "Ctrl-C ends it.")
	err = d.Serve(ctx, l)
	printUnsaved(e, d)
	return err
}

// address is what to open in a browser: with the token that was made, without
// one that the user has.
func (c *deskCmd) address(a net.Addr, config desk.Config) string {
	base := "http://" + reachable(a)
	if c.Token != "" {
		return base + "/"
	}
	return desk.Address(base, config.Token)
}

// reachable is where a listener is reached: one on every address of the machine
// has none that can be opened.
func reachable(a net.Addr) string {
	t, ok := a.(*net.TCPAddr)
	if !ok || !t.IP.IsUnspecified() {
		return a.String()
	}
	host := "localhost"
	if all, err := net.InterfaceAddrs(); err == nil {
		for _, i := range all {
			if n, ok := i.(*net.IPNet); ok && n.IP.To4() != nil && !n.IP.IsLoopback() {
				host = n.IP.String()
				break
			}
		}
	}
	return net.JoinHostPort(host, strconv.Itoa(t.Port))
}

// served is what a desk serves, as JSON: a program that starts one finds it so.
type served struct {
	Address   string          `json:"address"` // to open in a browser, with the key that lets one in
	API       string          `json:"api"`     // what the paths of the HTTP interface begin with
	Key       string          `json:"key,omitempty"`
	Decisions []keptDecisions `json:"decisions"`
}

// keptDecisions is where decisions on a review are kept.
type keptDecisions struct {
	Review  string `json:"review"`            // the name of its captions
	File    string `json:"file,omitempty"`    // as its path is here: it is for whoever started the desk
	Archive string `json:"archive,omitempty"` // the review's name in the archive, which keeps them
}

// served describes the desk that listens at an address.
func (c *deskCmd) served(a net.Addr, config desk.Config, d *desk.Desk) served {
	s := served{Address: c.address(a, config), API: "http://" + reachable(a) + api.Base, Decisions: []keptDecisions{}}
	if c.Token == "" { // no secret of the user's is printed
		s.Key = config.Token
	}
	for _, l := range d.Logs() {
		s.Decisions = append(s.Decisions, keptDecisions{l.Review, l.File, l.Archive})
	}
	return s
}

// printLogs says where decisions are kept.
func printLogs(e *env, d *desk.Desk) {
	for _, l := range d.Logs() {
		name := word.Printable(l.Review)
		switch {
		case l.Archive != "":
			continue
		case l.File == "":
			fmt.Fprintf(e.stderr, "Decisions on %s are not saved.\n", name)
		default:
			fmt.Fprintf(e.stderr, "Decisions on %s are kept in %s.\n", name, word.Printable(l.File))
		}
	}
}

// printUnsaved says what is lost.
func printUnsaved(e *env, d *desk.Desk) {
	for _, l := range d.Logs() {
		if !l.Saved() && l.N > 0 {
			fmt.Fprintf(e.stderr, "saywatt: decisions on %s that were not saved: %d\n", word.Printable(l.Review), l.N)
		}
	}
}

// check refuses what flags alone cannot.
func (c *deskCmd) check() error {
	switch {
	case !(c.Threshold >= 0 && c.Threshold <= 1):
		return fmt.Errorf("--threshold %v is not a probability, 0 to 1", c.Threshold)
	case len(c.Media) > 0 && len(c.File) == 0 && c.Archive == "":
		return errors.New("--media is the sound of a FILE, and none is given")
	case c.Decisions != "" && c.Unsaved, c.Archive != "" && c.Unsaved:
		return errors.New("--unsaved goes with neither --decisions nor an archive, which keep them")
	case c.Decisions != "" && c.Archive != "":
		return errors.New("--decisions and an archive do not go together: the archive keeps them")
	case c.Decisions != "" && len(c.File) == 0:
		return errors.New("--decisions are those on a FILE, and none is given")
	}
	host, _, err := net.SplitHostPort(c.Listen)
	if err != nil {
		return fmt.Errorf("--listen %q is not of the form HOST:PORT", c.Listen)
	}
	if !loopback(host) && c.Token == "" {
		return fmt.Errorf("--listen %s can be reached from other machines; that needs --token", c.Listen)
	}
	return c.checkKnown()
}

// loopback reports whether a host is this machine to itself.
func loopback(host string) bool {
	if host == "localhost" {
		return true
	}
	a, err := netip.ParseAddr(host)
	return err == nil && a.IsLoopback()
}

func (c *deskCmd) config(e *env) (desk.Config, error) {
	host, _, _ := net.SplitHostPort(c.Listen) // checked
	o := desk.Config{Decisions: c.Decisions, Media: c.Media, Who: c.Name, Token: c.Token, Keep: !c.Unsaved,
		Captions: c.folders(),
		Local:    loopback(host), Threshold: c.Threshold, MaxBytes: int64(c.MaxBytes), Log: e.complain}
	if o.Token == "" {
		o.Token = desk.NewToken()
	}
	if settings, err := os.UserConfigDir(); err == nil && o.Keep {
		o.Folder = filepath.Join(settings, "saywatt", "decisions")
	}
	if o.Who == "" {
		o.Who = e.getenv("USER")
	}
	known, err := c.known(e)
	if err != nil {
		return o, err
	}
	o.Glossary, o.Learned = known.Glossary, known.Learned
	if !o.Local {
		if o.Hosts, err = hostNames(host); err != nil {
			return o, err
		}
	}
	if c.Archive != "" {
		if o.Archive, err = archive.Create(c.Archive); err != nil {
			return o, err
		}
	}
	known.Threshold = c.Threshold
	known.Gate = pipeline.NewGate(pipeline.DefaultMemory, api.DefaultMaxTime)
	o.Gate = known.Gate
	o.API = api.Handler(api.Options{Pipeline: known, Archive: o.Archive, Log: e.complain})
	return o, nil
}

// folders are those in which the captions of the archive's reviews are looked
// for: those that were named, and those of the files that were.
func (c *deskCmd) folders() []string {
	all := slices.Clone(c.Captions)
	for _, name := range c.File {
		if dir := filepath.Dir(name); !slices.Contains(all, dir) {
			all = append(all, dir)
		}
	}
	return all
}

// hostNames are the names and addresses that browsers may call this machine.
func hostNames(host string) ([]string, error) {
	names := []string{"localhost"}
	if host != "" {
		names = append(names, strings.ToLower(host))
	}
	if name, err := os.Hostname(); err == nil {
		names = append(names, strings.ToLower(name))
	}
	all, err := net.InterfaceAddrs()
	if err != nil {
		return nil, err
	}
	for _, a := range all {
		if n, ok := a.(*net.IPNet); ok {
			names = append(names, n.IP.String())
		}
	}
	return names, nil
}

// open opens the files of the command line. One that cannot be read is reported
// and passed over, unless that leaves none.
func (c *deskCmd) open(ctx context.Context, e *env, d *desk.Desk) error {
	progress := progress{env: e, what: "reading", total: len(c.File)}
	opened := 0
	for _, name := range c.File {
		progress.show(name)
		err := c.openFile(ctx, e, d, name)
		progress.clear()
		if ctx.Err() != nil {
			return ctx.Err()
		}
		if err != nil {
			e.complainAll(err)
			continue
		}
		opened++
	}
	if opened == 0 && len(c.File) > 0 {
		return errReported
	}
	if opened < len(c.File) {
		fmt.Fprintf(e.stderr, "saywatt: %d of %d files are open\n", opened, len(c.File))
	}
	return nil
}

func (c *deskCmd) openFile(ctx context.Context, e *env, d *desk.Desk, name string) error {
	f, err := e.open(name)
	if err != nil {
		return err
	}
	defer f.Close()
	as := ""
	if name == "-" {
		_, err = d.Open(ctx, name, f)
	} else {
		_, as, err = d.OpenFile(ctx, name, f)
	}
	if as != "" {
		fmt.Fprintf(e.stderr, "saywatt: %s has the bytes of %s, and decisions on both have one place: one review\n",
			word.Printable(name), word.Printable(as))
	}
	if err != nil && !strings.Contains(err.Error(), name) {
		err = fmt.Errorf("%s: %w", word.Printable(name), err)
	}
	return err
}
