package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path/filepath"
	"slices"
	"strings"

	"saywatt/extract"
	"saywatt/internal/export/plainjson"
	"saywatt/internal/export/word"
	"saywatt/internal/intake"
	"saywatt/normalize"
	"saywatt/normalize/channel"
)

type learnCmd struct {
	formFlag
	Answers  []string `sep:"none" help:"File or folder of decisions, JSON Lines."`
	List     bool     `help:"Print what was learnt."`
	Forget   string   `help:"Drop what was learnt of a file."`
	MaxBytes positive `help:"Largest file read, in bytes."`
	File     []string `arg:"" optional:"" help:"The captions that were decided on."`
}

func (learnCmd) Help() string {
	return `Usage: saywatt learn --answers ANSWERS FILE ...
       saywatt learn --list
       saywatt learn --forget NAME

Counts what captions did to the quantities of a review that a person has
decided on, and keeps the counts: saywatt/distortions.tsv in your configuration
folder. "saywatt read --learned" adds them to the counts that come with the
program; nothing else uses them, and no record changes by itself. Counted are
the decisions, and the readings of the rest that are all but certain with them.
A file learnt again takes the place of what was learnt of it before. A FILE may
be a folder or a pattern; of several, those are learnt that answers are on.

Flags:
      --answers ANSWERS  the decisions, a file or a folder, as for "saywatt read
                     --answers". May be repeated
      --list         print how often captions did what, by the program's counts
                     alone and with yours
      --json         print JSON: of --list an object, else a line for each
                     file
      --forget NAME  drop what was learnt of the file of that name: as --list
                     has it, or the end of that where it is of one file only
      --max-bytes N  refuse larger files; 67108864 where not given

Example:
  saywatt learn --answers decisions.jsonl review.vtt
`
}

func (c *learnCmd) Run(e *env) error {
	asked := 0
	for _, yes := range []bool{len(c.Answers) > 0 || len(c.File) > 0, c.List, c.Forget != ""} {
		if yes {
			asked++
		}
	}
	switch {
	case asked != 1, (len(c.Answers) == 0) != (len(c.File) == 0):
		return &usageError{errors.New("want --answers and a FILE, --list, or --forget"), "saywatt learn"}
	case c.List:
		return c.list(e)
	case c.Forget != "":
		n := 0
		err := e.changeLearned(nil, func(l *channel.Learned) error {
			name, err := learntAs(c.Forget, l.Reviews())
			n = l.Forget(name)
			return err
		})
		if err != nil || !c.JSON {
			return err
		}
		return plainjson.WriteLine(e.stdout, struct {
			File      string `json:"file"`
			Forgotten int    `json:"forgotten"` // files of that name
		}{c.Forget, n})
	}
	return c.learn(e)
}

// learntAs is the name under which something was learnt of a file: the one given, or
// the only one that is a path to a file of that name.
func learntAs(name string, all []string) (string, error) {
	if slices.Contains(all, name) {
		return name, nil
	}
	var found []string
	for _, one := range all {
		if intake.EndsIn(one, name) || intake.EndsIn(name, one) {
			found = append(found, one)
		}
	}
	switch {
	case len(found) == 1:
		return found[0], nil
	case len(found) > 1:
		return "", fmt.Errorf("%s may be %s: name one of them", name, strings.Join(found, " or "))
	case len(all) == 0:
		return "", fmt.Errorf("nothing was learnt of %s, nor of any other file", name)
	}
	return "", fmt.Errorf("nothing was learnt of %s%s; \"saywatt learn --list\" lists the files", name,
		didYouMean(name, all))
}

