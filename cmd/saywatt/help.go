package main

import (
	"fmt"
	"io"
	"strings"

	"github.com/alecthomas/kong"
)

// about is the help of the program as a whole, before the list of commands.
const about = `saywatt writes down what a narrated product review said: captions in,
specification sheet, component list and machine-readable record out. Where
captions garbled a value it repairs what can be proved and asks for the rest.

Usage: saywatt COMMAND [FLAG ...] [FILE ...]

Commands:
`

// aboutTopics stands between the lists of commands and topics.
const aboutTopics = `
Topics of "saywatt help":
`

// aboutEnd follows the lists of commands and topics.
const aboutEnd = `
"saywatt help COMMAND" or "saywatt COMMAND --help" says how a command is used,
"saywatt help TOPIC" more on a topic, "saywatt --version" which build this is.
--no-config does without standing options ("saywatt help options").

Example:
  saywatt read review.vtt
`

// helper is what every command has: its own help text, ending in an example.
type helper interface{ Help() string }

// helpFlag is --help.
type helpFlag bool

// BeforeReset runs ahead of every check of the command line.
func (helpFlag) BeforeReset(ctx *kong.Context) error {
	if n := ctx.Selected(); n != nil {
		return &helpRequest{n}
	}
	return &helpRequest{ctx.Model.Node}
}

// A helpRequest ends parsing: help on the node was asked for.
type helpRequest struct{ node *kong.Node }

func (*helpRequest) Error() string { return "help was asked for" }

type helpCmd struct {
	Command []string `arg:"" optional:"" help:"The command to explain."`
}

func (helpCmd) Help() string {
	return `Usage: saywatt help [COMMAND | TOPIC]

Prints how a command is used, or a topic; without one, what there are.

Example:
  saywatt help read
`
}

func (c *helpCmd) Run(e *env, app *kong.Application) error {
	node := app.Node
	for _, name := range c.Command {
		next := child(node, name)
		if _, text, ok := topic(name); ok && next == nil && len(c.Command) == 1 {
			_, err := io.WriteString(e.stdout, text)
			return err
		}
		if next == nil {
			what := "command or topic"
			if len(c.Command) > 1 {
				what = "command"
			}
			near := didYouMean(name, append(commandNames(node), topicNames()...))
			return &usageError{fmt.Errorf("there is no %s %q%s", what, name, near), "saywatt"}
		}
		node = next
	}
	return writeHelp(e.stdout, node)
}

func child(n *kong.Node, name string) *kong.Node {
	for _, c := range n.Children {
		if c.Name == name {
			return c
		}
	}
	return nil
}

// writeHelp writes the help of a command, or of the program for the root.
func writeHelp(w io.Writer, n *kong.Node) error {
	if n.Type != kong.ApplicationNode {
		text := ""
		if h, ok := n.Target.Addr().Interface().(helper); ok {
			text = h.Help()
		}
		_, err := io.WriteString(w, text)
		return err
	}
	var b strings.Builder
	b.WriteString(about)
	width := 0
	for _, c := range n.Children {
		width = max(width, len(c.Name))
	}
	for _, c := range n.Children {
		fmt.Fprintf(&b, "  %-*s  %s\n", width, c.Name, c.Help)
	}
	b.WriteString(aboutTopics)
	for _, name := range topicOrder {
		line, _, _ := topic(name)
		fmt.Fprintf(&b, "  %-*s  %s\n", width, name, line)
	}
	b.WriteString(aboutEnd)
	_, err := io.WriteString(w, b.String())
	return err
}
