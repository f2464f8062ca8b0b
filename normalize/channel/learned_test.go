package channel

import (
	"bytes"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// counted makes a count of a review: n lost points of so many.
func counted(l *Learned, hash, file string, n, of int) {
	var c Counts
	for i := range of {
		c.Add(PointLost, i < n)
	}
	l.Put(hash, file, c)
}

// Costs follow a person's counts, beside which those of the table are worth
// learned_worth, and what is made of a distortion follows its cost.
func TestWith(t *testing.T) {
	table := Default()
	if table.With(nil) != table || table.With(&Learned{}) != table {
		t.Error("without counts of one's own the costs are others than the table's")
	}
	l := &Learned{}
	counted(l, "ab", "a.txt", 2, 3)
	var swapped Counts
	swapped.Add(UnitSwapped, true)
	l.Put("cd", "b.txt", swapped)
	with := table.With(l)
	want := -math.Log((table.n[PointLost]*20/table.of[PointLost] + 2 + 0.5) / (20 + 3 + 1))
	if got := float64(with.Of(PointLost)); math.Abs(got-want) > 1e-6 {
		t.Errorf("cost of a lost point %v, want %v", got, want)
	}
	if table != Default() || with.Of(PointWordLost) != table.Of(PointWordLost) {
		t.Error("what was not counted has changed")
	}
	moved := with.Of(UnitSwapped) - table.Of(UnitSwapped)
	for i, c := range with.Confusions("V") {
		shift := float32(0)
		if c.By == UnitSwapped {
			shift = moved
		}
		if was := table.Confusions("V")[i]; c.Unit != was.Unit || math.Abs(float64(c.Cost-was.Cost-shift)) > 1e-6 {
			t.Errorf("V for %s costs %v, before %v, want %v more", c.Unit, c.Cost, was.Cost, shift)
		}
	}
	if moved >= 0 {
		t.Errorf("a confusion that was counted costs %v more", moved)
	}
}

// The same file counts once, however often it is counted; files are forgotten by name
// or hash.
func TestLearnedReviews(t *testing.T) {
	l := &Learned{}
	counted(l, "cd", "b.txt", 1, 1)
	counted(l, "ab", "a.txt", 2, 3)
	counted(l, "ab", "a.txt", 1, 2)
	if got, want := l.Reviews(), []string{"a.txt", "b.txt"}; !slices.Equal(got, want) {
		t.Errorf("counted were %v, want %v", got, want)
	}
	rates := l.Rates()
	if len(rates) != 1 || rates[0].N != 2 || rates[0].Of != 3 || rates[0].Words != Default().Words(PointLost) ||
		!(rates[0].Learned > rates[0].Table) {
		t.Errorf("rates %+v, want 2 lost points of 3", rates)
	}
	if l.Forget("cd") != 1 || l.Forget("a.txt") != 1 || l.Forget("a.txt") != 0 || len(l.Reviews()) != 0 {
		t.Errorf("left: %v", l.Reviews())
	}
}

func TestLearnedRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := &Learned{}
		for range rapid.IntRange(0, 4).Draw(t, "files") {
			var counts Counts
			for d := range counts.n {
				counts.of[d] = rapid.IntRange(0, 50).Draw(t, "of")
				counts.n[d] = rapid.IntRange(0, counts.of[d]).Draw(t, "n")
			}
			counts.of[Intact]++ // a review without a count leaves no line
			hash := rapid.StringMatching("[0-9a-f]{4}").Draw(t, "hash")
			l.Put(hash, rapid.StringMatching("[a-z]{1,5}").Draw(t, "file"), counts)
		}
		var b bytes.Buffer
		if err := l.Write(&b); err != nil {
			t.Fatal(err)
		}
		text := b.String()
		got, err := ReadLearned(&b, "counts.tsv")
		if err != nil {
			t.Fatal(err)
		}
		var again bytes.Buffer
		if err := got.Write(&again); err != nil || again.String() != text {
			t.Fatalf("read and written again: %v\n%s\nwant\n%s", err, again.String(), text)
		}
	})
}

func TestReadLearnedErrors(t *testing.T) {
	for _, test := range []struct{ text, want string }{
		{"", ""},
		{learnedHead + "\n", ""},
		{"x\n", "c:1: " + ErrLearnedHead.Error()},
		{learnedHead + "\nab\tf\tpoint_lost\t1\n", "c:2: " + ErrLearnedFields.Error()},
		{learnedHead + "\nab\tf\tmumbled\t1\t2\n", "c:2: " + ErrLearnedName.Error()},
		{learnedHead + "\nab\tf\tpoint_lost\t3\t2\n", "c:2: " + ErrLearnedCounts.Error()},
		{learnedHead + "\nab\tf\tpoint_lost\t-1\t2\n", "c:2: " + ErrLearnedCounts.Error()},
		{learnedHead + "\nab\tf\tpoint_lost\t1\t2\nab\tf\tpoint_lost\t1\t2\n", "c:3: " + ErrLearnedTwice.Error()},
		{learnedHead + "\n" + strings.Repeat("x", 1<<17), "c:2: " + ErrLearnedLong.Error()},
	} {
		got := ""
		if _, err := ReadLearned(strings.NewReader(test.text), "c"); err != nil {
			got = err.Error()
		}
		if got != test.want {
			t.Errorf("%.40q: %q, want %q", test.text, got, test.want)
		}
	}
}

func FuzzReadLearned(f *testing.F) {
	f.Add(learnedHead + "\nab\tf\tpoint_lost\t1\t2\n")
	f.Fuzz(func(t *testing.T, text string) {
		l, err := ReadLearned(strings.NewReader(text), "c")
		if err != nil {
			return
		}
		Default().With(l)
		var b bytes.Buffer
		if err := l.Write(&b); err != nil {
			t.Fatal(err)
		}
		if _, err := ReadLearned(&b, "c"); err != nil {
			t.Fatalf("what was written cannot be read: %v", err)
		}
	})
}
