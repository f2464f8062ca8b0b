// Command saywatt reads the captions of a narrated product review and writes
// down what was said of the product: a specification sheet, a component list,
// a machine-readable record. "saywatt help" gives the rest.
//
// Each subcommand has its file, with a struct for its flags, a method Help for
// its help text and a method Run. Run gets the world through an env and reports
// its outcome by its error: nil is exit status 0, errAttention 1, any other 2.
package main

import (
	"errors"
	"fmt"
	"io/fs"
	"math"
	"os"
	"os/signal"
	"runtime"
	"runtime/debug"
	"slices"
	"strings"
	"syscall"

	"github.com/alecthomas/kong"

	"saywatt/extract/transcript"
	"saywatt/internal/export/feed"
	"saywatt/internal/export/word"
	"saywatt/internal/pipeline"
)

// commands is the command line. A new subcommand is one more field here.
type commands struct {
	Read     readCmd       `cmd:"" help:"Read captions or notes; write what was said of the product."`
	Demo     demoCmd       `cmd:"" help:"Show what reading does, on a narration of the program's own."`
	Desk     deskCmd       `cmd:"" help:"Serve the review desk: hear, decide and see, in a browser."`
	Captions captionsCmd   `cmd:"" help:"Write captions again with what was misheard corrected."`
	Emit     emitCmd       `cmd:"" help:"Write records as tables, sheets, pictures and feeds."`
	Schema   schemaCmd     `cmd:"" help:"Print the JSON Schema of a record, or its field guide."`
	Check    checkCmd      `cmd:"" help:"Check records against the rules of standards and physics."`
	Rules    rulesCmd      `cmd:"" help:"List the rules, or explain one with worked examples."`
	Calc     calcCmd       `cmd:"" help:"Desk calculators: power, energy, charge time, cables, PD words."`
	Add      addCmd        `cmd:"" help:"Put reviews into the archive."`
	Watch    watchCmd      `cmd:"" help:"Read, add and write captions of a folder as they come."`
	List     listCmd       `cmd:"" help:"List the reviews of the archive."`
	Rename   renameCmd     `cmd:"" help:"Give a review of the archive another name or title."`
	Merge    mergeCmd      `cmd:"" help:"Make one review of several that are one."`
	Remove   removeCmd     `cmd:"" help:"Take reviews out of the archive."`
	Search   searchCmd     `cmd:"" help:"Find reviews in the archive."`
	Compare  compareCmd    `cmd:"" help:"Set reviews of the archive side by side."`
	Stats    statsCmd      `cmd:"" help:"Print how a property is spread over the archive."`
	Open     openCmd       `cmd:"" help:"List what needs an ear, over all reviews of the archive."`
	Reindex  reindexCmd    `cmd:"" help:"Build the index of the archive anew; find what is damaged."`
	Send     sendCmd       `cmd:"" help:"Give captions to workers, here or on other machines."`
	Work     workCmd       `cmd:"" help:"Read what was sent, beside other workers; print how far they are."`
	Gather   gatherCmd     `cmd:"" help:"Take what workers read into an archive or a file."`
	Glossary glossaryCmd   `cmd:"" help:"Keep the makers, parts and packages that you know."`
	Learn    learnCmd      `cmd:"" help:"Count what captions did, from a review that was decided on."`
	Complete completionCmd `cmd:"" name:"completion" help:"Print what completes command lines in a shell."`
	Man      manCmd        `cmd:"" help:"Print the manual page."`
	Notices  noticesCmd    `cmd:"" help:"Print the licences of the modules and fonts in the program."`
	Help     helpCmd       `cmd:"" help:"Print how a command is used."`

	NoConfig bool        `name:"no-config" help:"Without standing options."`
	ShowHelp helpFlag    `name:"help" short:"h" help:"Print how the command is used."`
	Version  versionFlag `help:"Print which build this is."`
}

// Exit statuses, as in the contract of the output.
const (
	exitFine      = 0
	exitAttention = 1
	exitFailed    = 2
)

