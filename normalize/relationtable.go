package normalize

import (
	"fmt"
	"math/bits"
	"slices"
	"strconv"
	"strings"
	"sync"

	"saywatt/extract"
	"saywatt/schema"
)

// relation is a row of relations.tsv.
type relation struct {
	form                  relationForm
	first, second, result schema.Kind
	near, linked, far     float64 // probability that quantities so said are meant so
	links                 extract.Link
	spread                float64
	words                 string
}

type relationForm uint8

const (
	asProduct relationForm = iota
	asSum
	asShare
	asCount
)

var relationForms = [...]string{"product", "sum", "share", "count"}

// relations are the rows of relations.tsv: those of three quantities, and the
// one of a count and two.
type relations struct {
	three []relation
	count relation
	// the relations that three kinds may meet, in the order of the table, and the
	// permutations that bring them into its order: by number, 0 none
	byKinds [schema.KindOther + 1][schema.KindOther + 1][schema.KindOther + 1]uint8
	matches [][]relationMatch
	// the kind of the product of two kinds, in either order
	product [schema.KindOther + 1][schema.KindOther + 1]schema.Kind
	// the kinds that are in some relation with each two kinds
	thirds [schema.KindOther + 1][schema.KindOther + 1]kindSet
}

// relationMatch is a relation that three kinds may meet when permuted.
type relationMatch struct {
	relation *relation
	order    *[3]int
}

// index lists the relations by kinds.
func (r *relations) index() {
	r.matches = make([][]relationMatch, 1)
	for i := range r.three {
		o := &r.three[i]
		if o.form == asProduct {
			r.product[o.first][o.second], r.product[o.second][o.first] = o.result, o.result
		}
		for p := range permutations {
			order := &permutations[p]
			var k [3]schema.Kind
			k[order[0]], k[order[1]], k[order[2]] = o.first, o.second, o.result
			at := &r.byKinds[k[0]][k[1]][k[2]]
			if *at == 0 {
				*at = uint8(len(r.matches))
				r.matches = append(r.matches, nil)
			}
			r.matches[*at] = append(r.matches[*at], relationMatch{o, order})
			r.thirds[k[0]][k[1]] |= 1 << k[2]
		}
	}
}

var loadRelations = sync.OnceValue(func() *relations {
	out := &relations{}
	for _, r := range schema.MustReadTable(tables, "tables/relations.tsv").Rows {
		o, err := readRelation(r)
		if err != nil {
			panic(fmt.Sprintf("relations.tsv:%d: %v", r.Line, err))
		}
		if o.form == asCount {
			out.count = o
		} else {
			out.three = append(out.three, o)
		}
	}
	out.index()
	return out
})

func readRelation(r schema.Row) (o relation, err error) {
	form := slices.Index(relationForms[:], r.Get("form"))
	if form < 0 {
		return o, fmt.Errorf("form %q", r.Get("form"))
	}
	o.form, o.words = relationForm(form), r.Get("words")
	for _, k := range [...]struct {
		column string
		to     *schema.Kind
	}{{"first", &o.first}, {"second", &o.second}, {"result", &o.result}} {
		if name := r.Get(k.column); name != "*" {
			if *k.to, err = schema.ParseKind(name); err != nil {
				return o, err
			}
		}
	}
	for _, f := range [...]struct {
		column string
		to     *float64
	}{{"near", &o.near}, {"linked", &o.linked}, {"far", &o.far}, {"spread", &o.spread}} {
		if *f.to, err = strconv.ParseFloat(r.Get(f.column), 64); err != nil {
			return o, err
		}
	}
	for _, name := range strings.Split(r.Get("links"), ",") {
		l, ok := extract.ParseLink(name)
		if !ok {
			return o, fmt.Errorf("link %q", name)
		}
		o.links |= l
	}
	return o, nil
}

// permutations of three.
var permutations = [6][3]int{{0, 1, 2}, {0, 2, 1}, {1, 0, 2}, {1, 2, 0}, {2, 0, 1}, {2, 1, 0}}

// kindSet is a set of kinds of quantity.
type kindSet uint64

// least is the first kind of a set that is not empty.
func (s kindSet) least() schema.Kind { return schema.Kind(bits.TrailingZeros64(uint64(s))) }
