package main

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/alecthomas/kong"

	"saywatt/internal/export"
	"saywatt/validate"
)

// completionCmd prints what a shell completes command lines with. It is made
// of the commands and flags themselves, so that it cannot fall behind them.
type completionCmd struct {
	Shell string `arg:"" enum:"bash,zsh,fish" help:"bash, zsh or fish."`
}

func (completionCmd) Help() string {
	return `Usage: saywatt completion SHELL

Prints what completes command lines of saywatt in bash, zsh or fish: commands,
flags, and the values of flags that have a few. To have it in every session,
write it to the folder where the shell looks:

  bash  ~/.local/share/bash-completion/completions/saywatt
  zsh   a folder of $fpath, as _saywatt
  fish  ~/.config/fish/completions/saywatt.fish

Example:
  saywatt completion bash > ~/.local/share/bash-completion/completions/saywatt
`
}

func (c *completionCmd) Run(e *env, app *kong.Application) error {
	commands := completed(app)
	switch c.Shell {
	case "bash":
		return completeBash(e.stdout, commands)
	case "zsh":
		return completeZsh(e.stdout, commands)
	}
	return completeFish(e.stdout, commands)
}

// A completedCommand is what is to be known of one command, "" being the
// program itself.
type completedCommand struct {
	name, help string
	words      []string // its own commands, calculators, rules, shells
	flags      []completedFlag
	files      bool // its arguments are files
}

type completedFlag struct {
	name, help string
	value      bool     // it takes one
	values     []string // of a few; nil for any
}

// completed lists the commands with their flags.
func completed(app *kong.Application) []completedCommand {
	all := []completedCommand{{words: commandNames(app.Node), flags: completedFlags(app.Node)}}
	eachCommand(app.Node, func(n *kong.Node) {
		c := completedCommand{name: commandName(n), help: n.Help, words: commandNames(n), flags: completedFlags(n)}
		for _, p := range n.Positional {
			c.files = c.files || slices.Contains([]string{"file", "folder"}, p.Name)
			c.words = append(c.words, enumOf(p)...)
		}
		switch c.name {
		case "calc":
			c.words = calculatorNames()
		case "rules":
			c.words = ruleNames()
		case "help":
			c.words = append(commandNames(app.Node), topicNames()...)
		}
		all = append(all, c)
	})
	return all
}

func completedFlags(n *kong.Node) []completedFlag {
	var all []completedFlag
	for _, f := range n.Flags {
		if !f.Hidden {
			all = append(all, completedFlag{f.Name, f.Help, !f.IsBool(), valuesOf(n, f)})
		}
	}
	return append(all, completedFlag{name: "help", help: "Tell how the command is used."})
}

// enumOf are the values of which a flag or argument is one.
func enumOf(v *kong.Value) []string {
	if v.Enum == "" {
		return nil
	}
	return strings.Split(v.Enum, ",")
}

// valuesOf are the values of a flag that has a few.
func valuesOf(n *kong.Node, f *kong.Flag) []string {
	if values := enumOf(f.Value); values != nil {
		return values
	}
	switch {
	case f.Name == "fail-on":
		var names []string
		for _, c := range failConditions() {
			names = append(names, c.name)
		}
		return names
	case f.Name == "to" && commandName(n) == "gather":
		return gatherFormats
	case f.Name == "to":
		return emitFormats
	case f.Name == "table":
		return export.TableNames
	case f.Name == "format":
		return export.FormatNames()
	case f.Name == "family":
		var names []string
		for _, family := range validate.Families() {
			names = append(names, family.Name)
		}
		return names
	}
	return nil
}

// dashed are the flags of a command as they are typed.
func (c *completedCommand) dashed() []string {
	var all []string
	for _, f := range c.flags {
		all = append(all, "--"+f.name)
	}
	return all
}

