package main

import (
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"syscall"
	"time"
	"unicode/utf8"

	"github.com/alecthomas/kong"

	"saywatt/internal/alike"
	"saywatt/internal/export/word"
)

// What libraries and the system say of files, hosts and flags is put into our
// words here, whatever command it came from.

// plainly is an error in our words: the file or address, and what is the matter
// with it.
func plainly(err error) string {
	text := err.Error()
	eachError(err, func(err error) {
		if now, ok := ownWords(err); ok {
			text = strings.Replace(text, err.Error(), now, 1)
		}
	})
	return text
}

// eachError gives an error and all that it wraps, the outer ones first.
func eachError(err error, do func(error)) {
	if err == nil {
		return
	}
	do(err)
	switch e := err.(type) {
	case interface{ Unwrap() error }:
		eachError(e.Unwrap(), do)
	case interface{ Unwrap() []error }:
		for _, one := range e.Unwrap() {
			eachError(one, do)
		}
	}
}

// ownWords puts an error of the system or of the network into words.
func ownWords(err error) (string, bool) {
	if err == io.ErrUnexpectedEOF {
		return "the text ends early", true
	}
	switch e := err.(type) {
	case *fs.PathError:
		if info, err := os.Lstat(e.Path); err == nil && info.Mode()&fs.ModeSymlink != 0 &&
			errors.Is(e.Err, fs.ErrNotExist) {
			return e.Path + ": this is a symbolic link to nothing", true
		}
		return e.Path + ": " + cause(e.Err) + nearFile(e), true
	case *os.LinkError:
		return e.New + ": " + cause(e.Err), true
	case *net.DNSError:
		if e.IsNotFound {
			return fmt.Sprintf("there is no host %q", e.Name), true
		}
		return fmt.Sprintf("the host %q cannot be looked up: the name server does not answer", e.Name), true
	case *net.AddrError:
		return fmt.Sprintf("%q is no address: %s", e.Addr, e.Err), true
	case syscall.Errno:
		return cause(e), true
	case *json.SyntaxError:
		return fmt.Sprintf("this is no JSON from byte %d on", e.Offset), true
	case *json.UnmarshalTypeError:
		if e.Field == "" {
			return "this cannot be a JSON " + e.Value, true
		}
		return fmt.Sprintf("%q cannot be a JSON %s", e.Field, e.Value), true
	case *net.OpError:
		inner := cause(e.Err)
		if words, ok := ownWords(e.Err); ok {
			inner = words
		}
		if e.Addr != nil {
			inner = e.Addr.String() + ": " + inner
		}
		return inner, true
	}
	if text, ok := strings.CutPrefix(err.Error(), "json: "); ok && errors.Unwrap(err) == nil {
		return text, true // an unknown field has no type of its own
	}
	return "", false
}

// nearFile suggests, of a file that is not there, the one of its folder that is
// named most like it.
func nearFile(e *fs.PathError) string {
	if !errors.Is(e.Err, fs.ErrNotExist) || e.Op != "open" {
		return ""
	}
	dir, name := filepath.Split(e.Path)
	entries, err := os.ReadDir(cmp.Or(dir, "."))
	if err != nil {
		return ""
	}
	stem := func(name string) string { return strings.TrimSuffix(name, filepath.Ext(name)) }
	var names []string          // those of other endings whole
	of := map[string][]string{} // and by what is in front of the same ending
	for _, one := range entries {
		n := one.Name()
		if filepath.Ext(n) == filepath.Ext(name) || stem(n) == stem(name) {
			of[stem(n)] = append(of[stem(n)], n)
			n = stem(n)
		}
		names = append(names, n)
	}
	for _, near := range [...][]string{{stem(name)}, alike.Nearest(stem(name), names, 1),
		alike.Nearest(name, names, 1)} {
		switch {
		case len(near) == 0:
		case len(of[near[0]]) > 0:
			return fmt.Sprintf(" (did you mean %q?)", of[near[0]][0])
		case slices.Contains(names, near[0]):
			return fmt.Sprintf(" (did you mean %q?)", near[0])
		}
	}
	return ""
}

