package workbook

import (
	"archive/zip"
	"bytes"
	"encoding/csv"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/xuri/excelize/v2"
	"pgregory.net/rapid"

	"saywatt/internal/edit"
	"saywatt/internal/export/account"
	"saywatt/internal/export/table"
	"saywatt/internal/export/testdata/full"
	"saywatt/internal/export/word"
	"saywatt/schema"
)

// The workbook, opened again, holds every cell of the tables, numbers as
// numbers and no formula; its header rows are frozen.
func TestWorkbookReopened(t *testing.T) {
	r, _, changes := full.Changes(t)
	var b bytes.Buffer
	two := []table.Sourced{{Record: r, Changes: changes}, {Record: r}}
	if err := (Options{Link: full.Link}).Write(&b, two); err != nil {
		t.Fatal(err)
	}
	f, err := excelize.OpenReader(bytes.NewReader(b.Bytes()))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if d := cmp.Diff(append([]string{"sheet", "about"}, table.Names...), f.GetSheetList()); d != "" {
		t.Errorf("sheets (-want +got):\n%s", d)
	}
	for i, name := range table.Names {
		want := table.All(r, changes)[i]
		want.Rows = append(want.Rows, table.All(r, nil)[i].Rows...)
		rows, err := f.GetRows(name, excelize.Options{RawCellValue: true})
		if err != nil {
			t.Fatal(err)
		}
		if len(rows) != 1+len(want.Rows) {
			t.Errorf("%s: %d rows, want %d", name, len(rows), 1+len(want.Rows))
			continue
		}
		if d := cmp.Diff(append([]string{"review", "file"}, want.Columns...), rows[0]); d != "" {
			t.Errorf("%s: header (-want +got):\n%s", name, d)
		}
		for k, row := range want.Rows {
			for c, v := range row {
				got := ""
				if c+2 < len(rows[k+1]) {
					got = rows[k+1][c+2]
				}
				checkCell(t, f, name, c+3, k+2, got, v)
			}
		}
		checkPrint(t, f, name)
		panes, err := f.GetPanes(name)
		if err != nil || !panes.Freeze || panes.YSplit != 1 {
			t.Errorf("%s: the header is not frozen: %+v, %v", name, panes, err)
		}
	}
	about, err := f.GetRows("about")
	if err != nil {
		t.Fatal(err)
	}
	text := fmt.Sprint(about)
	for _, want := range []string{"Ostrale Quay Duo", "needs your ear “8 watts” at 1:01:20", "take care",
		account.NotACertification} {
		if !strings.Contains(text, want) {
			t.Errorf("about does not say %q:\n%s", want, text)
		}
	}
	// What is shown has the decimals that were said.
	if shown, err := f.GetCellValue("levels", "H4"); err != nil || shown != "3" {
		t.Errorf("levels!H4 shows %q, %v", shown, err)
	}
}

// checkCell: a cell of a workbook holds a value as it is written, typed, linked where it
// is a time, and never a formula.
func checkCell(t *testing.T, f *excelize.File, name string, col, row int, got string, v any) {
	t.Helper()
	at, _ := excelize.CoordinatesToCellName(col, row)
	kind, err := f.GetCellType(name, at)
	if err != nil {
		t.Fatal(err)
	}
	if linked, to, err := f.GetCellHyperLink(name, at); err != nil ||
		linked != (cellIsTime(v) && strings.HasPrefix(to, "https://video.example/")) {
		t.Errorf("%s!%s: %v leads to %q, %v", name, at, v, to, err)
	}
	switch v := v.(type) {
	case schema.Decimal, schema.Seconds, float64, int:
		if kind != excelize.CellTypeUnset && kind != excelize.CellTypeNumber || got == "" {
			t.Errorf("%s!%s: %v is of type %d: %q", name, at, v, kind, got)
			return
		}
		g, err := strconv.ParseFloat(got, 64)
		w, _ := strconv.ParseFloat(table.CellText(v), 64)
		if err != nil || g != w {
			t.Errorf("%s!%s: %q, want %v", name, at, got, w)
		}
	default:
		if want := table.CellText(v); got != want {
			t.Errorf("%s!%s: %q, want %q", name, at, got, want)
		}
	}
	if formula, err := f.GetCellFormula(name, at); err != nil || formula != "" {
		t.Errorf("%s!%s: a formula %q, %v", name, at, formula, err)
	}
}

