package extract

import ("testing"; "os"; "strings"; "fmt")

func TestRows(t *testing.T) {
	for _, f := range []string{"/tmp/rows.txt","/tmp/neg.txt"} {
	b, _ := os.ReadFile(f)
	for _, l := range strings.Split(strings.TrimSpace(string(b)), "\n") {
		l, c, _ := strings.Cut(l, "\t")
		d := find(t, l)
		q := func(s string) string { return "`"+s+"`" }
		fmt.Printf("ROW\t{%s,\n\t\t%s,\n\t\t%s}, // %s\n", q(l), q(contexts(d)), q(parts(d)), c)
	}
	fmt.Println("ROW")
	}
}
