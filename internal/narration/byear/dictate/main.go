// Dictate has marked narrations read aloud by a synthesiser and written down by a
// speech recogniser, and writes what comes of each as NAME-spoken.mark (package
// byear):
//
//	go run ./internal/narration/byear/dictate -out DIR FILE.mark ...
//
// It runs flite and pocketsphinx_batch, of Debian's packages flite, pocketsphinx
// and pocketsphinx-en-us.
package main

import (
	"errors"
	"flag"
	"fmt"
	"io/fs"
	"log"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"

	"saywatt/extract/sound"
	"saywatt/internal/narration"
	"saywatt/internal/narration/byear"
)

// debianModel is where Debian has the recogniser's English model.
const debianModel = "/usr/share/pocketsphinx/model/en-us"

func main() {
	log.SetFlags(0)
	out := flag.String("out", "", "write the narrations into this `directory`")
	model := flag.String("model", debianModel, "`directory` of the recogniser's English model")
	flag.Parse()
	if *out == "" || flag.NArg() == 0 {
		log.Fatal("usage: dictate -out DIR [-model DIR] FILE.mark ...")
	}
	if err := dictate(*out, programs{model: *model}, flag.Args()); err != nil {
		log.Fatal("dictate: ", err)
	}
}

func dictate(out string, p programs, files []string) error {
	all, err := narration.Read(files)
	if err != nil {
		return err
	}
	if err := p.find(); err != nil {
		return err
	}
	if err := os.MkdirAll(out, 0o777); err != nil {
		return err
	}
	for _, n := range all {
		written, err := p.hear(n)
		if err != nil {
			return err
		}
		mark := written.Mark()
		if _, err := narration.Parse(written.Name, mark); err != nil {
			return err
		}
		path := filepath.Join(out, written.Name+".mark")
		if err := os.WriteFile(path, []byte(mark), 0o666); err != nil {
			return err
		}
		log.Print(path)
	}
	return nil
}

// programs are the synthesiser and the recogniser.
type programs struct {
	voice, recogniser string
	voices            []string
	model             string
}

// The files of the recogniser's model: acoustic, of language, of pronunciation.
const (
	modelSounds = "en-us"
	modelWords  = "en-us.lm.bin"
	modelSaid   = "cmudict-en-us.dict"
)

// find finds the programs, their voices and the model.
func (p *programs) find() error {
	var err error
	if p.voice, err = exec.LookPath("flite"); err != nil {
		return fmt.Errorf("the synthesiser is missing, install Debian's package flite: %w", err)
	}
	if p.recogniser, err = exec.LookPath("pocketsphinx_batch"); err != nil {
		return fmt.Errorf("the recogniser is missing, install Debian's package pocketsphinx: %w", err)
	}
	for _, f := range []string{modelSounds, modelWords, modelSaid} {
		if _, err := os.Stat(filepath.Join(p.model, f)); err != nil {
			return fmt.Errorf("the recogniser's model is missing, install Debian's package pocketsphinx-en-us: %w", err)
		}
	}
	list, err := exec.Command(p.voice, "-lv").Output()
	if err != nil {
		return fmt.Errorf("flite does not list its voices: %w", err)
	}
	p.voices = strings.Fields(string(list))
	return nil
}

// hear has a narration read and written.
func (p *programs) hear(n *narration.Narration) (_ *narration.Narration, err error) {
	r, err := byear.Aloud(n)
	if err != nil {
		return nil, err
	}
	if !slices.Contains(p.voices, r.Voice) {
		return nil, fmt.Errorf("%s: flite has no voice %s, only %s", n.Name, r.Voice, strings.Join(p.voices, " "))
	}
	dir, err := os.MkdirTemp("", "dictate")
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, os.RemoveAll(dir)) }()
	for i := range r.Utterances {
		wave := filepath.Join(dir, byear.UtteranceName(i)+".wav")
		if err := p.speak(r, r.Utterances[i].Voice, wave); err != nil {
			return nil, fmt.Errorf("%s: flite on %q: %w", n.Name, r.Utterances[i].Voice, err)
		}
	}
	text, err := p.write(dir, len(r.Utterances))
	if err != nil {
		return nil, fmt.Errorf("%s: pocketsphinx_batch: %w", n.Name, err)
	}
	heard, err := byear.Heard(n.Name, text, len(r.Utterances))
	if err != nil {
		return nil, err
	}
	return r.Write(sound.Default(), heard)
}

// speak has the voice say a text.
func (p *programs) speak(r *byear.Reading, text, wave string) error {
	// flite takes a text that has no blank for the name of a file
	c := exec.Command(p.voice, "-voice", r.Voice, "--setf", "duration_stretch="+r.Stretch, "-t", " "+text, "-o", wave)
	said, err := c.CombinedOutput()
	if err != nil {
		return fmt.Errorf("%w: %s", err, strings.TrimSpace(string(said)))
	}
	if _, err := os.Stat(wave); err != nil {
		return fmt.Errorf("it wrote no sound: %s", strings.TrimSpace(string(said)))
	}
	return nil
}

// write has the recogniser write what was said in the files of a directory.
func (p *programs) write(dir string, utterances int) (string, error) {
	var list strings.Builder
	for i := range utterances {
		list.WriteString(byear.UtteranceName(i) + "\n")
	}
	control, result := filepath.Join(dir, "utterances"), filepath.Join(dir, "written")
	notes := filepath.Join(dir, "notes")
	if err := os.WriteFile(control, []byte(list.String()), 0o666); err != nil {
		return "", err
	}
	c := exec.Command(p.recogniser, "-adcin", "yes", "-adchdr", "44", "-cepdir", dir, "-cepext", ".wav",
		"-ctl", control, "-hyp", result, "-logfn", notes, "-hmm", filepath.Join(p.model, modelSounds),
		"-lm", filepath.Join(p.model, modelWords), "-dict", filepath.Join(p.model, modelSaid))
	if err := c.Run(); err != nil {
		return "", fmt.Errorf("%w: %s", err, lastLine(notes))
	}
	b, err := os.ReadFile(result)
	if errors.Is(err, fs.ErrNotExist) {
		return "", fmt.Errorf("it wrote nothing: %s", lastLine(notes))
	}
	return string(b), err
}

// lastLine is the last line of a file, "" where there is none.
func lastLine(file string) string {
	b, err := os.ReadFile(file)
	if err != nil {
		return ""
	}
	text := strings.TrimSpace(string(b))
	return text[strings.LastIndexByte(text, '\n')+1:]
}
