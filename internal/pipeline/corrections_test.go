package pipeline

import (
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"saywatt/extract"
	"saywatt/extract/transcript"
	"saywatt/internal/edit"
	"saywatt/internal/narration"
	"saywatt/schema"

	"github.com/google/go-cmp/cmp"
)

const correctionScoresHead = `# How often corrected captions are right: go test ./internal/pipeline -run TestCorrectionScores -update
# writes this file, and the same test fails where a change moves a number, so that the diff shows it. Truth:
# README.md beside it.
#
# all      every repair written into the captions, whatever it does to the words; so it was before corrections
#          had to account for the words and to have evidence
# made     the corrections that are made
# right    with the value said, and nothing else lost
# wrong    with another value than the one said, or where no quantity was said
# lost     with the value said, but a number that stood beside it is gone
# left     repairs that are left to a person
`

// sharedHead begins the part of the file that needs the shared captions.
const sharedHead = "# With the other captions of the same sets, which are kept outside of the repository."

// attempt is a correction that was made, or that could have been.
type attempt struct {
	narration   string
	groups      []string // of tables/evidence.tsv; none where words would be lost, whatever the evidence
	confidence  float64
	made        bool
	right, lost bool
}

// TestCorrectionScores counts how often the corrections of the committed and
// the shared captions are right, compares with the committed table, and holds
// the rows of the table of evidence to what was counted.
func TestCorrectionScores(t *testing.T) {
	const file = "../../testdata/correction-scores.txt"
	var b strings.Builder
	b.WriteString(correctionScoresHead)
	groups := evidenceGroups(t)
	seen := map[string]bool{}
	var all []attempt
	for _, set := range scoredSets {
		all = append(all, scoreCorrections(t, &b, set.name, goldFiles(t, set), groups, seen)...)
	}
	all = append(all, scoreCorrections(t, &b, "tuning", marked(t), groups, seen)...)
	writeCorrections(&b, "all", all)
	if s := tallied(all, func(a *attempt) bool { return a.made }); 100*s.right < 99*s.n {
		t.Errorf("%d of %d corrections are right", s.right, s.n)
	}
	want, err := os.ReadFile(file)
	if err != nil && !*update {
		t.Fatal(err)
	}
	shared := os.Getenv("SAYWATT_BENCHMARKS")
	if shared == "" {
		if *update {
			t.Fatal("SAYWATT_BENCHMARKS is not set: the shared captions beside them are not there")
		}
		own, _, _ := strings.Cut(string(want), "\n"+sharedHead)
		want = []byte(own)
	} else {
		b.WriteString("\n" + sharedHead + "\n\n")
		all = append(all, scoreShared(t, &b, filepath.Join(shared, "..", "captions"), groups, seen)...)
		writeCorrections(&b, "all, with those above", all)
		b.WriteString(evidenceTable(t, all, groups))
	}
	if *update {
		if err := os.WriteFile(file, []byte(b.String()), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if diff := cmp.Diff(strings.Split(string(want), "\n"), strings.Split(b.String(), "\n")); diff != "" {
		t.Errorf("the scores moved (-committed +now); read them, then -update:\n%s", diff)
	}
}

// sharedSets are the folders of the shared captions.
var sharedSets = []string{"field", "stress", "recognised/clean", "recognised/clean-digits", "recognised/hard",
	"recognised/hard-digits"}

// marked renders the marked narrations and lists their truth files; those with
// the name of another set before their own are in that set as they were shown.
func marked(t *testing.T) []string {
	t.Helper()
	names, err := filepath.Glob("../../testdata/tuning/*.mark")
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	var golds []string
	for _, name := range names {
		base := strings.TrimSuffix(filepath.Base(name), ".mark")
		set, _, _ := strings.Cut(base, "-")
		if slices.Contains([]string{"demo", "field", "ind", "rec", "stress"}, set) {
			continue
		}
		source, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		n, err := narration.Parse(base, string(source))
		if err != nil {
			t.Fatal(err)
		}
		file := base + narration.Ending(n.Form())
		gold, err := n.Gold(file, n.Form())
		if err != nil {
			t.Fatal(err)
		}
		golds = append(golds, filepath.Join(dir, base+".gold.json"))
		for path, b := range map[string][]byte{filepath.Join(dir, file): n.Captions(n.Form()),
			golds[len(golds)-1]: gold} {
			if err := os.WriteFile(path, b, 0o644); err != nil {
				t.Fatal(err)
			}
		}
	}
	if len(golds) < 20 {
		t.Fatalf("%d marked narrations", len(golds))
	}
	return golds
}

func scoreShared(t *testing.T, b *strings.Builder, dir string, groups map[string]string,
	seen map[string]bool) []attempt {
	t.Helper()
	var all []attempt
	for _, set := range sharedSets {
		names, err := filepath.Glob(filepath.Join(dir, set, "*.gold.json"))
		if err != nil || len(names) < 2 {
			t.Fatal(dir, set, names, err)
		}
		all = append(all, scoreCorrections(t, b, set, names, groups, seen)...)
	}
	return all
}

// evidenceGroups is the group of each kind of correction.
func evidenceGroups(t *testing.T) map[string]string {
	t.Helper()
	groups := map[string]string{}
	for _, r := range schema.MustReadTable(os.DirFS("../edit"), "tables/evidence.tsv").Rows {
		groups[r.Get("kind")] = r.Get("group")
	}
	return groups
}

// scoreCorrections judges the corrections of files that were not seen before.
func scoreCorrections(t *testing.T, b *strings.Builder, set string, golds []string, groups map[string]string,
	seen map[string]bool) []attempt {
	t.Helper()
	var all []attempt
	for _, gold := range golds {
		truth, raw, err := readTruth(gold)
		if err != nil {
			t.Fatal(err)
		}
		tr, err := transcript.Parse(truth.File, raw)
		if err != nil {
			t.Fatal(err)
		}
		if seen[tr.Hash] {
			continue
		}
		seen[tr.Hash] = true
		for _, a := range attempts(t, truth, tr) {
			a.narration = strings.TrimSuffix(filepath.Base(gold), ".gold.json")
			for i, k := range a.groups {
				a.groups[i] = groups[k]
			}
			all = append(all, a)
		}
	}
	writeCorrections(b, set, all)
	return all
}

// attempts lists the repairs of a file, those made and those left, and judges
// them. With -v it lists those that are not right.
func attempts(t *testing.T, truth *truth, tr *transcript.Transcript) []attempt {
	t.Helper()
	rec, err := Run(tr, Options{})
	if err != nil {
		t.Fatal(err)
	}
	changes, left, err := edit.ForRecord(rec, tr, edit.Style{})
	if err != nil {
		t.Fatal(err)
	}
	truth.place(tr.Source)
	read := make([]*schema.Said, len(rec.Quantities))
	for i := range rec.Quantities {
		read[i] = &rec.Quantities[i]
	}
	said := make([]*spoken, len(read))
	for j, i := range align(read, truth.Quantities) {
		if i >= 0 {
			said[i] = truth.Quantities[j]
		}
	}
	var all []attempt
	try := func(c *edit.Change, made bool, groups []string) {
		a := attempt{groups: slices.Clone(groups), confidence: c.Confidence, made: made}
		a.right, a.lost = judge(truth, rec, said, c)
		if !a.right || a.lost {
			t.Logf("%s, made %v, right %v, lost %v: %q to %q, %v %.3f", truth.File, made, a.right, a.lost,
				c.Before, c.After, groups, c.Confidence)
		}
		all = append(all, a)
	}
	for i := range changes {
		if c := &changes[i]; c.Said > 0 {
			try(c, true, c.Kinds)
		}
	}
	for i := range left {
		l := &left[i]
		if l.Err == edit.ErrOpen || l.Unmade() {
			continue
		}
		kinds := l.Kinds
		if l.Err == edit.ErrRun {
			kinds = nil
		}
		c := edit.Change{Said: l.Said, Span: l.Span, Before: l.Before, After: l.After, Confidence: l.Confidence}
		try(&c, false, kinds)
	}
	return all
}

// judge says whether a correction writes the values said, and whether it loses
// another number. said is the quantity of the truth for each of the record.
func judge(truth *truth, rec *schema.Record, said []*spoken, c *edit.Change) (right, lost bool) {
	own := map[*spoken]bool{}
	right = true
	span := rec.Quantities[c.Said-1].Span
	beside := strings.Fields(c.Before)
	drop := func(words string) {
		for _, w := range strings.Fields(words) {
			if i := slices.Index(beside, w); i >= 0 {
				beside = slices.Delete(beside, i, i+1)
			}
		}
	}
	for i := range rec.Quantities {
		q := &rec.Quantities[i]
		if q.Span != span {
			continue
		}
		if said[i] == nil || !readEnds(&q.Quantity).same(said[i].ends()) {
			right = false
			continue
		}
		own[said[i]] = true
		drop(said[i].Heard)
	}
	for _, q := range truth.Quantities {
		if !q.span.Empty() && q.span.Start >= span.Start && q.span.End <= span.End && !own[q] {
			lost = true
		}
	}
	drop(c.After)
	for _, w := range beside {
		for _, tok := range extract.Words().Scan(nil, []byte(w)) {
			lost = lost || extract.Words().Counts(tok)
		}
	}
	return right, right && lost
}

// counted are how many of some attempts there are, and how they ended.
type counted struct{ n, right, wrong, lost int }

func tallied(all []attempt, which func(*attempt) bool) (c counted) {
	for i := range all {
		a := &all[i]
		switch {
		case !which(a):
			continue
		case a.lost:
			c.lost++
		case a.right:
			c.right++
		default:
			c.wrong++
		}
		c.n++
	}
	return c
}

func writeCorrections(b *strings.Builder, name string, all []attempt) {
	if !strings.Contains(b.String(), "  right  wrong") {
		fmt.Fprintf(b, "\n%-28s %5s %6s %6s %5s   %5s %6s %6s %5s %7s %5s\n", "",
			"all", "right", "wrong", "lost", "made", "right", "wrong", "lost", "% right", "left")
	}
	was := tallied(all, func(*attempt) bool { return true })
	now := tallied(all, func(a *attempt) bool { return a.made })
	fmt.Fprintf(b, "%-28s %5d %6d %6d %5d   %5d %6d %6d %5d %7s %5d\n", name, was.n, was.right, was.wrong, was.lost,
		now.n, now.right, now.wrong, now.lost, percent(now.right, now.n), was.n-now.n)
}

// never is a least probability that nothing reaches.
const never = 2

// leasts finds, for each group, the least probability from which on corrections
// are made; the rule stands in tables/evidence.tsv.
func leasts(all []attempt, groups []string) map[string]float64 {
	out := map[string]float64{}
	for _, g := range groups {
		out[g] = never
		for p := 950; p <= 990; p += 5 {
			least := float64(p) / 1000
			c := tallied(all, func(a *attempt) bool { return slices.Contains(a.groups, g) && a.confidence >= least })
			if c.n > 0 && float64(c.wrong+c.lost)+0.5 <= 0.01*float64(c.n+1) {
				out[g] = least
				break
			}
		}
	}
	return out
}

// reaches reports whether an attempt has the evidence.
func (a *attempt) reaches(least map[string]float64) bool {
	for _, g := range a.groups {
		if a.confidence < least[g] {
			return false
		}
	}
	return len(a.groups) > 0
}

// evidenceTable counts by group, and holds the table of evidence to it.
func evidenceTable(t *testing.T, all []attempt, groups map[string]string) string {
	t.Helper()
	var b strings.Builder
	names := slices.Sorted(maps.Values(groups))
	names = slices.Compact(names)
	least := leasts(all, names)
	for _, r := range schema.MustReadTable(os.DirFS("../edit"), "tables/evidence.tsv").Rows {
		want := "never"
		if p := least[r.Get("group")]; p < never {
			want = fmt.Sprint(p)
		}
		if r.Get("least") != want {
			t.Errorf("evidence.tsv:%d: least %s, counted %s", r.Line, r.Get("least"), want)
		}
	}
	b.WriteString("\n# By group of internal/edit/tables/evidence.tsv; a correction of number and unit counts for " +
		"both.\n" +
		"# Under .95, .955 …: corrections of at least that probability, and how many of them are not right.\n\n")
	fmt.Fprintf(&b, "%-12s %7s", "", "least")
	for _, p := range []string{".95", ".955", ".96", ".965", ".97", ".975", ".98", ".985", ".99"} {
		fmt.Fprintf(&b, " %8s", p)
	}
	b.WriteString("\n")
	for _, g := range names {
		from := "never"
		if least[g] < never {
			from = fmt.Sprint(least[g])
		}
		fmt.Fprintf(&b, "%-12s %7s", g, from)
		for p := 950; p <= 990; p += 5 {
			least := float64(p) / 1000
			c := tallied(all, func(a *attempt) bool { return slices.Contains(a.groups, g) && a.confidence >= least })
			fmt.Fprintf(&b, " %8s", fmt.Sprintf("%d, %d", c.n, c.wrong+c.lost))
		}
		b.WriteString("\n")
	}
	lost := tallied(all, func(a *attempt) bool { return len(a.groups) == 0 })
	fmt.Fprintf(&b, "%-12s %7s %8s\n", "words lost", "never", fmt.Sprintf("%d, %d", lost.n, lost.wrong+lost.lost))

	var crossed counted
	var narrations []string
	for i := range all {
		narrations = append(narrations, all[i].narration)
	}
	slices.Sort(narrations)
	narrations = slices.Compact(narrations)
	for _, n := range narrations {
		others := slices.DeleteFunc(slices.Clone(all), func(a attempt) bool { return a.narration == n })
		from := leasts(others, names)
		c := tallied(all, func(a *attempt) bool { return a.narration == n && a.reaches(from) })
		crossed.n += c.n
		crossed.right += c.right
	}
	b.WriteString("\n# With the least probabilities of each narration counted over the other narrations only:\n\n")
	fmt.Fprintf(&b, "%d narrations, %d made, %d right, %s %%\n", len(narrations), crossed.n, crossed.right,
		percent(crossed.right, crossed.n))
	if 100*crossed.right < 99*crossed.n {
		t.Errorf("over narrations not counted: %d of %d corrections are right", crossed.right, crossed.n)
	}
	return b.String()
}
