package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

const source = `form: srt
---
It gives {20 bolts|20 V|L1|unit_misheard} at {3.25 amps|3.25 A|L1}. That is {65 watts|65 W|L1}.
---
L1 mode=output port=USB-C1 protocol=PD
`

// Stand-ins for the programs: a voice that writes the text into the file of sound,
// and a recogniser that reads it from there, and hears "bells" for "volts".
const (
	standInVoice = `#!/bin/sh
[ "$1" = -lv ] && { echo "Voices available: kal slt rms awb kal16"; exit; }
while [ $# -gt 1 ]; do
	case $1 in -t) text=$2;; -o) out=$2;; esac
	shift
done
echo "$text" >"$out"
`
	standInRecogniser = `#!/bin/sh
while [ $# -gt 1 ]; do
	case $1 in -cepdir) dir=$2;; -ctl) list=$2;; -hyp) out=$2;; esac
	shift
done
while read -r u; do
	echo "$(tr -d ',.' <"$dir/$u.wav" | sed 's/volts/bells(2)/') ($u -7)"
done <"$list" >"$out"
`
	brokenRecogniser = `#!/bin/sh
while [ $# -gt 1 ]; do
	case $1 in -logfn) notes=$2;; esac
	shift
done
printf 'INFO: start\nERROR: no such model\n' >"$notes"
exit 1
`
)

// install puts stand-ins where programs are looked for, and nothing else but the
// shell's tools where they are wanted.
func install(t *testing.T, tools bool, programs map[string]string) {
	t.Helper()
	dir := t.TempDir()
	for name, script := range programs {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(script), 0o777); err != nil {
			t.Fatal(err)
		}
	}
	if tools {
		dir += string(filepath.ListSeparator) + os.Getenv("PATH")
	}
	t.Setenv("PATH", dir)
}

func files(t *testing.T) (model, file string) {
	t.Helper()
	dir := t.TempDir()
	for _, f := range []string{modelSounds, modelWords, modelSaid} {
		if err := os.WriteFile(filepath.Join(dir, f), nil, 0o666); err != nil {
			t.Fatal(err)
		}
	}
	file = filepath.Join(dir, "short.mark")
	if err := os.WriteFile(file, []byte(source), 0o666); err != nil {
		t.Fatal(err)
	}
	return dir, file
}

func TestDictate(t *testing.T) {
	model, file := files(t)
	install(t, true, map[string]string{"flite": standInVoice, "pocketsphinx_batch": standInRecogniser})
	out := filepath.Join(t.TempDir(), "new")
	if err := dictate(out, programs{model: model}, []string{file}); err != nil {
		t.Fatal(err)
	}
	got, err := os.ReadFile(filepath.Join(out, "short-spoken.mark"))
	if err != nil {
		t.Fatal(err)
	}
	const words = `form: vtt
manner: read by a synthesiser and written by a weak general recogniser, lower case, no punctuation, numbers as words
speaker: synthetic voice
---
it gives {twenty bells|20 V|L1|sound} at {three point two five amps|3.25 A|L1} that is {sixty five watts|65 W|L1}
---
L1 mode=output port=USB-C1 protocol=PD
`
	if string(got) != words {
		t.Errorf("%s\nwant\n%s", got, words)
	}
}

// What is missing is named, with the package that has it.
func TestMissing(t *testing.T) {
	model, file := files(t)
	for _, c := range []struct {
		programs map[string]string
		model    string
		want     string
	}{
		{nil, model, "the synthesiser is missing, install Debian's package flite: "},
		{map[string]string{"flite": standInVoice}, model, "the recogniser is missing, install Debian's package pocketsphinx: "},
		{map[string]string{"flite": standInVoice, "pocketsphinx_batch": standInRecogniser}, "/none",
			"the recogniser's model is missing, install Debian's package pocketsphinx-en-us: "},
		{map[string]string{"flite": "#!/bin/sh\nexit 1\n", "pocketsphinx_batch": standInRecogniser}, model,
			"flite does not list its voices: "},
		{map[string]string{"flite": "#!/bin/sh\necho 'Voices available: none'\n", "pocketsphinx_batch": standInRecogniser}, model,
			"short: flite has no voice "},
		{map[string]string{"flite": "#!/bin/sh\necho slt rms awb kal16\n", "pocketsphinx_batch": standInRecogniser}, model,
			`short: flite on "it gives twenty volts at three point two five amps.": it wrote no sound: slt`},
	} {
		install(t, false, c.programs)
		err := dictate(t.TempDir(), programs{model: c.model}, []string{file})
		if err == nil || !strings.HasPrefix(err.Error(), c.want) {
			t.Errorf("%v, want %s", err, c.want)
		}
	}
}

func TestBrokenRecogniser(t *testing.T) {
	model, file := files(t)
	install(t, true, map[string]string{"flite": standInVoice, "pocketsphinx_batch": brokenRecogniser})
	err := dictate(t.TempDir(), programs{model: model}, []string{file})
	if err == nil || err.Error() != "short: pocketsphinx_batch: exit status 1: ERROR: no such model" {
		t.Errorf("%v", err)
	}
}
