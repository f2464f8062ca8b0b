package schema

// What a person can put right by hand: names of the product, by their path in the
// record, and names in Record.Terms, by their kind.
const (
	NameOfProduct = "product.name"
	NameOfMaker   = "product.maker"
	NameOfKind    = "product.kind"
	NameOfModel   = "product.model"
	productPrefix = "product."
)

// Nameables lists what names a person can put right: those of the product first.
func Nameables() []string {
	return []string{NameOfProduct, NameOfMaker, NameOfKind, NameOfModel, TermMaker.String(), TermPart.String(),
		TermPackage.String(), TermProtocol.String(), TermPort.String()}
}

// SettledName is a name of the product that a person put right.
type SettledName struct {
	Field string   `json:"field" doc:"name, maker, kind or model of the product"`
	Heard string   `json:"heard,omitempty" doc:"what it would be without the person; absent where nothing was heard"`
	Meant string   `json:"meant,omitempty" doc:"what the person said; absent where it has none"`
	At    *Seconds `json:"at,omitempty" doc:"start of the cue in which it was first heard, in seconds"`
	Span  *Span    `json:"span,omitempty" doc:"[start, end) byte offsets of the words heard in the source file"`
}

// SettledOf is what a person said of a field of the product, nil where nobody did.
func (p *Product) SettledOf(field string) *SettledName {
	for i := range p.Settled {
		if p.Settled[i].Field == field {
			return &p.Settled[i]
		}
	}
	return nil
}

// Called lists what a field of the product is called: as it stands, and as it was
// heard where a person put it right.
func (p *Product) Called(field string) []string {
	var all []string
	if f := p.field(field); f != nil && *f != "" {
		all = append(all, *f)
	}
	if s := p.SettledOf(field); s != nil && s.Heard != "" {
		all = append(all, s.Heard)
	}
	return all
}

// Settle puts a field of the product right and keeps what was heard. It reports
// whether the product has such a field.
func (p *Product) Settle(s SettledName) bool {
	f := p.field(s.Field)
	if f == nil {
		return false
	}
	if old := p.SettledOf(s.Field); old != nil {
		old.Meant = s.Meant
	} else {
		p.Settled = append(p.Settled, s)
	}
	*f = s.Meant
	return true
}

// Unsettle takes back what a person said of a field: it is as it was heard.
func (p *Product) Unsettle(field string) {
	for i := range p.Settled {
		if s := p.Settled[i]; s.Field == field {
			*p.field(field) = s.Heard
			p.Settled = append(p.Settled[:i:i], p.Settled[i+1:]...)
			return
		}
	}
}

// field is the field of a name, nil where there is none.
func (p *Product) field(name string) *string {
	switch productPrefix + name {
	case NameOfProduct:
		return &p.Name
	case NameOfMaker:
		return &p.Maker
	case NameOfKind:
		return &p.Kind
	case NameOfModel:
		return &p.Model
	}
	return nil
}

// ProductField is the field of the product that a name is of, false for one of
// Record.Terms.
func ProductField(of string) (string, bool) {
	if len(of) > len(productPrefix) && of[:len(productPrefix)] == productPrefix {
		return of[len(productPrefix):], true
	}
	return "", false
}

// NameOfField is what a name is of that is a field of the product.
func NameOfField(field string) string { return productPrefix + field }

// Field is the value of a field of the product by its name, "" where it has none.
func (p *Product) Field(name string) string {
	if f := p.field(name); f != nil {
		return *f
	}
	return ""
}
