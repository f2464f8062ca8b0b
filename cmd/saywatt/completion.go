package main

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/alecthomas/kong"

	"saywatt/internal/export"
	"saywatt/internal/export/table"
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
	short      string   // its letter, "" for none
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
			short := ""
			if f.Short != 0 {
				short = string(f.Short)
			}
			all = append(all, completedFlag{f.Name, f.Help, short, !f.IsBool(), valuesOf(n, f)})
		}
	}
	return append(all, completedFlag{name: "help", help: "Print how the command is used.", short: "h"})
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
		return export.EmitNames()
	case f.Name == "table":
		return table.Names
	case f.Name == "format":
		return export.ReadNames()
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

// typed are the ways to type a flag, with "|" between.
func (f *completedFlag) typed() string {
	if f.short == "" {
		return "--" + f.name
	}
	return "--" + f.name + "|-" + f.short
}

// families are the commands that have commands of their own.
func families(commands []completedCommand) []string {
	var all []string
	for _, c := range commands {
		if family, _, ok := strings.Cut(c.name, " "); ok && !slices.Contains(all, family) {
			all = append(all, family)
		}
	}
	return all
}

// completeBash writes a function for bash's complete. Words are known to be
// letters, digits and hyphens. Bash takes --to=html for three words.
func completeBash(w io.Writer, commands []completedCommand) error {
	var b strings.Builder
	fmt.Fprintf(&b, `# bash completion of saywatt
_saywatt() {
	local cur=${COMP_WORDS[COMP_CWORD]} prev=${COMP_WORDS[COMP_CWORD-1]} name= words= flags= values=
	if [[ $cur == = ]]; then
		cur=
	elif [[ $prev == = ]]; then
		prev=${COMP_WORDS[COMP_CWORD-2]}
	fi
	local i
	for ((i = 1; i < COMP_CWORD; i++)); do
		case ${COMP_WORDS[i]} in
		-*) ;;
		*)
			case $name in
			"") name=${COMP_WORDS[i]} ;;
			%s) name="$name ${COMP_WORDS[i]}" ;;
			esac
			;;
		esac
	done
	case $name in
`, strings.Join(families(commands), "|"))
	for _, c := range commands {
		fmt.Fprintf(&b, "\t%q)\n\t\twords=%q\n\t\tflags=%q\n", c.name, strings.Join(c.words, " "),
			strings.Join(c.dashed(), " "))
		b.WriteString("\t\tcase $prev in\n")
		for _, f := range c.flags {
			if f.values != nil {
				fmt.Fprintf(&b, "\t\t%s) values=%q ;;\n", f.typed(), strings.Join(f.values, " "))
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

// completeZsh writes a function for zsh's completion system. Files are offered
// where a command takes some or a flag has a value.
func completeZsh(w io.Writer, commands []completedCommand) error {
	var b strings.Builder
	fmt.Fprintf(&b, `#compdef saywatt
# zsh completion of saywatt
_saywatt() {
	local name= word previous=$words[CURRENT-1] files=
	for word in $words[2,CURRENT-1]; do
		case $word in
		-*) ;;
		*)
			case $name in
			"") name=$word ;;
			%s) name="$name $word" ;;
			esac
			;;
		esac
	done
	if [[ -prefix --*= ]]; then
		previous=${words[CURRENT]%%%%=*}
		compset -P 1 "*="
	fi
	local -a flags choices
	case $name in
`, strings.Join(families(commands), "|"))
	for _, c := range commands {
		fmt.Fprintf(&b, "\t%s)\n\t\tcase $previous in\n", quotedShell(c.name))
		for _, f := range c.flags {
			switch {
			case f.values != nil:
				fmt.Fprintf(&b, "\t\t%s) compadd -- %s; return ;;\n", f.typed(), strings.Join(f.values, " "))
			case f.value:
				fmt.Fprintf(&b, "\t\t%s) _files; return ;;\n", f.typed())
			}
		}
		b.WriteString("\t\tesac\n\t\tflags=(")
		for _, f := range c.flags {
			fmt.Fprintf(&b, "\n\t\t\t%s", quotedShell("--"+f.name+":"+strings.ReplaceAll(f.help, ":", ",")))
		}
		fmt.Fprintf(&b, ")\n\t\tchoices=(%s)\n", strings.Join(c.words, " "))
		if c.files {
			b.WriteString("\t\tfiles=yes\n")
		}
		b.WriteString("\t\t;;\n")
	}
	b.WriteString(`	esac
	if [[ $words[CURRENT] == -* ]]; then
		_describe flag flags
		return
	fi
	compadd -a choices
	[[ -n $files ]] && _files
}
if [[ $zsh_eval_context[-1] == loadautofunc ]]; then _saywatt "$@"
else compdef _saywatt saywatt; fi
`)
	_, err := io.WriteString(w, b.String())
	return err
}

// completeFish writes lines for fish's complete, and the function that says
// which command is typed.
func completeFish(w io.Writer, commands []completedCommand) error {
	var b strings.Builder
	fmt.Fprintf(&b, `# fish completion of saywatt
function __saywatt_command
	set -l name
	for word in (commandline -opc)[2..]
		string match -q -- '-*' $word; and continue
		if test -z "$name"
			set name $word
		else if contains -- $name %s
			set name "$name $word"
		end
	end
	echo $name
end
`, strings.Join(families(commands), " "))
	help := map[string]string{}
	for _, c := range commands {
		help[c.name] = c.help
	}
	for _, c := range commands {
		when := fmt.Sprintf(`complete -c saywatt -n 'test (__saywatt_command) = "%s"'`, c.name)
		if !c.files {
			b.WriteString(when + " -f\n")
		}
		for _, word := range c.words {
			line := when + " -a " + word
			if s := help[strings.TrimSpace(c.name+" "+word)]; s != "" {
				line += " -d " + quotedShell(s)
			}
			b.WriteString(line + "\n")
		}
		for _, f := range c.flags {
			line := when + " -l " + f.name
			if f.short != "" {
				line += " -s " + f.short
			}
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
