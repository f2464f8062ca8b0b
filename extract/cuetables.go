package extract

import (
	"fmt"
	"slices"
	"sort"
	"strconv"
	"strings"

	"saywatt/internal/knowledge"
	"saywatt/schema"
)

// loadCues reads the tables of places into the lexicon.
func (x *Lexicon) loadCues() error {
	c := &x.cue
	byPhrase := make(map[string]int32, 1<<13)
	add := func(form string, e effect) {
		if strings.TrimSpace(form) != form || strings.Contains(form, "  ") {
			form = strings.Join(strings.Fields(form), " ")
		}
		i, ok := byPhrase[form]
		if !ok {
			i = int32(len(c.cues))
			byPhrase[form] = i
			c.cues = append(c.cues, nil)
			c.phrases.add(x, form, i)
		}
		c.cues[i] = append(c.cues[i], e)
	}
	for _, load := range []func(func(string, effect)) error{x.loadProperties, x.loadKinds, x.loadNames, x.loadPhrases} {
		if err := load(add); err != nil {
			return err
		}
	}
	c.inherit(byPhrase)
	for _, list := range c.cues { // the section first, then what is spoken of in it
		slices.SortStableFunc(list, func(a, b effect) int { return int(a.kind) - int(b.kind) })
	}
	c.listEvents()
	c.phrases.sort()
	if err := x.loadLetters(); err != nil {
		return err
	}
	return x.loadGuards()
}

// inherit gives a longer phrase the property and direction that a phrase
// inside it names, where it has none of its own: "rated capacity" names a
// capacity as "capacity" does.
func (c *cueTable) inherit(byPhrase map[string]int32) {
	forms := make([]string, 0, len(byPhrase))
	for f := range byPhrase {
		forms = append(forms, f)
	}
	sort.Strings(forms)
	has := func(list []effect, k effectKind) bool {
		return slices.ContainsFunc(list, func(e effect) bool { return e.kind == k })
	}
	type gift struct {
		to int32
		e  effect
	}
	var gifts []gift
	var begins, ends []int // of the words of a phrase
	for _, f := range forms {
		to := byPhrase[f]
		if has(c.cues[to], effectPart) || has(c.cues[to], effectPackage) || has(c.cues[to], effectProtocol) ||
			has(c.cues[to], effectProductMode) {
			continue
		}
		begins, ends = begins[:0], ends[:0]
		for at := 0; at < len(f); at += 1 + ends[len(ends)-1] - begins[len(begins)-1] {
			begins, ends = append(begins, at), append(ends, wordEnd(f, at))
		}
		for _, k := range []effectKind{effectBefore, effectMode} {
			if has(c.cues[to], k) || k == effectBefore && has(c.cues[to], effectAfter) {
				continue
			}
		search:
			for n := len(begins) - 1; n > 0; n-- {
				for a := 0; a+n <= len(begins); a++ {
					from, ok := byPhrase[f[begins[a]:ends[a+n-1]]]
					if !ok || has(c.cues[from], effectPart) {
						continue
					}
					for _, e := range c.cues[from] {
						if e.kind == k {
							gifts = append(gifts, gift{to, e})
							break search
						}
					}
				}
			}
		}
	}
	for _, g := range gifts {
		c.cues[g.to] = append(c.cues[g.to], g.e)
	}
}

// wordEnd is where the word at i ends.
func wordEnd(s string, i int) int {
	if n := strings.IndexByte(s[i:], ' '); n >= 0 {
		return i + n
	}
	return len(s)
}

// loadProperties reads the properties, the phrases that name them, what sections
// take where none is named, and the voltages of mains.
func (x *Lexicon) loadProperties(add func(string, effect)) error {
	if err := x.loadPropertyRows(); err != nil {
		return err
	}
	if err := x.loadPropertyWords(add); err != nil {
		return err
	}
	if err := x.loadSectionDefaults(); err != nil {
		return err
	}
	for _, r := range knowledge.MainsVoltages().Rows {
		v, err := strconv.ParseFloat(r.Get("voltage"), 64)
		if err != nil {
			return fmt.Errorf("mains_voltages.tsv:%d: %w", r.Line, err)
		}
		if slices.Contains(r.List("uses"), "test") {
			x.cue.mains = append(x.cue.mains, v)
		}
	}
	return nil
}