// readers are the commands that read captions whenever they are given something:
// the tables for that are read while the command line is.
var readers = [...]string{"read", "captions", "add"}

var (
	// errAttention says that something waits for a person.
	errAttention = errors.New("something needs a person")
	// errReported says that the failure was printed on standard error already.
	errReported = errors.New("reported")
)

// headroom is memory that is never touched, and so never had from the system:
// the collector, which waits until as much was made as there is, waits for so
// much more. What the program makes at its start is no garbage, so the first
// collection waits until firstLimit is there in all. That is a limit and no
// percentage: one of what is there would hold until much more was there, where a
// collection was under way when it was set. The headroom is had in pieces: of one
// that begins where something was freed before, all is written with zeros.
const (
	headroom      = 32 << 20
	headroomPiece = 1 << 20
	firstLimit    = 80 << 20 // headroom, twice, and what the runtime has for itself
	usualPercent  = 100
)

// holdOff makes the headroom, which is there as long as what it returns.
func holdOff() (unused [headroom / headroomPiece][]byte) {
	if os.Getenv("GOGC") == "" && os.Getenv("GOMEMLIMIT") == "" {
		debug.SetMemoryLimit(firstLimit)
		debug.SetGCPercent(-1)
		first := new([1]*int) // gone with the first collection that begins from here on
		runtime.AddCleanup(first, func(percent int) {
			debug.SetGCPercent(percent)
			debug.SetMemoryLimit(math.MaxInt64)
		}, usualPercent)
	}
	for i := range unused {
		unused[i] = make([]byte, headroomPiece)
	}
	return unused
}

func main() {
	e := systemEnv()
	if asksVersion(os.Args[1:]) { // no need of the rest
		os.Exit(e.version())
	}
	unused := holdOff()
	defer runtime.KeepAlive(unused)
	e.letGo = e.onInterrupt()
	os.Exit(run(os.Args[1:], e))
}

// onInterrupt has an interrupt, and a reader of the output that went away, remove
// what is half written before it ends the process, until stop is called.
func (e *env) onInterrupt() (stop func()) {
	c := make(chan os.Signal, 1)
	signal.Notify(c, os.Interrupt, syscall.SIGTERM, syscall.SIGHUP, syscall.SIGPIPE)
	go func() {
		s, ok := <-c
		if !ok {
			return
		}
		e.saver.Discard()
		e.held.abandon()
		n, _ := s.(syscall.Signal)
		os.Exit(bySignal + int(n))
	}()
	return func() {
		signal.Stop(c)
		close(c)
	}
}

// bySignal is added to the number of the signal that ended a process, as shells
// have it (POSIX.1-2017, 2.8.2).
const bySignal = 128

// asksVersion reports whether a command line asks for nothing but the version.
func asksVersion(args []string) bool { return len(args) == 1 && args[0] == "--version" }

// run executes one command line and returns the exit status.
func run(args []string, e *env) int {
	if asksVersion(args) {
		return e.version()
	}
	if len(args) > 1 && slices.Contains(readers[:], args[0]) {
		pipeline.Prepare()
	}
	var c commands
	e.args = args
	e.watchInputs()
	parser, err := newParser(&c, e)
	if err == nil && !slices.Contains(args, "--no-config") {
		err = e.useStanding(parser)
	}
	if err != nil {
		return e.fail(err)
	}
	if len(args) == 0 {
		writeHelp(e.stderr, parser.Model.Node)
		return exitFailed
	}
	ctx, err := parser.Parse(args)
	var asked *helpRequest
	switch {
	case errors.As(err, &asked):
		writeHelp(e.stdout, asked.node)
		return exitFine
	case errors.As(err, new(errVersion)):
		return e.version()
	case err != nil:
		context := usageContext(err)
		if missing := missingValue(args, err); missing != nil {
			err = missing
		} else if below := negativeValue(args, err); below != nil {
			err = below
		} else if missing := missingArgument(err); missing != nil {
			err = missing
		} else if wrong := wrongChoice(err); wrong != nil {
			err = wrong
		} else if number := negativeNumber(args, err); number != nil {
			err = number
		}
		return e.fail(&usageError{unknownCommand(parser, args, err), context})
	}
	e.bounded = slices.ContainsFunc(ctx.Selected().Flags, func(f *kong.Flag) bool { return f.Name == "max-bytes" })
	err = ctx.Run(e, parser.Model)
	for _, c := range e.atEnd {
		err = errors.Join(err, c.Close())
	}
	return e.fail(err)
}

