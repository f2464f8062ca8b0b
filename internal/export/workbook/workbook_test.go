package workbook

import (
	"archive/zip"
	"bytes"
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/xuri/excelize/v2"

	"saywatt/extract/transcript"
	"saywatt/internal/demo"
	"saywatt/internal/export/table"
	"saywatt/internal/export/testdata/full"
	"saywatt/internal/export/word"
	"saywatt/internal/pipeline"
	"saywatt/schema"
)

// printAreas are the cells of each sheet that are printed.
func printAreas(f *excelize.File) map[string]string {
	areas := map[string]string{}
	for _, d := range f.GetDefinedName() {
		if d.Name == printArea {
			areas[d.Scope] = d.RefersTo
		}
	}
	return areas
}

// Of the workbook the first sheet is printed, of any other an empty cell.
func TestWorkbookPrintsItsFirstSheet(t *testing.T) {
	r, _, changes := full.Changes(t)
	var b bytes.Buffer
	if err := (Options{}).Write(&b, []table.Sourced{{Record: r, Changes: changes}}); err != nil {
		t.Fatal(err)
	}
	f, err := excelize.OpenReader(&b)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	areas := printAreas(f)
	for _, name := range f.GetSheetList() {
		_, cells, _ := strings.Cut(areas[name], "!")
		if name == printSheet {
			if !strings.HasPrefix(cells, "$A$1:$F$") {
				t.Errorf("%s: %q is printed", name, cells)
			}
			continue
		}
		cell := strings.ReplaceAll(cells, "$", "")
		col, row, err := excelize.CellNameToCoordinates(cell)
		if err != nil {
			t.Errorf("%s: %q is printed, want one cell: %v", name, cells, err)
			continue
		}
		rows, err := f.GetRows(name)
		if err != nil {
			t.Fatal(err)
		}
		if row != 1 || col <= len(rows[0]) {
			t.Errorf("%s: %s is printed, and the head has %d columns", name, cell, len(rows[0]))
		}
	}
}

// A workbook of one table is printed up to the columns that explain.
func TestTableWorkbook(t *testing.T) {
	r, _, changes := full.Changes(t)
	for _, name := range table.Names {
		var b bytes.Buffer
		two := []table.Sourced{{Record: r, Changes: changes}, {Record: r}}
		if err := (Options{}).WriteTable(&b, two, name); err != nil {
			t.Fatal(err)
		}
		f, err := excelize.OpenReader(&b)
		if err != nil {
			t.Fatal(err)
		}
		if got := f.GetSheetList(); len(got) != 1 || got[0] != name {
			t.Errorf("%s: the sheets are %q", name, got)
		}
		checkPrint(t, f, name)
		rows, err := f.GetRows(name)
		want := 1
		eachRow([]table.Sourced{{Record: r, Changes: changes}, {Record: r}}, name, func([]any) { want++ })
		if err != nil || len(rows) != want {
			t.Errorf("%s: %d rows, want %d, %v", name, len(rows), want, err)
		}
		_, cells, _ := strings.Cut(printAreas(f)[name], "!")
		if !strings.HasPrefix(cells, "$A$1:") || cells == "$A$1:$A$1" {
			t.Errorf("%s: %q is printed", name, cells)
		}
		f.Close()
	}
	if got := columnsOf("levels"); got[0] != "review" {
		t.Errorf("without records: %q", got)
	}
	eachRow(nil, "levels", func(row []any) { t.Errorf("without records there is %v", row) })
}

// The same records make the same bytes, in an order of parts that does not change.
func TestWorkbookBytes(t *testing.T) {
	r, _, changes := full.Changes(t)
	var first []byte
	for range 5 { // the library has parts in any order
		var b bytes.Buffer
		if err := (Options{Link: full.Link}).Write(&b, []table.Sourced{{Record: r, Changes: changes}}); err != nil {
			t.Fatal(err)
		}
		if first == nil {
			first = b.Bytes()
		}
		if !bytes.Equal(first, b.Bytes()) {
			t.Fatal("the bytes are others")
		}
	}
	in, err := zip.NewReader(bytes.NewReader(first), int64(len(first)))
	if err != nil {
		t.Fatal(err)
	}
	if !slices.IsSortedFunc(in.File, func(a, b *zip.File) int { return strings.Compare(a.Name, b.Name) }) {
		t.Error("its parts are in no order")
	}
}

