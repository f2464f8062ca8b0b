// Command saywatt reads the captions of a narrated product review and writes
// down what was said of the product: a specification sheet, a component list,
// a machine-readable record. "saywatt help" tells the rest.
//
// Each subcommand has its file, with a struct for its flags, a method Help for
// its help text and a method Run. Run gets the world through an env and tells
// its outcome by its error: nil is exit status 0, errAttention 1, any other 2.
package main

import (
	"errors"
	"fmt"
	"os"
	"runtime/debug"

	"github.com/alecthomas/kong"

	"saywatt/internal/export"
)

// commands is the command line. A new subcommand is one more field here.
type commands struct {
	Read     readCmd     `cmd:"" help:"Read captions or notes; write what was said of the product."`
	Demo     demoCmd     `cmd:"" help:"Show what reading does, on a narration that comes with the program."`
	Desk     deskCmd     `cmd:"" help:"Serve the review desk: hear, decide and see, in a browser."`
	Captions captionsCmd `cmd:"" help:"Write captions again with what was misheard corrected."`
	Emit     emitCmd     `cmd:"" help:"Write records as tables, sheets, pictures and feeds."`
	Schema   schemaCmd   `cmd:"" help:"Print the JSON Schema of a record, or its field guide."`
	Check    checkCmd    `cmd:"" help:"Check records against the rules of standards and physics."`
	Rules    rulesCmd    `cmd:"" help:"List the rules, or explain one with worked examples."`
	Calc     calcCmd     `cmd:"" help:"Desk calculators: power, energy, charge time, cables, PD words."`
	Add      addCmd      `cmd:"" help:"Put reviews into the archive."`
	Search   searchCmd   `cmd:"" help:"Find reviews in the archive."`
	Compare  compareCmd  `cmd:"" help:"Set reviews of the archive side by side."`
	Stats    statsCmd    `cmd:"" help:"Tell how a property is spread over the archive."`
	Open     openCmd     `cmd:"" help:"List what needs an ear, over all reviews of the archive."`
	Reindex  reindexCmd  `cmd:"" help:"Build the index of the archive anew; find what is damaged."`
	Send     sendCmd     `cmd:"" help:"Give captions to workers, here or on other machines."`
	Work     workCmd     `cmd:"" help:"Read what was sent, beside other workers; tell how far they are."`
	Gather   gatherCmd   `cmd:"" help:"Take what workers read into an archive or a file."`
	Glossary glossaryCmd `cmd:"" help:"Keep the makers, parts and packages that you know."`
	Learn    learnCmd    `cmd:"" help:"Count what captions did, from a review that was decided on."`
	Help     helpCmd     `cmd:"" help:"Tell how a command is used."`

	ShowHelp helpFlag    `name:"help" short:"h" help:"Tell how the command is used."`
	Version  versionFlag `help:"Tell which build this is."`
}

// Exit statuses, as in the contract of the output.
const (
	exitFine      = 0
	exitAttention = 1
	exitFailed    = 2
)

var (
	// errAttention says that something waits for a person.
	errAttention = errors.New("something needs a person")
	// errReported says that the failure was told on standard error already.
	errReported = errors.New("reported")
)

func main() {
	os.Exit(run(os.Args[1:], systemEnv()))
}

// run executes one command line and returns the exit status.
func run(args []string, e *env) int {
	var c commands
	parser, err := newParser(&c, e)
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
		info, _ := debug.ReadBuildInfo()
		return e.fail(writeVersion(e.stdout, info))
	case err != nil:
		return e.fail(&usageError{err, usageContext(err)})
	}
	return e.fail(ctx.Run(e, parser.Model))
}

func newParser(c *commands, e *env) (*kong.Kong, error) {
	return kong.New(c, kong.Name("saywatt"), kong.NoDefaultHelp(), kong.Writers(e.stdout, e.stderr))
}

// fail tells an error on standard error and returns the exit status for it.
func (e *env) fail(err error) int {
	var usage *usageError
	switch {
	case err == nil:
		return exitFine
	case errors.Is(err, errAttention):
		return exitAttention
	case errors.Is(err, errReported):
		return exitFailed
	case errors.As(err, &usage):
		e.complain(err)
		fmt.Fprintf(e.stderr, "Run \"%s --help\" to see how it is used.\n", usage.command)
		return exitFailed
	}
	e.complain(err)
	return exitFailed
}

// complain writes one error as one line.
func (e *env) complain(err error) {
	fmt.Fprintf(e.stderr, "saywatt: %s\n", export.Printable(err.Error()))
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
	command string // whose help would tell
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