func (x *Lexicon) loadPropertyRows() error {
	t, err := schema.ReadTable(tables, "tables/properties.tsv")
	if err != nil {
		return err
	}
	for _, r := range t.Rows {
		p := property{name: r.Get("property"), test: r.Get("within") == "test"}
		for _, name := range r.List("kinds") {
			k, err := schema.ParseKind(name)
			if err != nil {
				return fmt.Errorf("properties.tsv:%d: %w", r.Line, err)
			}
			p.kinds |= 1 << k
		}
		flags := map[string]*bool{"general": &p.general, "bare": &p.bare, "measured": &p.measured, "apart": &p.apart,
			"battery": &p.battery}
		for _, f := range r.List("flags") {
			if flags[f] == nil {
				return fmt.Errorf("properties.tsv:%d: flag %q", r.Line, f)
			}
			*flags[f] = true
		}
		x.cue.properties = append(x.cue.properties, p)
	}
	return nil
}

func (x *Lexicon) loadPropertyWords(add func(string, effect)) error {
	t, err := schema.ReadTable(tables, "tables/propertywords.tsv")
	if err != nil {
		return err
	}
	for _, r := range t.Rows {
		p := x.cue.propertyID(r.Get("property"))
		if p < 0 {
			return fmt.Errorf("propertywords.tsv:%d: property %q", r.Line, r.Get("property"))
		}
		where := r.Get("where")
		if where == "before" || where == "both" {
			add(r.Get("phrase"), effect{kind: effectBefore, n: p})
		}
		if where == "after" || where == "both" {
			add(r.Get("phrase"), effect{kind: effectAfter, n: p})
		}
	}
	return nil
}

func (x *Lexicon) loadSectionDefaults() error {
	c := &x.cue
	for s := range c.defaults {
		c.bare[s] = -1
		for k := range c.defaults[s] {
			c.defaults[s][k] = -1
		}
	}
	t, err := schema.ReadTable(tables, "tables/sectiondefaults.tsv")
	if err != nil {
		return err
	}
	for _, r := range t.Rows {
		s, err := parseSection(r.Get("section"))
		p := c.propertyID(r.Get("property"))
		if err != nil || p < 0 {
			return fmt.Errorf("sectiondefaults.tsv:%d: section or property", r.Line)
		}
		if r.Get("kind") == "bare" {
			c.bare[s] = p
			continue
		}
		k, err := schema.ParseKind(r.Get("kind"))
		if err != nil {
			return fmt.Errorf("sectiondefaults.tsv:%d: %w", r.Line, err)
		}
		c.defaults[s][k] = p
	}
	return nil
}

func (x *Lexicon) loadKinds(add func(string, effect)) error {
	c := &x.cue
	c.kindIndex = map[string]int32{}
	t, err := schema.ReadTable(tables, "tables/kindratings.tsv")
	if err != nil {
		return err
	}
	for _, r := range t.Rows {
		k := partKind{name: r.Get("kind"), bare: r.Get("bare") == "yes", chip: r.Get("chip") == "yes"}
		if b := r.Get("board"); b != "-" {
			k.board = b
		}
		for _, pair := range r.List("ratings") {
			name, prop, _ := strings.Cut(pair, "=")
			kind, err := schema.ParseKind(name)
			if err != nil || prop == "" {
				return fmt.Errorf("kindratings.tsv:%d: rating %q", r.Line, pair)
			}
			k.ratings[kind] = prop
		}
		c.kindIndex[k.name] = int32(len(c.kinds))
		c.kinds = append(c.kinds, k)
	}
	err = schema.EachRow("kinds.tsv", kindsTable, func(r schema.Row) error {
		k := c.kindID(r.Get("kind"))
		if k < 0 { // nothing is known of its ratings: they may be those of any part
			of := c.kinds[c.kindID(AnyPart)]
			of.name, k = r.Get("kind"), int32(len(c.kinds))
			c.kindIndex[of.name] = k
			c.kinds = append(c.kinds, of)
		}
		m, err := parseManner(r)
		if err != nil {
			return fmt.Errorf("kinds.tsv:%d: %w", r.Line, err)
		}
		c.parts = append(c.parts, partForm{kind: k, strong: r.Get("strength") == "strong",
			does: r.Get("strength") == "does", manner: m})
		add(r.Get("form"), effect{kind: effectPart, n: int32(len(c.parts) - 1)})
		return nil
	})
	if err != nil {
		return err
	}
	if err := x.loadOwnPorts(); err != nil {
		return err
	}
	if err := x.loadChanges(); err != nil {
		return err
	}
	if err := x.loadEither(); err != nil {
		return err
	}
	if err := x.loadKindValues(); err != nil {
		return err
	}
	return x.loadCompanions()
}