func cellIsTime(v any) bool { _, ok := v.(schema.Seconds); return ok }

// checkPrint holds a sheet against how sheets are printed: landscape on A4, as
// wide as the page, the head on each.
func checkPrint(t *testing.T, f *excelize.File, name string) {
	t.Helper()
	l, err := f.GetPageLayout(name)
	if err != nil || *l.Orientation != "landscape" || *l.Size != 9 || *l.FitToWidth != 1 || *l.FitToHeight != 0 {
		t.Errorf("%s: page %+v, %v", name, l, err)
	}
	if p, err := f.GetSheetProps(name); err != nil || p.FitToPage == nil || !*p.FitToPage {
		t.Errorf("%s: not to the width of the page: %+v, %v", name, p, err)
	}
	if !slices.ContainsFunc(f.GetDefinedName(),
		func(d excelize.DefinedName) bool { return d.Scope == name && d.Name == "_xlnm.Print_Titles" }) {
		t.Errorf("%s: no head on every page", name)
	}
}

// The sheet to print says what the specification sheet says, and is the one
// shown; the file names no author, program or date.
func TestWorkbookToPrint(t *testing.T) {
	r, _, changes := full.Changes(t)
	var b bytes.Buffer
	if err := (Options{Link: full.Link}).Write(&b, []table.Sourced{{Record: r, Changes: changes}}); err != nil {
		t.Fatal(err)
	}
	f, err := excelize.OpenReader(bytes.NewReader(b.Bytes()))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	checkPrint(t, f, printSheet)
	rows, err := f.GetRows(printSheet)
	if err != nil {
		t.Fatal(err)
	}
	text := strings.ReplaceAll(fmt.Sprint(rows), word.NBSP, " ")
	for _, want := range []string{"Ostrale Quay Duo", "Body", "Levels", "Battery", "Cable", "Parts", "Measured",
		"Needs your ear", "Findings", "Take care", "15 V", account.NotACertification} {
		if !strings.Contains(text, want) {
			t.Errorf("it does not say %q", want)
		}
	}
	if f.GetSheetName(f.GetActiveSheetIndex()) != printSheet {
		t.Error("another sheet is shown")
	}
	z, err := zip.NewReader(bytes.NewReader(b.Bytes()), int64(b.Len()))
	if err != nil {
		t.Fatal(err)
	}
	for _, part := range z.File {
		if !strings.HasPrefix(part.Name, "docProps/") {
			continue
		}
		in, err := part.Open()
		if err != nil {
			t.Fatal(err)
		}
		props, _ := io.ReadAll(in)
		for _, never := range []string{"xuri", "xcelize", "2006-09", "creator", "created"} {
			if strings.Contains(string(props), never) {
				t.Errorf("%s has %q: %s", part.Name, never, props)
			}
		}
	}
}

func TestWorkbookIsDeterministic(t *testing.T) {
	r, _, changes := full.Changes(t)
	var first []byte
	for range 5 {
		var b bytes.Buffer
		if err := (Options{Link: full.Link}).Write(&b, []table.Sourced{{Record: r, Changes: changes}}); err != nil {
			t.Fatal(err)
		}
		if first == nil {
			first = b.Bytes()
		} else if !bytes.Equal(first, b.Bytes()) {
			t.Fatal("the same record gave other bytes")
		}
	}
}