// causes are what the system says, in words.
var causes = []struct {
	err   error
	words string
}{
	{fs.ErrNotExist, "there is no such file or folder"},
	{fs.ErrPermission, "this user has no permission for that"},
	{syscall.ENOTDIR, "a part of this path is a file and no folder"},
	{syscall.EISDIR, "this is a folder and no file"},
	{syscall.ENOSPC, "the disk is full"},
	{syscall.EROFS, "nothing can be written on this disk"},
	{syscall.ENAMETOOLONG, "the name is too long for the system"},
	{syscall.ELOOP, "symbolic links lead in a circle"},
	{syscall.EIO, "the disk cannot be read or written there"},
	{syscall.EMFILE, "too many files are open"},
	{syscall.EADDRINUSE, "another program listens there"},
	{syscall.EADDRNOTAVAIL, "this machine has no such address"},
	{syscall.ECONNREFUSED, "nobody answers there"},
}

// cause is what the system says of a file or an address.
func cause(err error) string {
	for _, c := range causes {
		if errors.Is(err, c.err) {
			return c.words
		}
	}
	return err.Error()
}

// The longest name and title of a review, in letters.
const (
	longestName  = 100
	longestTitle = 200
)

// checkNames refuses a name or title that is too long; flags are what they were
// given by.
func checkNames(nameFlag, name, titleFlag, title string) error {
	for _, given := range []struct {
		flag, text string
		most       int
	}{{nameFlag, name, longestName}, {titleFlag, title, longestTitle}} {
		if n := utf8.RuneCountInString(given.text); n > given.most {
			return fmt.Errorf("%s %q has %d letters; the most are %d",
				given.flag, word.Clip(given.text, shownOf), n, given.most)
		}
	}
	return nil
}

// Words of the command line that are longer than shownOf letters are shown by
// these; what looks like a path is shown whole up to longestPath.
const (
	shownOf     = 60
	longestPath = 300
)