func (c *learnCmd) learn(e *env) error {
	files, err := intake.Files(c.File)
	if err != nil {
		return err
	}
	given, err := intake.ReadAnswers(e.open, c.Answers, files)
	if err != nil {
		return err
	}
	if given != nil {
		e.complainOf(given.Elsewhere)
	}
	r := intake.Reader{Open: e.open, Stdin: e.stdin, MaxBytes: int64(c.MaxBytes)}
	inputs := slices.Clone(c.Answers)
	for _, f := range files {
		inputs = append(inputs, f.Name)
	}
	var done []learnt
	err = e.changeLearned(inputs, func(l *channel.Learned) error {
		for _, f := range files {
			answers := given.For(f)
			if len(answers) == 0 && len(files) > 1 {
				continue
			}
			t, err := r.Captions(f.Name)
			if err != nil {
				return err
			}
			e.tellLanguage(t, "")
			ranker := normalize.Ranker{Answers: answers}
			n, err := ranker.Learn(extract.FindGiven(t, extract.Given{Conditions: normalize.Conditions(answers),
				Names: normalize.Names(answers)}), l)
			if err != nil {
				return err
			}
			done = append(done, learnt{f.Name, n, len(answers)})
		}
		return nil
	})
	if err != nil {
		return err
	}
	for _, d := range done {
		words := fmt.Sprintf("%s: %d of %d decisions counted", word.Printable(d.File), d.Counted, d.Decisions)
		if err := c.line(e.stdout, d, words); err != nil {
			return err
		}
	}
	return nil
}

// learnt is what was learnt of a file.
type learnt struct {
	File      string `json:"file"`
	Counted   int    `json:"counted"`
	Decisions int    `json:"decisions"`
}

func (c *learnCmd) list(e *env) error {
	l, err := e.learned()
	if err != nil {
		return err
	}
	if c.JSON {
		return writeLearnedJSON(e.stdout, l)
	}
	for _, name := range l.Reviews() {
		fmt.Fprintf(e.stdout, "learnt from %s\n", word.Printable(name))
	}
	for _, r := range l.Rates() {
		fmt.Fprintf(e.stdout, "%5.1f %% → %5.1f %%  %s (%d of %d here)\n", 100*r.Table, 100*r.Learned, r.Words, r.N,
			r.Of)
	}
	return nil
}

// writeLearnedJSON writes the counts as one JSON object.
func writeLearnedJSON(w io.Writer, l *channel.Learned) error {
	type rate struct {
		Words   string  `json:"what"`
		Table   float64 `json:"program"` // probability by the program's counts alone
		Learned float64 `json:"learned"` // and with yours
		N       int     `json:"n"`
		Of      int     `json:"of"`
	}
	out := struct {
		Reviews []string `json:"reviews"`
		Rates   []rate   `json:"rates"`
	}{append([]string{}, l.Reviews()...), []rate{}}
	for _, r := range l.Rates() {
		out.Rates = append(out.Rates, rate{r.Words, r.Table, r.Learned, r.N, r.Of})
	}
	return plainjson.WriteLine(w, out)
}

// learnedFile is where a person's counts stand in the user's configuration
// folder.
func learnedFile(config string) string { return filepath.Join(config, "saywatt", "distortions.tsv") }

// learned reads the person's counts; where there is no file, nothing was
// learnt.
func (e *env) learned() (*channel.Learned, error) {
	config, err := e.config()
	if err != nil {
		return nil, err
	}
	f, err := e.open(learnedFile(config))
	if errors.Is(err, fs.ErrNotExist) {
		return &channel.Learned{}, nil
	}
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return channel.ReadLearned(f, learnedFile(config))
}

// changeLearned writes the person's counts anew with what change makes of
// them.
func (e *env) changeLearned(inputs []string, change func(*channel.Learned) error) error {
	l, err := e.learned()
	if err != nil {
		return err
	}
	if err := change(l); err != nil {
		return err
	}
	config, err := e.config()
	if err != nil {
		return err
	}
	name := learnedFile(config)
	if err := e.makeFolder(name); err != nil {
		return err
	}
	return e.saver.Rewrite(name, inputs, func(w io.Writer) error { return l.Write(w) })
}
