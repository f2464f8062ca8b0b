package main

import (
	"embed"
	"fmt"
	"io"
	"strings"

	"github.com/alecthomas/kong"
)

// manCmd prints the manual page: what help prints, of all commands and topics.
type manCmd struct{}

func (manCmd) Help() string {
	return `Usage: saywatt man

Prints the manual page of saywatt, in the macros of man(7): all that "saywatt
help" says of the commands and topics.

Example:
  saywatt man > saywatt.1 && man ./saywatt.1
`
}

func (manCmd) Run(e *env, app *kong.Application) error {
	return writeMan(e.stdout, app)
}

// Topics are what help prints beside the commands: files topics/NAME.txt, the
// first line being what the list of topics says.
//
//go:embed topics/*.txt
var topics embed.FS

// topicOrder lists the topics as help and the manual page do.
var topicOrder = [...]string{"files", "answers", "identity", "exit", "json", "options", "machines", "keys", "api",
	"safety"}

func topicNames() []string { return append([]string(nil), topicOrder[:]...) }

// topic is a topic's line in the list, and its text.
func topic(name string) (line, text string, ok bool) {
	b, err := topics.ReadFile("topics/" + name + ".txt")
	if err != nil {
		return "", "", false
	}
	line, text, _ = strings.Cut(string(b), "\n")
	return line, strings.TrimLeft(text, "\n"), true
}

// writeMan writes the page, made of what help prints.
func writeMan(w io.Writer, app *kong.Application) error {
	var b strings.Builder
	fmt.Fprintf(&b, ".TH SAYWATT 1 \"\" saywatt\n.nh\n.ad l\n.SH NAME\nsaywatt \\- what a narrated product review "+
		"said, from its captions\n")
	fmt.Fprintf(&b, ".SH SYNOPSIS\n.B saywatt\n.I COMMAND\n[\\fIFLAG\\fR ...] [\\fIFILE\\fR ...]\n.SH DESCRIPTION\n")
	head, _, _ := strings.Cut(about, "\n\nUsage:")
	b.WriteString(roff(head) + "\n.SH COMMANDS\n")
	eachCommand(app.Node, func(n *kong.Node) {
		text := ""
		if h, ok := n.Target.Addr().Interface().(helper); ok {
			text = h.Help()
		}
		fmt.Fprintf(&b, ".SS %s\n%s\n.PP\n%s", roff(commandName(n)), roff(n.Help), body(text))
	})
	for _, name := range topicOrder {
		line, text, _ := topic(name)
		fmt.Fprintf(&b, ".SH %s\n%s\n.PP\n%s", strings.ToUpper(name), roff(line), body(text))
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// body writes help as the page has it: lines that begin at the left are running
// text and are filled, lines that are set in stand as they are, from the edge
// of the page, since help is as wide as a terminal may be narrow.
func body(text string) string {
	var b strings.Builder
	asIs := false
	for _, line := range strings.Split(strings.TrimRight(text, "\n"), "\n") {
		setIn := strings.HasPrefix(line, " ")
		switch {
		case setIn && !asIs:
			b.WriteString(".nf\n.in 0\n")
			asIs = true
		case !setIn && asIs:
			b.WriteString(".in\n.fi\n")
			asIs = false
		}
		if line == "" {
			b.WriteString(".PP\n")
			continue
		}
		b.WriteString(roff(line) + "\n")
	}
	if asIs {
		b.WriteString(".in\n.fi\n")
	}
	return b.String()
}

// roff spells a text so that nothing in it is taken for a request.
func roff(text string) string {
	text = strings.NewReplacer(`\`, `\e`, "-", `\-`, "'", `\(aq`, "`", `\(ga`, "^", `\(ha`, "~", `\(ti`).Replace(text)
	lines := strings.Split(text, "\n")
	for i, line := range lines {
		if strings.HasPrefix(line, ".") {
			lines[i] = `\&` + line
		}
	}
	return strings.Join(lines, "\n")
}