// PartKinds lists the kinds of part that are known, in lower case, and the last
// words of one where they alone name it: thermistor.
func PartKinds() []string {
	var all []string
	for _, r := range schema.MustReadTable(tables, "tables/kinds.tsv").Rows {
		kind, form := strings.ToLower(r.Get("kind")), r.Get("form")
		all = append(all, kind)
		if r.Get("strength") == "strong" && r.Get("manner") == "said" && strings.HasSuffix(kind, " "+form) {
			all = append(all, form)
		}
	}
	slices.Sort(all)
	return slices.Compact(all)
}

func (x *Lexicon) loadCompanions() error {
	c := &x.cue
	t, err := schema.ReadTable(tables, "tables/companions.tsv")
	if err != nil {
		return err
	}
	for _, r := range t.Rows {
		p := companion{c.kindID(r.Get("after")), c.kindID(r.Get("general")), c.kindID(r.Get("kind")), r.Get("words")}
		if p.after < 0 || p.general < 0 || p.kind < 0 {
			return fmt.Errorf("companions.tsv:%d: a kind is not known", r.Line)
		}
		c.companions = append(c.companions, p)
	}
	t, err = schema.ReadTable(tables, "tables/shapes.tsv")
	if err != nil {
		return err
	}
	for _, r := range t.Rows {
		sh := partShape{kind: c.kindID(r.Get("kind"))}
		if sh.alone, err = strconv.ParseFloat(r.Get("alone"), 64); sh.kind < 0 || err != nil {
			return fmt.Errorf("shapes.tsv:%d: a kind or number is not known", r.Line)
		}
		for _, name := range r.List("kinds") {
			k, err := schema.ParseKind(name)
			if err != nil {
				return fmt.Errorf("shapes.tsv:%d: %w", r.Line, err)
			}
			sh.kinds |= 1 << k
		}
		c.shapes = append(c.shapes, sh)
	}
	return nil
}

func (x *Lexicon) loadNames(add func(string, effect)) error {
	c := &x.cue
	c.numbered = map[string][5]string{}
	t, err := schema.ReadTable(tables, "tables/ports.tsv")
	if err != nil {
		return err
	}
	for _, r := range t.Rows {
		m, err := parseManner(r)
		if err != nil {
			return fmt.Errorf("ports.tsv:%d: %w", r.Line, err)
		}
		number := r.Get("number")
		f := portForm{port: r.Get("port"), number: number != "no", only: number == "only", manner: m}
		if number[0] >= '0' && number[0] <= '9' {
			f.number, f.digits = false, strings.Split(number, ",")
		}
		c.ports = append(c.ports, f)
		add(r.Get("form"), effect{kind: effectPort, n: int32(len(c.ports) - 1)})
		names := []string{strings.TrimRight(f.port, "<?*")}
		if f.digits != nil {
			names = names[:0]
			for _, d := range f.digits {
				names = append(names, f.port+d)
			}
		}
		for _, name := range names {
			if !slices.Contains(c.portNames, name) {
				c.portNames = append(c.portNames, name)
			}
		}
		if p := f.port; f.number {
			c.numbered[p] = [5]string{p, p + "1", p + "2", p + "3", p + "4"}
		}
	}
	t, err = schema.ReadTable(tables, "tables/protocolwords.tsv")
	if err != nil {
		return err
	}
	for _, r := range t.Rows {
		m, err := parseManner(r)
		if err != nil {
			return fmt.Errorf("protocolwords.tsv:%d: %w", r.Line, err)
		}
		c.protocols = append(c.protocols,
			protocolForm{r.Get("protocol"), r.Get("version") != "no", r.Get("version") == "only", m})
		add(r.Get("form"), effect{kind: effectProtocol, n: int32(len(c.protocols) - 1)})
	}
	t, err = schema.ReadTable(tables, "tables/packagewords.tsv")
	if err != nil {
		return err
	}
	for _, r := range t.Rows {
		m, err := parseManner(r)
		if err != nil {
			return fmt.Errorf("packagewords.tsv:%d: %w", r.Line, err)
		}
		shape := slices.Index(packageShapeNames[:], r.Get("shape"))
		if shape < 0 {
			return fmt.Errorf("packagewords.tsv:%d: shape %q", r.Line, r.Get("shape"))
		}
		f := packageForm{family: r.Get("family"), shape: packageShape(shape), values: r.List("values"), manner: m}
		if r.Get("joint") == "-" {
			f.joint = "-"
		}
		c.packages = append(c.packages, f)
		add(r.Get("form"), effect{kind: effectPackage, n: int32(len(c.packages) - 1)})
	}
	return nil
}