// A record of nothing makes a workbook and tables too.
func TestEmptyRecord(t *testing.T) {
	r := &schema.Record{Source: schema.Source{File: "-"}}
	var b bytes.Buffer
	if err := (Options{Link: full.Link}).Write(&b, []table.Sourced{{Record: r}}); err != nil {
		t.Fatal(err)
	}
	if _, err := excelize.OpenReader(&b); err != nil {
		t.Fatal(err)
	}
	for _, tab := range table.All(r, nil) {
		if len(tab.Rows) != 0 {
			t.Errorf("%s has rows", tab.Name)
		}
	}
}

// Whatever captions hold, no cell of any table is a formula, in CSV or in a
// workbook, and CSV reads back.
func TestNoFormulas(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		hostile := rapid.StringMatching(`[=+@＝＋－＠'\t -][ -~\n\x00-\x1fΩ]{0,12}`)
		r := &schema.Record{
			Product: schema.Product{Name: hostile.Draw(t, "name")},
			Levels: []schema.Level{{Mode: hostile.Draw(t, "mode"), Port: hostile.Draw(t, "port"),
				Voltage: schema.Value{Quantity: schema.MustQuantity("-5 V")}}},
			Components: []schema.Component{{Board: hostile.Draw(t, "board"), Kind: hostile.Draw(t, "kind"),
				Maker: hostile.Draw(t, "maker")}},
			Battery: &schema.Battery{Cell: schema.Cell{Maker: hostile.Draw(t, "cell")}},
			Measurements: []schema.Measurement{{Property: hostile.Draw(t, "property"),
				Subject: hostile.Draw(t, "subject")}},
			Quantities: []schema.Said{{Number: 1, Heard: hostile.Draw(t, "heard"), Context: hostile.Draw(t, "context"),
				Status: schema.StatusOpen, Why: []string{hostile.Draw(t, "why")}}},
			Findings: []schema.Finding{{Rule: "r", Severity: schema.SeverityNote, Message: hostile.Draw(t, "message")}},
		}
		changes := []edit.Change{{Before: hostile.Draw(t, "before"), After: hostile.Draw(t, "after"),
			Why: hostile.Draw(t, "why")}}
		formula := func(s string) bool {
			for _, p := range []string{"=", "+", "@", "＝", "＋", "－", "＠"} {
				if strings.HasPrefix(s, p) {
					return true
				}
			}
			return strings.HasPrefix(s, "-") && s != "-5" && s != "-"
		}
		for _, tab := range table.All(r, changes) {
			var b bytes.Buffer
			if err := tab.WriteCSV(&b, true); err != nil {
				t.Fatal(err)
			}
			rows, err := csv.NewReader(&b).ReadAll()
			if err != nil {
				t.Fatal(tab.Name, err)
			}
			for _, row := range rows {
				for _, c := range row {
					if formula(c) {
						t.Fatalf("%s: %q", tab.Name, c)
					}
				}
			}
		}
		var b bytes.Buffer
		if err := (Options{Link: full.Link}).Write(&b, []table.Sourced{{Record: r, Changes: changes}}); err != nil {
			t.Fatal(err)
		}
		f, err := excelize.OpenReader(&b)
		if err != nil {
			t.Fatal(err)
		}
		defer f.Close()
		for _, sheet := range f.GetSheetList() {
			rows, err := f.GetRows(sheet)
			if err != nil {
				t.Fatal(err)
			}
			for i, row := range rows {
				for k, c := range row {
					at, _ := excelize.CoordinatesToCellName(k+1, i+1)
					if got, _ := f.GetCellFormula(sheet, at); got != "" || formula(c) {
						t.Fatalf("%s!%s: %q, formula %q", sheet, at, c, got)
					}
				}
			}
		}
	})
}

func BenchmarkWorkbook(b *testing.B) {
	r, _ := full.Record(b)
	b.ReportAllocs()
	for b.Loop() {
		if err := (Options{}).Write(io.Discard, []table.Sourced{{Record: r}}); err != nil {
			b.Fatal(err)
		}
	}
}