// version says which build this is.
func (e *env) version() int {
	info, _ := debug.ReadBuildInfo()
	return e.fail(writeVersion(e.stdout, info))
}

func newParser(c *commands, e *env) (*kong.Kong, error) {
	options := []kong.Option{kong.Name("saywatt"), kong.NoDefaultHelp(), kong.Writers(e.stdout, e.stderr)}
	return kong.New(c, append(options, flagValues()...)...)
}

// useStanding has the options of configuration files hold where the command
// line says nothing.
func (e *env) useStanding(parser *kong.Kong) error {
	r, err := e.standingOptions(parser.Model)
	if err == nil && len(r.files) > 0 {
		err = kong.Resolvers(r).Apply(parser)
	}
	return err
}

// unknownCommand reports a command that there is none of as such.
func unknownCommand(parser *kong.Kong, args []string, err error) error {
	if strings.HasPrefix(args[0], "-") || child(parser.Model.Node, args[0]) != nil {
		return err
	}
	return fmt.Errorf("there is no command %q%s", args[0], didYouMean(args[0], commandNames(parser.Model.Node)))
}

// commandNames are the names of the commands within one.
func commandNames(n *kong.Node) []string {
	var names []string
	for _, c := range n.Children {
		names = append(names, c.Name)
	}
	return names
}

// fail reports an error on standard error and returns the exit status for it.
func (e *env) fail(err error) int {
	var usage *usageError
	switch {
	case err == nil:
		return exitFine
	case errors.Is(err, errAttention):
		return exitAttention
	case errors.Is(err, errReported):
		return exitFailed
	case readerGone(err):
		return bySignal + int(syscall.SIGPIPE)
	case errors.As(err, &usage):
		e.complain(err)
		fmt.Fprintf(e.stderr, "Run \"%s --help\" to see how it is used.\n", usage.command)
		return exitFailed
	}
	e.complain(err)
	return exitFailed
}

// readerGone reports whether whoever read the output went away, which is no fault.
func readerGone(err error) bool {
	var p *fs.PathError
	return errors.As(err, &p) && p.Path == os.Stdout.Name() && errors.Is(p.Err, syscall.EPIPE)
}

// complain writes one error as one line.
func (e *env) complain(err error) {
	text := e.shortened(plainly(err))
	if rest, ok := strings.CutPrefix(text, stdinName+":"); ok {
		text = "standard input:" + rest
	}
	fmt.Fprintf(e.stderr, "saywatt: %s%s\n", word.Printable(text), e.hint(err))
}

// hint is what the command line can do about an error, "" nothing.
func (e *env) hint(err error) string {
	if e.bounded && (errors.Is(err, transcript.ErrTooBig) || errors.Is(err, feed.ErrLargeRecord)) {
		return "; --max-bytes N reads larger ones"
	}
	return ""
}

// complainAll writes an error that stands for several as a line each.
func (e *env) complainAll(err error) {
	var many interface{ Unwrap() []error }
	if !errors.As(err, &many) {
		e.complain(err)
		return
	}
	for _, one := range many.Unwrap() {
		e.complain(one)
	}
}

// A usageError is a wrong command line.
type usageError struct {
	err     error
	command string // whose help says how
}

func (e *usageError) Error() string { return e.err.Error() }
func (e *usageError) Unwrap() error { return e.err }

// usageContext names the command that a parse error is about.
func usageContext(err error) string {
	var p *kong.ParseError
	if errors.As(err, &p) && p.Context != nil {
		if n := p.Context.Selected(); n != nil {
			return n.FullPath()
		}
	}
	return "saywatt"
}
