package place

import (
	"embed"
	"fmt"
	"slices"
	"strings"
	"sync"

	"saywatt/schema"
)

//go:embed tables/classes.tsv
var tables embed.FS

// Class is a kind of place, a row of tables/classes.tsv. The zero class is
// [None].
type Class uint8

// None is the class of a number that belongs nowhere.
const None Class = 0

// ClassInfo is a row of the table of classes.
type ClassInfo struct {
	Name     string
	Section  string // section of a review that it is said in, as Context.Section names it
	Mode     string // operating mode, "" none
	Subject  string // "cell", "pack", "rated", "cable", "part", "" none
	Property string // property that a mention of the class has where no nearer word names one, "" by its kind
	Aside    schema.Aside
	kinds    uint64 // physical kinds that it is possible for, a bit each
}

type classTable struct {
	rows    []ClassInfo
	byName  map[string]Class
	allowed [schema.KindOther + 1][]Class // by kind, in the order of the table
}

var loadClasses = sync.OnceValue(func() *classTable {
	t := &classTable{byName: map[string]Class{}}
	for _, r := range schema.MustReadTable(tables, "tables/classes.tsv").Rows {
		empty := func(col string) string {
			if v := r.Get(col); v != "-" {
				return v
			}
			return ""
		}
		c := ClassInfo{Name: r.Get("class"), Section: empty("section"), Mode: empty("mode"), Subject: empty("subject"),
			Property: empty("property")}
		var err error
		if c.Aside, err = schema.ParseAside(empty("aside")); err != nil {
			panic(fmt.Sprintf("classes.tsv:%d: %v", r.Line, err))
		}
		for _, name := range strings.Split(r.Get("kinds"), "|") {
			if name == "*" {
				c.kinds = ^uint64(0)
				break
			}
			k, err := schema.ParseKind(name)
			if err != nil {
				panic(fmt.Sprintf("classes.tsv:%d: %v", r.Line, err))
			}
			c.kinds |= 1 << k
		}
		c.kinds |= 1 << schema.KindUnknown
		t.byName[c.Name] = Class(len(t.rows))
		t.rows = append(t.rows, c)
	}
	if len(t.rows) > mostClasses {
		panic("classes.tsv: more classes than a row of numbers has room for")
	}
	for k := range t.allowed {
		for i := range t.rows {
			if t.rows[i].kinds&(1<<k) != 0 {
				t.allowed[k] = append(t.allowed[k], Class(i))
			}
		}
	}
	return t
})

// Info returns the row of the class.
func (c Class) Info() *ClassInfo { return &loadClasses().rows[c] }

func (c Class) String() string { return c.Info().Name }

// Classes returns how many classes there are.
func Classes() int { return len(loadClasses().rows) }

// ParseClass returns the class of a name, false where there is none.
func ParseClass(name string) (Class, bool) {
	c, ok := loadClasses().byName[name]
	return c, ok
}

// Allowed returns the classes that a mention of the kind can have, None first.
// The slice is shared.
func Allowed(k schema.Kind) []Class { return loadClasses().allowed[k] }

// Fits reports whether the class is possible for the kind.
func (c Class) Fits(k schema.Kind) bool { return slices.Contains(Allowed(k), c) }

// Names reports whether some class stands for the property.
func Names(property string) bool {
	return slices.ContainsFunc(loadClasses().rows, func(c ClassInfo) bool { return c.Property == property })
}
