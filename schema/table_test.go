package schema

import (
	"io/fs"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/google/go-cmp/cmp"
)

func TestReadTable(t *testing.T) {
	fsys := fstest.MapFS{"t.tsv": {Data: []byte("# columns\n\nword\tsame as\tsource\nmike\tuF | µF\tpractice\n# a " +
		"remark\namp\t-\t\n")}}
	table, err := ReadTable(fsys, "t.tsv")
	if err != nil {
		t.Fatal(err)
	}
	if want := []string{"word", "same as", "source"}; !cmp.Equal(table.Columns, want) {
		t.Errorf("columns %q", table.Columns)
	}
	if len(table.Rows) != 2 || table.Rows[0].Line != 4 || table.Rows[1].Line != 6 {
		t.Fatalf("rows %+v, want those of lines 4 and 6", table.Rows)
	}
	mike, amp := table.Rows[0], table.Rows[1]
	if got := mike.Get("source"); got != "practice" {
		t.Errorf("source %q", got)
	}
	if got := mike.List("same as"); !cmp.Equal(got, []string{"uF", "µF"}) {
		t.Errorf("list %q", got)
	}
	if amp.List("same as") != nil || amp.List("source") != nil {
		t.Errorf("lists %q and %q, want none", amp.List("same as"), amp.List("source"))
	}
	defer func() {
		if message, _ := recover().(string); !strings.Contains(message, "t.tsv has no column plural") {
			t.Errorf("panic %q", message)
		}
	}()
	amp.Get("plural")
}

func TestReadTableErrors(t *testing.T) {
	for _, tt := range []struct{ name, data, want string }{
		{"short row", "# c\na\tb\n1\t2\n\n1\n", "x.tsv:5: 1 cells, want 2"},
		{"long row", "a\n1\t2\n", "x.tsv:2: 2 cells, want 1"},
		{"column twice", "# c\na\tb\ta\n", `x.tsv:2: two columns "a"`},
		{"no header", "# only\n# remarks\n", "x.tsv: no header line"},
		{"empty", "", "x.tsv: no header line"},
	} {
		_, err := ReadTable(fstest.MapFS{"x.tsv": {Data: []byte(tt.data)}}, "x.tsv")
		if err == nil || err.Error() != tt.want {
			t.Errorf("%s: error %v, want %s", tt.name, err, tt.want)
		}
	}
	if _, err := ReadTable(fstest.MapFS{}, "none.tsv"); err == nil || !strings.Contains(err.Error(), "none.tsv") {
		t.Errorf("no such table: %v", err)
	}
	defer func() {
		if err, _ := recover().(error); err == nil {
			t.Error("MustReadTable without a file does not panic")
		}
	}()
	MustReadTable(fstest.MapFS{}, "none.tsv")
}

// TestEmbeddedTables reads every table of the package: rows as wide as the
// header, text without the traces of another editor.
func TestEmbeddedTables(t *testing.T) {
	names, err := fs.Glob(tables, "tables/*.tsv")
	if err != nil || len(names) < 3 {
		t.Fatalf("tables %q, %v", names, err)
	}
	for _, name := range names {
		b, err := fs.ReadFile(tables, name)
		if err != nil {
			t.Fatal(err)
		}
		if strings.Contains(string(b), "\r") || !strings.HasPrefix(string(b), "# ") {
			t.Errorf("%s: want line feeds alone, and a comment that says what the columns are", name)
		}
		table, err := ReadTable(tables, name)
		if err != nil {
			t.Error(err)
			continue
		}
		for _, r := range table.Rows {
			for i, c := range r.Cells {
				if c != strings.TrimSpace(c) {
					t.Errorf("%s:%d: blanks around %q in column %s", name, r.Line, c, table.Columns[i])
				}
			}
		}
	}
}

func TestReadNumbers(t *testing.T) {
	for _, c := range []struct{ table, want string }{
		{"name\tn\nnear\t3\nfar\t12\n", ""},
		{"name\tn\nnear\t3\n", "t.tsv: no name far"},
		{"name\tn\nnear\t3\nfar\t0\n", `t.tsv:3: name "far", n "0"`},
		{"name\tn\nnear\t3\nfar\tten\n", `t.tsv:3: name "far", n "ten"`},
		{"name\tn\nnear\t3\nfar\t1.5\n", `t.tsv:3: name "far", n "1.5"`},
		{"name\tn\nnear\t3\nfar\tNaN\n", `t.tsv:3: name "far", n "NaN"`},
		{"name\tn\nnear\t3\nfar\t40000\n", `t.tsv:3: name "far", n "40000"`},
		{"name\tn\nnear\t3\nfar\t12\nelsewhere\t1\n", `t.tsv:4: name "elsewhere" stands twice, or the code has no field of that name`},
		{"name\tn\nnear\t3\nnear\t4\nfar\t1\n", `t.tsv:3: name "near" stands twice, or the code has no field of that name`},
	} {
		table := fstest.MapFS{"t.tsv": {Data: []byte(c.table)}}
		var near, far int
		got := ""
		fields := map[string]*int{"near": &near, "far": &far}
		if err := ReadNumbers(table, "t.tsv", "name", "n", fields); err != nil {
			got = err.Error()
		}
		if got != c.want || c.want == "" && (near != 3 || far != 12) {
			t.Errorf("%q: near %d, far %d, %q; want %q", c.table, near, far, got, c.want)
		}
	}
	table := fstest.MapFS{"t.tsv": {Data: []byte("name\tp\nlikely\t0.97\n")}}
	var likely float64
	err := ReadNumbers(table, "t.tsv", "name", "p", map[string]*float64{"likely": &likely})
	if err != nil || likely != 0.97 {
		t.Errorf("likely %v, %v; want 0.97", likely, err)
	}
}
