package main

import (
	"embed"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"saywatt/internal/wrap"
	"saywatt/schema"
)

//go:embed tables/*.tsv
var tables embed.FS

// head is what stands above the list.
const head = `The program is linked with the modules below. Each is used under the licence
named beside it; the numbers are those of the texts behind the list.
`

// licences names the licences that a text is or holds.
func licences(text string, kinds *schema.Table) []string {
	text = strings.Join(strings.Fields(text), " ")
	var names []string
	for _, r := range kinds.Rows {
		if !strings.Contains(text, r.Get("phrase")) {
			continue
		}
		if u := r.Get("unless"); u != "-" && strings.Contains(text, u) {
			continue
		}
		names = append(names, r.Get("licence"))
	}
	return names
}

// notices is the whole text for a list of modules.
func notices(modules []module) (string, error) {
	kinds := schema.MustReadTable(tables, "tables/kinds.tsv")
	remarks, err := remarksFor(modules)
	if err != nil {
		return "", err
	}
	var list, behind strings.Builder
	numbers := map[string]int{}
	for _, m := range modules {
		files, err := m.files()
		if err != nil {
			return "", fmt.Errorf("%s: %w", m.path, err)
		}
		remark, remarked := remarks[m.path]
		if remarked && remark.Get("file") != "-" {
			files = append(files, remark.Get("file"))
		}
		var names, refs []string
		for _, f := range files {
			b, err := os.ReadFile(filepath.Join(m.dir, f))
			if err != nil {
				return "", fmt.Errorf("%s: %w", m.path, err)
			}
			text := plain(string(b))
			names = append(names, licences(text, kinds)...)
			n, known := numbers[text]
			if !known {
				n = len(numbers) + 1
				numbers[text] = n
				fmt.Fprintf(&behind, "\n%s\n[%d] %s, %s\n\n%s", strings.Repeat("-", 80), n, m.path, f, text)
			}
			if ref := fmt.Sprint(n); !slices.Contains(refs, ref) {
				refs = append(refs, ref)
			}
		}
		if remarked && remark.Get("under") != "-" {
			names = remark.List("under")
		}
		if len(names) == 0 {
			return "", fmt.Errorf("%s: no licence is known by its text in %s (have: %q); "+
				"tables/kinds.tsv says how they are known, tables/remarks.tsv where else a text lies", m.path, m.dir,
				files)
		}
		slices.Sort(names)
		fmt.Fprintf(&list, "\n%s\n    %s [%s]\n", strings.TrimSpace(m.path+" "+m.version),
			strings.Join(slices.Compact(names), ", "), strings.Join(refs, ", "))
		if remarked {
			list.WriteString(indented(remark.Get("remark")))
		}
	}
	return head + list.String() + behind.String(), nil
}

// remarksFor returns the remark of each module that has one. A remark on a
// module that is not linked is an error.
func remarksFor(modules []module) (map[string]schema.Row, error) {
	t := schema.MustReadTable(tables, "tables/remarks.tsv")
	remarks := map[string]schema.Row{}
	for _, r := range t.Rows {
		path := r.Get("module")
		if !slices.ContainsFunc(modules, func(m module) bool { return m.path == path }) {
			return nil, fmt.Errorf("%s:%d: %s is not linked", t.Name, r.Line, path)
		}
		remarks[path] = r
	}
	return remarks, nil
}

// plain is a text with one kind of line end, no blanks behind lines, no byte
// that a terminal would obey, and one line end behind it.
func plain(text string) string {
	text = strings.TrimPrefix(strings.ReplaceAll(text, "\r", ""), "\ufeff")
	lines := strings.Split(strings.Trim(text, "\n\f "), "\n")
	for i, l := range lines {
		lines[i] = strings.TrimRight(strings.ReplaceAll(l, "\f", ""), " \t")
	}
	return strings.Join(lines, "\n") + "\n"
}

// indented breaks a remark into lines of up to 80 columns below its module.
func indented(text string) string {
	const columns, indent = 80, "    "
	lines := wrap.Lines(text, columns-len(indent), func(line string) int { return len(line) })
	return indent + strings.Join(lines, "\n"+indent) + "\n"
}