// shortened is a text in which long words of the command line are cut.
func (e *env) shortened(text string) string {
	for _, arg := range e.args {
		if _, value, ok := strings.Cut(arg, "="); ok && strings.HasPrefix(arg, "--") {
			arg = value
		}
		if n := utf8.RuneCountInString(arg); n <= shownOf || n <= longestPath && strings.ContainsAny(arg, `./\`) {
			continue
		}
		text = strings.ReplaceAll(text, arg, word.Clip(arg, shownOf))
		quoted := strconv.Quote(arg)
		text = strings.ReplaceAll(text, quoted[1:len(quoted)-1], word.Clip(arg, shownOf))
	}
	return text
}

// missingValue says which flag at the end of a command line lacks its value, nil
// where none does.
func missingValue(args []string, err error) error {
	var p *kong.ParseError
	if !errors.As(err, &p) || p.Context == nil || p.Context.Selected() == nil {
		return nil
	}
	last := args[len(args)-1]
	for _, group := range p.Context.Selected().AllFlags(true) {
		for _, f := range group {
			if !f.IsBool() && (last == "--"+f.Name || f.Short != 0 && last == "-"+string(f.Short)) {
				return fmt.Errorf("%s: %w", last, errNoValue)
			}
		}
	}
	return nil
}

// missingArgument says which argument a command line lacks, nil where it lacks
// none or something else is wrong first.
func missingArgument(err error) error {
	var p *kong.ParseError
	if !errors.As(err, &p) || p.Context == nil || p.Context.Error != nil {
		return nil
	}
	n := p.Context.Selected()
	if n == nil {
		return nil
	}
	given := map[*kong.Positional]bool{}
	for _, step := range p.Context.Path {
		if step.Positional != nil {
			given[step.Positional] = true
		}
	}
	for _, want := range n.Positional {
		if want.Required && !given[want] {
			return fmt.Errorf("%s is missing: %s", strings.ToUpper(want.Name),
				strings.ToLower(want.Help[:1])+strings.TrimSuffix(want.Help[1:], "."))
		}
	}
	return nil
}

// negativeValue says of a flag that counts and has a number below nothing behind it
// that it takes none such; nil where no flag has.
func negativeValue(args []string, err error) error {
	var p *kong.ParseError
	if !errors.Is(err, errNoValue) || !errors.As(err, &p) || p.Context == nil || p.Context.Selected() == nil {
		return nil
	}
	for i := range len(args) - 1 {
		n, wrong := strconv.ParseInt(args[i+1], 10, 64)
		if wrong != nil || n >= 0 {
			continue
		}
		for _, group := range p.Context.Selected().AllFlags(true) {
			for _, f := range group {
				if kind := f.Target.Kind(); args[i] == "--"+f.Name && (kind == reflect.Int || kind == reflect.Int64) {
					return fmt.Errorf("%s %d: want a number that is not below zero", args[i], n)
				}
			}
		}
	}
	return nil
}

// negativeNumber says how a number below nothing is given, which looks like a
// flag, nil where there is none or it is the value of a flag.
func negativeNumber(args []string, err error) error {
	for _, arg := range args {
		switch {
		case arg == "--" || errors.Is(err, errNoValue):
			return nil
		case len(arg) > 1 && arg[0] == '-' && '0' <= arg[1] && arg[1] <= '9':
			return fmt.Errorf("%s is no flag; what begins with - stands behind --", word.Clip(arg, shownOf))
		}
	}
	return nil
}

// wrongChoice says which flag or argument has a value that is none of those there
// are, nil where none has or something else is wrong first.
func wrongChoice(err error) error {
	var p *kong.ParseError
	if !errors.As(err, &p) || p.Context == nil || p.Context.Error != nil || p.Context.Selected() == nil {
		return nil
	}
	wrong := func(name string, v *kong.Value) error {
		choices := v.EnumSlice()
		value := v.Target.String()
		if v.Enum == "" || v.Target.Kind() != reflect.String || slices.Contains(choices, value) {
			return nil
		}
		return fmt.Errorf("%s %q is not known%s; there are %s", name, word.Clip(value, shownOf),
			didYouMean(value, choices), strings.Join(choices, ", "))
	}
	n := p.Context.Selected()
	for _, group := range n.AllFlags(true) {
		for _, f := range group {
			if err := wrong("--"+f.Name, f.Value); err != nil {
				return err
			}
		}
	}
	for _, a := range n.Positional {
		if err := wrong(strings.ToUpper(a.Name), a); err != nil {
			return err
		}
	}
	return nil
}

// flagValues read the values of flags, with an error in our words.
func flagValues() []kong.Option {
	return []kong.Option{
		kong.KindMapper(reflect.Float64, flagValue(func(s string) (any, error) {
			x, err := strconv.ParseFloat(s, 64)
			if err != nil {
				return nil, fmt.Errorf("%q is no number", word.Clip(s, shownOf))
			}
			return x, nil
		})),
		kong.KindMapper(reflect.String, flagValue(func(s string) (any, error) { return s, nil })),
		kong.KindMapper(reflect.Int, flagValue(wholeNumber)),
		kong.KindMapper(reflect.Int64, flagValue(wholeNumber)),
		kong.TypeMapper(reflect.TypeFor[positive](), flagValue(func(s string) (any, error) {
			n, err := wholeNumber(s)
			if err == nil && n.(int64) < 1 {
				err = fmt.Errorf("%s is not above zero", word.Clip(s, shownOf))
			}
			return n, err
		})),
		kong.TypeMapper(reflect.TypeFor[conditions](), kong.MapperFunc(readConditions)),
		kong.TypeMapper(reflect.TypeFor[time.Duration](), flagValue(func(s string) (any, error) {
			d, err := time.ParseDuration(s)
			if err != nil {
				return nil, fmt.Errorf("%q is no length of time; write 500ms, 2s or 5m", word.Clip(s, shownOf))
			}
			return d, nil
		})),
	}
}

// positive is the value of a flag that counts: one at least, where it is given.
type positive int64

// readConditions adds conditions to those of a flag: one word of a command line,
// or several of standing options.
func readConditions(ctx *kong.DecodeContext, target reflect.Value) error {
	word, err := ctx.Scan.PopValue("value")
	if err != nil {
		return errNoValue
	}
	given, several := word.Value.([]any)
	if !several {
		given = []any{word.Value}
	}
	for _, one := range given {
		for _, name := range strings.Split(fmt.Sprint(one), ",") {
			if name = strings.TrimSpace(name); name == "" {
				return errNoCondition
			}
			target.Set(reflect.Append(target, reflect.ValueOf(name)))
		}
	}
	return nil
}

var errNoCondition = errors.New("a condition is missing; several have a comma between them")

// errNoValue says that a flag stands alone which wants a value.
var errNoValue = errors.New("a value is missing (one that begins with - is written behind =)")

func wholeNumber(s string) (any, error) {
	n, err := strconv.ParseInt(s, 10, 64)
	if err != nil {
		return nil, fmt.Errorf("%q is no whole number", word.Clip(s, shownOf))
	}
	return n, nil
}

// flagValue makes a mapper of what reads one word.
func flagValue(read func(string) (any, error)) kong.MapperFunc {
	return func(ctx *kong.DecodeContext, target reflect.Value) error {
		word, err := ctx.Scan.PopValue("value")
		if err != nil { // a library's words for what is missing
			return errNoValue
		}
		v, err := read(fmt.Sprint(word.Value))
		if err == nil {
			target.Set(reflect.ValueOf(v).Convert(target.Type()))
		}
		return err
	}
}