func (x *Lexicon) loadPhrases(add func(string, effect)) error {
	t, err := schema.ReadTable(tables, "tables/cues.tsv")
	if err != nil {
		return err
	}
	for _, r := range t.Rows {
		k := slices.Index(effectNames[:], r.Get("effect"))
		if k <= 0 {
			return fmt.Errorf("cues.tsv:%d: effect %q", r.Line, r.Get("effect"))
		}
		e := effect{kind: effectKind(k), value: r.Get("value")}
		switch e.kind {
		case effectSection, effectEnter:
			s, err := parseSection(e.value)
			if err != nil {
				return fmt.Errorf("cues.tsv:%d: %w", r.Line, err)
			}
			e.n = int32(s)
		case effectCount:
			n, err := strconv.Atoi(e.value)
			if err != nil {
				return fmt.Errorf("cues.tsv:%d: %w", r.Line, err)
			}
			e.n = int32(n)
		case effectSubject:
			if e.n = x.cue.kindID(e.value); e.n < 0 {
				return fmt.Errorf("cues.tsv:%d: subject %q", r.Line, e.value)
			}
		}
		add(r.Get("phrase"), e)
	}
	return nil
}

func (x *Lexicon) loadLetters() error {
	c := &x.cue
	t, err := schema.ReadTable(tables, "tables/letters.tsv")
	if err != nil {
		return err
	}
	type letterRow struct {
		word   int32
		letter byte
		manner letterManner
	}
	var rows []letterRow
	for _, r := range t.Rows {
		m := letterName
		if r.Get("manner") == "word" {
			m = letterWord
		}
		rows = append(rows, letterRow{x.id(r.Get("word")), r.Get("letter")[0], m})
	}
	t, err = schema.ReadTable(tables, "tables/stopwords.tsv")
	if err != nil {
		return err
	}
	var stops []int32
	for _, r := range t.Rows {
		stops = append(stops, x.id(r.Get("word")))
	}
	t, err = schema.ReadTable(tables, "tables/counted.tsv")
	if err != nil {
		return err
	}
	var counted []int32
	for _, r := range t.Rows {
		counted = append(counted, x.id(r.Get("word")))
	}
	for _, r := range knowledge.CellFormats().Rows {
		f, err := strconv.ParseInt(r.Get("format"), 10, 64)
		if err != nil {
			return fmt.Errorf("cell_formats.tsv:%d: %w", r.Line, err)
		}
		c.formats = append(c.formats, f)
	}
	t, err = schema.ReadTable(tables, "tables/chipsizes.tsv")
	if err != nil {
		return err
	}
	for _, r := range t.Rows {
		c.chipSizes = append(c.chipSizes, r.Get("code"))
	}
	t, err = schema.ReadTable(tables, "tables/calendar.tsv")
	if err != nil {
		return err
	}
	c.calendar = map[string]bool{}
	for _, r := range t.Rows {
		c.calendar[r.Get("word")] = true
	}
	c.is, c.and, c.with, c.plus = x.id("is"), x.id("and"), x.id("with"), x.id("plus")
	c.the, c.at, c.on, c.in, c.of = x.id("the"), x.id("at"), x.id("on"), x.id("in"), x.id("of")
	c.s, c.p, c.between, c.both, c.several, c.port, c.size = x.id("s"), x.id("p"), x.id("between"), x.id("both"),
		x.id("ports"), x.id("port"), x.id("size")
	c.channel = x.id("channel")
	c.letter = make([]byte, len(x.entries))
	c.letterManner = make([]letterManner, len(x.entries))
	c.stop = make([]bool, len(x.entries))
	for _, r := range rows {
		c.letter[r.word], c.letterManner[r.word] = r.letter, r.manner
	}
	for _, w := range stops {
		c.stop[w] = true
	}
	c.counted = make([]bool, len(x.entries))
	for _, w := range counted {
		c.counted[w] = true
	}
	return nil
}

func parseManner(r schema.Row) (Manner, error) {
	m := slices.Index(mannerNames, r.Get("manner"))
	if m <= 0 {
		return 0, fmt.Errorf("manner %q", r.Get("manner"))
	}
	return Manner(m), nil
}

func parseSection(name string) (Section, error) {
	s := slices.Index(sectionNames[:], name)
	if s <= 0 {
		return 0, fmt.Errorf("section %q", name)
	}
	return Section(s), nil
}
