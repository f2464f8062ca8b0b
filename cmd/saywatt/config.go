package main

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"reflect"
	"slices"
	"strings"

	"github.com/alecthomas/kong"
)

// Standing options are values of flags that need not be given each time. They
// are lines of a file:
//
//	# a comment
//	FLAG = VALUE          for every command that has the flag
//	COMMAND FLAG = VALUE  for this command
//
// A flag that takes several values may have several lines; one without a value
// is "true" or "false". A line for a command stands before one for all of
// them, the project's file before the personal one, the environment before
// both, and the command line before everything.

// projectConfig is read from the current folder where it is there.
const projectConfig = "saywatt.conf"

// personalConfig is read from the user's folder for settings.
func personalConfig(config string) string { return filepath.Join(config, "saywatt", projectConfig) }

// A standing option is one line.
type standing struct {
	command, flag, value string
	where                string // FILE:LINE
}

// standingOptions read the files, those that stand first at the front.
func (e *env) standingOptions(app *kong.Application) (*standingResolver, error) {
	r := &standingResolver{env: e}
	names := []string{projectConfig}
	if config, err := e.config(); err == nil {
		names = append(names, personalConfig(config))
	}
	for _, name := range names {
		text, err := e.readFile(name)
		if errors.Is(err, fs.ErrNotExist) {
			continue
		}
		if err != nil {
			return nil, err
		}
		options, err := readStanding(name, text, app)
		if err != nil {
			return nil, err
		}
		r.files = append(r.files, options)
	}
	return r, nil
}

// readStanding reads one file.
func readStanding(name string, text []byte, app *kong.Application) ([]standing, error) {
	var all []standing
	s := bufio.NewScanner(bytes.NewReader(text))
	for n := 1; s.Scan(); n++ {
		line := strings.TrimSpace(strings.TrimPrefix(s.Text(), "\ufeff"))
		if line == "" || line[0] == '#' {
			continue
		}
		where := fmt.Sprintf("%s:%d", name, n)
		names, value, ok := strings.Cut(line, "=")
		words := strings.Fields(names)
		if !ok || len(words) == 0 {
			return nil, fmt.Errorf("%s: %q: want a line FLAG = VALUE", where, line)
		}
		last := len(words) - 1
		o := standing{strings.Join(words[:last], " "), strings.TrimLeft(words[last], "-"), strings.TrimSpace(value),
			where}
		if err := o.check(app); err != nil {
			return nil, fmt.Errorf("%s: %w", where, err)
		}
		all = append(all, o)
	}
	if err := s.Err(); err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	return all, nil
}

// check refuses commands and flags that there are none of, and values that no
// command takes.
func (o standing) check(app *kong.Application) error {
	var commands, flags []string
	var wrong error
	found, fits := false, false
	eachCommand(app.Node, func(n *kong.Node) {
		commands = append(commands, commandName(n))
		if o.command != "" && o.command != commandName(n) {
			return
		}
		for _, f := range n.Flags {
			flags = append(flags, f.Name)
			if f.Name == o.flag {
				found = true
				wrong = o.fit(f)
				fits = fits || wrong == nil
			}
		}
	})
	if o.command != "" && !slices.Contains(commands, o.command) {
		return fmt.Errorf("there is no command %q%s", o.command, didYouMean(o.command, commands))
	}
	if !found {
		return fmt.Errorf("there is no flag --%s%s", o.flag, didYouMean(o.flag, flags))
	}
	if !fits {
		return fmt.Errorf("--%s: %w", o.flag, wrong)
	}
	return nil
}

// fit says why a flag cannot have the value.
func (o standing) fit(f *kong.Flag) error {
	value := kong.Token{Value: o.value, Type: kong.FlagValueToken}
	context := &kong.DecodeContext{Value: f.Value, Scan: kong.ScanFromTokens(value)}
	return f.Mapper.Decode(context, reflect.New(f.Target.Type()).Elem())
}

// eachCommand gives every command, those within others too.
func eachCommand(n *kong.Node, do func(*kong.Node)) {
	for _, c := range n.Children {
		do(c)
		eachCommand(c, do)
	}
}

// commandName is a command without the name of the program: "glossary add".
func commandName(n *kong.Node) string {
	_, name, _ := strings.Cut(n.FullPath(), " ")
	return name
}

// standingResolver gives flags that are not on the command line their values.
type standingResolver struct {
	env   *env
	files [][]standing
}

func (*standingResolver) Validate(*kong.Application) error { return nil }

// Resolve finds the value of a flag, nil where none is standing.
func (r *standingResolver) Resolve(ctx *kong.Context, parent *kong.Path, flag *kong.Flag) (any, error) {
	if flag.Name == "archive" && r.env.getenv(archiveVariable) != "" || chosenOtherwise(ctx, flag.Name) {
		return nil, nil
	}
	node := parent.Node()
	if node == nil || node.Type != kong.CommandNode {
		return nil, nil
	}
	command := commandName(node)
	for _, options := range r.files {
		for _, of := range []string{command, ""} {
			var values []string
			for _, o := range options {
				if o.command == of && o.flag == flag.Name {
					values = append(values, o.value)
				}
			}
			if len(values) > 0 {
				return standingValue(flag, values), nil
			}
		}
	}
	return nil, nil
}

// formFlags choose the form of the output, one in place of the others.
var formFlags = []string{"json", "format", "to"}

// chosenOtherwise reports whether the command line has a flag that stands in
// place of this one.
func chosenOtherwise(ctx *kong.Context, name string) bool {
	return slices.Contains(formFlags, name) && slices.ContainsFunc(ctx.Path, func(p *kong.Path) bool {
		return p.Flag != nil && slices.Contains(formFlags, p.Flag.Name)
	})
}

// standingValue is what a flag is given: its last line, or all of them where it
// takes several.
func standingValue(flag *kong.Flag, values []string) any {
	if !flag.IsSlice() {
		return values[len(values)-1]
	}
	all := make([]any, len(values))
	for i, v := range values {
		all[i] = v
	}
	return all
}