// A large sheet goes through a file in the folder for temporary files, which is
// gone when the workbook is there; all its rows are.
func TestLargeWorkbook(t *testing.T) {
	if testing.Short() {
		t.Skip("it takes seconds")
	}
	r, _ := full.Record(t)
	s := r.Quantities[0]
	s.Heard = strings.TrimSpace(strings.Repeat("said ", 5000)) // each cell of it 25 kB
	large := schema.Record{Source: r.Source, Quantities: slices.Repeat([]schema.Said{s}, 700)}
	folder := t.TempDir()
	seen := 0
	var b bytes.Buffer
	err := (Options{Temporary: folder}).WriteTable(writerFunc(func(p []byte) (int, error) {
		entries, err := os.ReadDir(folder)
		seen = max(seen, len(entries))
		b.Write(p)
		return len(p), err
	}), []table.Sourced{{Record: &large}}, "quantities")
	if err != nil {
		t.Fatal(err)
	}
	if seen != 1 {
		t.Errorf("there were %d files in the folder, want 1", seen)
	}
	if left, err := os.ReadDir(folder); err != nil || len(left) > 0 {
		t.Errorf("left in the folder: %v %v", left, err)
	}
	f, err := excelize.OpenReader(&b)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := f.GetRows("quantities")
	if err != nil || len(rows) != 701 || !slices.Contains(rows[700], s.Heard) {
		t.Errorf("%d rows, %v", len(rows), err)
	}
}

// writerFunc writes by a function.
type writerFunc func(p []byte) (int, error)

func (f writerFunc) Write(p []byte) (int, error) { return f(p) }

// Printed by a spreadsheet program, the demonstration takes four pages at most.
func TestWorkbookPages(t *testing.T) {
	if testing.Short() {
		t.Skip("a spreadsheet program takes seconds")
	}
	office, err := exec.LookPath("soffice")
	if err != nil {
		t.Skip("there is no LibreOffice: how many pages a workbook prints on is not checked")
	}
	info, err := exec.LookPath("pdfinfo")
	if err != nil {
		t.Skip("there is no pdfinfo: how many pages a workbook prints on is not checked")
	}
	dir := t.TempDir()
	out, err := os.Create(filepath.Join(dir, "demo.xlsx"))
	if err != nil {
		t.Fatal(err)
	}
	tr, err := transcript.Parse(demo.Name, []byte(demo.Captions()))
	if err != nil {
		t.Fatal(err)
	}
	r, err := pipeline.Run(tr, pipeline.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if err := (Options{}).Write(out, []table.Sourced{{Record: r}}); err != nil {
		t.Fatal(err)
	}
	if err := out.Close(); err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithTimeout(context.Background(), 2*time.Minute)
	defer cancel()
	convert := exec.CommandContext(ctx, office, "-env:UserInstallation=file://"+filepath.Join(dir, "profile"),
		"--headless", "--convert-to", "pdf", "--outdir", dir, out.Name())
	if b, err := convert.CombinedOutput(); err != nil {
		t.Skipf("LibreOffice does not convert here: %v\n%s", err, b)
	}
	printed, err := exec.CommandContext(ctx, info, filepath.Join(dir, "demo.pdf")).Output()
	if err != nil {
		t.Fatal(err)
	}
	for line := range strings.Lines(string(printed)) {
		if n, ok := strings.CutPrefix(line, "Pages:"); ok {
			if n = strings.TrimSpace(n); len(n) != 1 || n > "4" {
				t.Errorf("it prints on %s pages", n)
			}
			return
		}
	}
	t.Errorf("pdfinfo prints no pages:\n%s", printed)
}

// The sheet to print shows doubt about places as the others do.
func TestWorkbookOfDoubt(t *testing.T) {
	r, _ := full.Record(t)
	var b bytes.Buffer
	if err := (Options{}).Write(&b, []table.Sourced{{Record: r}}); err != nil {
		t.Fatal(err)
	}
	f, err := excelize.OpenReader(&b)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := f.GetRows(printSheet)
	if err != nil {
		t.Fatal(err)
	}
	var text strings.Builder
	for _, row := range rows {
		text.WriteString(strings.ReplaceAll(strings.Join(row, " "), word.NBSP, " ") + "\n")
	}
	for _, want := range []string{"‡ probably belongs elsewhere", "mass about 306 g‡", "\nBelongs to",
		"about 306 g‡ “306 grams”: nothing, or what no field has 76 % · mass of the product 24 % (as above)"} {
		if !strings.Contains(text.String(), want) {
			t.Errorf("it does not say %q:\n%s", want, text.String())
		}
	}
}