// completeBash writes a function for bash's complete. Words are known to be
// letters, digits and hyphens.
func completeBash(w io.Writer, commands []completedCommand) error {
	var b strings.Builder
	b.WriteString(`# bash completion of saywatt
_saywatt() {
	local cur=${COMP_WORDS[COMP_CWORD]} prev=${COMP_WORDS[COMP_CWORD-1]} name= words= flags= values=
	local i
	for ((i = 1; i < COMP_CWORD; i++)); do
		case ${COMP_WORDS[i]} in
		-*) ;;
		*)
			if [[ -z $name ]]; then
				name=${COMP_WORDS[i]}
			elif [[ $name == glossary ]]; then
				name="glossary ${COMP_WORDS[i]}"
			fi
			;;
		esac
	done
	case $name in
`)
	for _, c := range commands {
		fmt.Fprintf(&b, "\t%q)\n\t\twords=%q\n\t\tflags=%q\n", c.name, strings.Join(c.words, " "), strings.Join(c.dashed(), " "))
		b.WriteString("\t\tcase $prev in\n")
		for _, f := range c.flags {
			if f.values != nil {
				fmt.Fprintf(&b, "\t\t--%s) values=%q ;;\n", f.name, strings.Join(f.values, " "))
			}
		}
		b.WriteString("\t\tesac\n\t\t;;\n")
	}
	b.WriteString(`	esac
	if [[ -n $values ]]; then
		COMPREPLY=($(compgen -W "$values" -- "$cur"))
	elif [[ $cur == -* ]]; then
		COMPREPLY=($(compgen -W "$flags" -- "$cur"))
	else
		COMPREPLY=($(compgen -W "$words" -- "$cur"))
	fi
}
complete -o default -F _saywatt saywatt
`)
	_, err := io.WriteString(w, b.String())
	return err
}

// quotedShell puts a text into single quotes, for zsh and fish.
func quotedShell(s string) string { return "'" + strings.ReplaceAll(s, "'", "’") + "'" }

// completeZsh writes a function for zsh's completion system.
func completeZsh(w io.Writer, commands []completedCommand) error {
	var b strings.Builder
	b.WriteString("#compdef saywatt\n# zsh completion of saywatt\n_saywatt() {\n")
	b.WriteString("\tlocal name= word previous=$words[CURRENT-1]\n")
	b.WriteString("\tfor word in $words[2,CURRENT-1]; do\n\t\tcase $word in\n\t\t-*) ;;\n\t\t*)\n")
	b.WriteString("\t\t\tif [[ -z $name ]]; then name=$word\n")
	b.WriteString("\t\t\telif [[ $name == glossary ]]; then name=\"glossary $word\"; fi ;;\n\t\tesac\n\tdone\n")
	b.WriteString("\tlocal -a flags choices\n\tcase $name in\n")
	for _, c := range commands {
		fmt.Fprintf(&b, "\t%s)\n", quotedShell(c.name))
		b.WriteString("\t\tcase $previous in\n")
		for _, f := range c.flags {
			if f.values != nil {
				fmt.Fprintf(&b, "\t\t--%s) compadd -- %s; return ;;\n", f.name, strings.Join(f.values, " "))
			}
		}
		b.WriteString("\t\tesac\n\t\tflags=(")
		for _, f := range c.flags {
			fmt.Fprintf(&b, "\n\t\t\t%s", quotedShell("--"+f.name+":"+strings.ReplaceAll(f.help, ":", ",")))
		}
		fmt.Fprintf(&b, ")\n\t\tchoices=(%s)\n\t\t;;\n", strings.Join(c.words, " "))
	}
	b.WriteString("\tesac\n\tif [[ $words[CURRENT] == -* ]]; then\n\t\t_describe flag flags\n")
	b.WriteString("\telse\n\t\tcompadd -a choices\n\t\t_files\n\tfi\n}\n")
	b.WriteString("if [[ $zsh_eval_context[-1] == loadautofunc ]]; then _saywatt \"$@\"\n")
	b.WriteString("else compdef _saywatt saywatt; fi\n")
	_, err := io.WriteString(w, b.String())
	return err
}

// completeFish writes lines for fish's complete.
func completeFish(w io.Writer, commands []completedCommand) error {
	var b strings.Builder
	b.WriteString("# fish completion of saywatt\n")
	for _, c := range commands {
		when := "__fish_use_subcommand"
		if c.name != "" {
			var seen []string
			for _, word := range strings.Fields(c.name) {
				seen = append(seen, "__fish_seen_subcommand_from "+word)
			}
			when = strings.Join(seen, "; and ")
		}
		for _, word := range c.words {
			help := ""
			for _, other := range commands {
				if other.name == word && c.name == "" {
					help = " -d " + quotedShell(other.help)
				}
			}
			fmt.Fprintf(&b, "complete -c saywatt -n %s -a %s%s\n", quotedShell(when), word, help)
		}
		for _, f := range c.flags {
			line := fmt.Sprintf("complete -c saywatt -n %s -l %s", quotedShell(when), f.name)
			switch {
			case f.values != nil:
				line += " -x -a " + quotedShell(strings.Join(f.values, " "))
			case f.value:
				line += " -r"
			}
			if f.help != "" {
				line += " -d " + quotedShell(f.help)
			}
			b.WriteString(line + "\n")
		}
	}
	_, err := io.WriteString(w, b.String())
	return err
}
