package schema

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"reflect"
	"strings"
)

// RecordVersion names the form of a Record. It changes when a field changes
// its meaning or goes away.
const RecordVersion = "saywatt/record/1"

// Record is everything one narrated review says of one product: what was
// said, in order (Quantities), and the same facts in their places. Places
// point back to what was said by number, so nothing is in a place without
// evidence, and nothing said is lost.
//
// The struct tags are the specification: the published JSON Schema is made
// from them (see JSONSchema), and `doc` is the meaning shown in it.
type Record struct {
	Version      string        `json:"version" doc:"form of this document: saywatt/record/1"`
	Source       Source        `json:"source" doc:"the file that was read"`
	Product      Product       `json:"product" doc:"what was reviewed"`
	Body         Body          `json:"body" doc:"size, mass, materials"`
	Claims       []Claim       `json:"claims,omitempty" doc:"headline claims, such as the power of a port or of all together"`
	Ports        []Port        `json:"ports,omitempty" doc:"the ports named"`
	Levels       []Level       `json:"levels,omitempty" doc:"operating levels: mode, port, protocol, voltage, current, power"`
	Battery      *Battery      `json:"battery,omitempty" doc:"cells and pack, where the product has them"`
	Cable        *Cable        `json:"cable,omitempty" doc:"a cable under review or in the box"`
	Components   []Component   `json:"components,omitempty" doc:"parts found in the teardown"`
	Measurements []Measurement `json:"measurements,omitempty" doc:"readings of instruments"`
	Notes        []Note        `json:"notes,omitempty" doc:"other things said that matter"`
	Terms        []SaidTerm    `json:"terms,omitempty" doc:"every port, protocol, kind of part, part number, package, maker and feature named, in order"`
	NamesToCheck []NameToCheck `json:"names_to_check,omitempty" doc:"names that stand as heard and that captions may have misspelled"`
	Quantities   []Said        `json:"quantities" doc:"every physical quantity said, in order"`
	Unplaced     []int         `json:"unplaced,omitempty" doc:"numbers of the quantities that found no place"`
	Withdrawn    []int         `json:"withdrawn,omitempty" doc:"numbers of the quantities that the speaker took back"`
	Findings     []Finding     `json:"findings,omitempty" doc:"what the rules say"`
	Counts       Counts        `json:"counts" doc:"how many were said, and how they stand"`
	Cautions     []string      `json:"cautions" doc:"safety cautions that go with every record"`
}

// Source is the file that a record was made from.
type Source struct {
	File     string   `json:"file" doc:"name as given"`
	SHA256   string   `json:"sha256" doc:"hash of the file's bytes, hex"`
	Date     string   `json:"date,omitempty" doc:"day of the review, YYYY-MM-DD, where a person gave it"`
	Format   string   `json:"format" doc:"vtt, srt, ttml, sbv, ass, json, table, stamped, speaker, docx or notes"`
	Duration *Seconds `json:"duration,omitempty" doc:"end of the last cue in seconds; absent where untimed"`
	Problems []string `json:"problems,omitempty" doc:"what could not be read, or was read leniently"`
	Review   string   `json:"review,omitempty" doc:"name given to the review; absent where none was"`
	Title    string   `json:"title,omitempty" doc:"title given to the review; absent where none was"`
	Parts    []Part   `json:"parts,omitempty" doc:"the files of a review joined of several, in order; spans and times are those of the whole"`
}

// Part is one file of a review that was joined of several.
type Part struct {
	File   string  `json:"file" doc:"name as given"`
	SHA256 string  `json:"sha256" doc:"hash of the file's bytes, hex"`
	From   int     `json:"from" doc:"bytes of the parts before it: what to take from a span for that of this file"`
	Start  Seconds `json:"start" doc:"seconds of the parts before it: what to take from a time for that of this file"`
}

// Product is the thing reviewed.
type Product struct {
	Kind  string   `json:"kind,omitempty" doc:"charger, power bank, cable, power station, wireless charger, …"`
	Name  string   `json:"name,omitempty" doc:"name as said, or as a person put it right"`
	Maker string   `json:"maker,omitempty" doc:"maker as said, or as a person put it right"`
	Model string   `json:"model,omitempty" doc:"model designation as said, or as a person put it right"`
	Marks []string `json:"marks,omitempty" doc:"certification marks named"`

	Settled []SettledName `json:"settled,omitempty" doc:"which of these a person put right, with what was heard"`
}

// Value is a quantity standing in a place of the record.
type Value struct {
	Quantity   Quantity  `json:"quantity" doc:"exact value or range with UCUM unit"`
	Basis      Basis     `json:"basis" doc:"claimed, label, measured or derived"`
	Status     Status    `json:"status" doc:"heard, repaired, open or settled"`
	Confidence float64   `json:"confidence" doc:"probability that this is what was said, 0 to 1"`
	Qualifier  Qualifier `json:"qualifier,omitempty" doc:"hedge or comparator: about, at_most, typical, …"`
	Said       []int     `json:"said" doc:"numbers of the quantities it rests on, the chosen one first"`
}

// Body is the outside of the product.
type Body struct {
	Dimensions []Value  `json:"dimensions,omitempty" doc:"length, width, height in the order said"`
	Mass       *Value   `json:"mass,omitempty" doc:"mass of the product"`
	Volume     *Value   `json:"volume,omitempty" doc:"volume as said"`
	Density    *Value   `json:"density,omitempty" doc:"power density as said"`
	Display    *Value   `json:"display,omitempty" doc:"diagonal of the display"`
	Other      []Rating `json:"other,omitempty" doc:"other sizes: thickness of a shell, angle of a stand"`
	Materials  []string `json:"materials,omitempty" doc:"materials named"`
}

// Claim is a headline property.
type Claim struct {
	Property string `json:"property" doc:"what is claimed: power, surge_power, efficiency, cycles, …"`
	Mode     string `json:"mode,omitempty" doc:"operating mode it holds in"`
	Port     string `json:"port,omitempty" doc:"port or joined ports: USB-C1+USB-A"`
	Protocol string `json:"protocol,omitempty" doc:"protocol it holds for"`
	Value    Value  `json:"value" doc:"the quantity"`
}

// Port is a socket or a wireless pad.
type Port struct {
	Name      string   `json:"name" doc:"USB-C1, USB-A, Qi, AC, …"`
	Protocols []string `json:"protocols,omitempty" doc:"protocols named for this port"`
}

// The mains in a level or claim: its protocol is MainsProtocol. An outlet is
// the port MainsPort besides; an inlet is no port of its own.
const (
	MainsProtocol = "AC"
	MainsPort     = "AC"
)

// Level is one operating level.
type Level struct {
	ID       string `json:"id,omitempty" doc:"names the level within the records of one file: level- and the byte where its voltage was first said; it stays when values are decided"`
	Mode     string `json:"mode,omitempty" doc:"input, output, output-shared, or the product's own mode before a slash: mains/output"`
	Port     string `json:"port,omitempty" doc:"USB-C1, USB-A, …, AC for a mains outlet; joined ports with +; absent where not given, and for the mains inlet"`
	Protocol string `json:"protocol,omitempty" doc:"PD, PPS, AVS, UFCS, …; AC for the mains"`
	Voltage  Value  `json:"voltage" doc:"fixed voltage, or the range of a programmable level"`
	Current  *Value `json:"current,omitempty" doc:"current"`
	Power    *Value `json:"power,omitempty" doc:"power given for this level"`
}

// Product is voltage times current in watts, from the least of both to the most
// of both where one is a range; false where the level lacks one of them.
func (l *Level) Product() (Quantity, bool) {
	if l.Current == nil || l.Voltage.Quantity.IsZero() || l.Current.Quantity.IsZero() {
		return Quantity{}, false
	}
	var ends [2]Decimal
	v, a := &l.Voltage.Quantity, &l.Current.Quantity
	for i, of := range [2][2]Decimal{{v.Low, a.Low}, {v.High, a.High}} {
		volts, err := v.Unit.Convert(of[0], "V")
		if err != nil {
			return Quantity{}, false
		}
		amps, err := a.Unit.Convert(of[1], "A")
		if err != nil {
			return Quantity{}, false
		}
		ends[i] = volts.Mul(amps).Trim()
	}
	return Quantity{Low: ends[0], High: ends[1], Range: v.Range || a.Range, Unit: "W"}, true
}

// Battery is what is inside a power bank or station.
type Battery struct {
	Cell  Cell    `json:"cell" doc:"one cell"`
	Pack  Pack    `json:"pack" doc:"all cells together"`
	Rated Pack    `json:"rated" doc:"rated output, at the output's voltage; never mixed with the cell side"`
	Other []Value `json:"other,omitempty" doc:"other values said of the battery"`
}

// Cell is one cell.
type Cell struct {
	Maker       string `json:"maker,omitempty" doc:"maker as said"`
	Part        string `json:"part,omitempty" doc:"designation as said"`
	Format      string `json:"format,omitempty" doc:"18650, 21700, pouch, … (IEC 61960-3 designation styles)"`
	Chemistry   string `json:"chemistry,omitempty" doc:"lithium ion, lithium iron phosphate, …"`
	Count       int    `json:"count,omitempty" doc:"number of cells"`
	Series      int    `json:"series,omitempty" doc:"cells in series"`
	Parallel    int    `json:"parallel,omitempty" doc:"cells in parallel"`
	Capacity    *Value `json:"capacity,omitempty" doc:"charge of one cell"`
	Voltage     *Value `json:"voltage,omitempty" doc:"nominal voltage of one cell"`
	ChargeLimit *Value `json:"charge_limit,omitempty" doc:"limited charging voltage of one cell"`
	Cutoff      *Value `json:"cutoff,omitempty" doc:"end of discharge voltage of one cell"`
	Energy      *Value `json:"energy,omitempty" doc:"energy of one cell"`
	Mass        *Value `json:"mass,omitempty" doc:"mass of one cell"`
	Resistance  *Value `json:"resistance,omitempty" doc:"internal resistance of one cell"`
	Cycles      *Value `json:"cycles,omitempty" doc:"cycle life"`
}

// Pack is the cells together, or the rated output of the whole.
type Pack struct {
	Capacity *Value `json:"capacity,omitempty" doc:"charge"`
	Voltage  *Value `json:"voltage,omitempty" doc:"voltage the charge refers to"`
	Current  *Value `json:"current,omitempty" doc:"current it is rated at"`
	Full     *Value `json:"full,omitempty" doc:"voltage when full"`
	Cutoff   *Value `json:"cutoff,omitempty" doc:"voltage at which the protection opens"`
	Energy   *Value `json:"energy,omitempty" doc:"energy"`
	Mass     *Value `json:"mass,omitempty" doc:"mass of the cells together"`
}

// Cable is a cable.
type Cable struct {
	Length     *Value `json:"length,omitempty" doc:"length"`
	Diameter   *Value `json:"diameter,omitempty" doc:"outer diameter"`
	Mass       *Value `json:"mass,omitempty" doc:"mass"`
	Voltage    *Value `json:"voltage,omitempty" doc:"rated voltage"`
	Current    *Value `json:"current,omitempty" doc:"rated current"`
	Power      *Value `json:"power,omitempty" doc:"rated power"`
	DataRate   *Value `json:"data_rate,omitempty" doc:"data rate"`
	Resistance *Value `json:"resistance,omitempty" doc:"loop resistance"`
	EMarker    string `json:"emarker,omitempty" doc:"yes or no, where given"`
	Gauge      []int  `json:"gauge,omitempty" doc:"AWG numbers of its conductors, an index and not a quantity"`
}

// Rating is a named property of a part.
type Rating struct {
	Property string `json:"property" doc:"what is rated: capacitance, voltage, current, on_resistance, …"`
	Value    Value  `json:"value" doc:"the quantity"`
}

// Component is a part or a set of equal parts.
type Component struct {
	ID       string   `json:"id,omitempty" doc:"names the part within the records of one file: part- and the byte where it was first named; it stays when values are decided"`
	Board    string   `json:"board,omitempty" doc:"board it sits on: main, upright, BMS, …"`
	Side     string   `json:"side,omitempty" doc:"front, back, input, output, …"`
	Kind     string   `json:"kind" doc:"kind of part in trade words: bulk capacitor, fuse, …"`
	Function string   `json:"function,omitempty" doc:"what it does, where given"`
	Count    int      `json:"count,omitempty" doc:"how many; absent where not given"`
	Maker    string   `json:"maker,omitempty" doc:"maker in its standard spelling; as heard where none is known"`
	Part     string   `json:"part,omitempty" doc:"part number in its standard spelling; as heard where none is known"`
	Package  string   `json:"package,omitempty" doc:"package code in its standard spelling; where none was said, that which the glossary knows of the part"`
	Topology string   `json:"topology,omitempty" doc:"flyback, LLC, buck-boost, …"`
	Ratings  []Rating `json:"ratings,omitempty" doc:"ratings in the order said"`
	At       *Seconds `json:"at,omitempty" doc:"when it was said"`
	Status   Status   `json:"status" doc:"the least sure of its parts"`
	Heard    string   `json:"heard,omitempty" doc:"the words that named it"`
}

// Measurement is a reading of an instrument.
type Measurement struct {
	Property  string     `json:"property" doc:"what was measured: efficiency, ripple, temperature, output_voltage, energy, duration, …"`
	Value     Value      `json:"value" doc:"the quantity"`
	Condition *Condition `json:"condition,omitempty" doc:"under which it was measured"`
	Subject   string     `json:"subject,omitempty" doc:"where: top, plug, coil, …"`
}

// Condition is the state a value holds in.
type Condition struct {
	Mode     string `json:"mode,omitempty" doc:"operating mode"`
	Port     string `json:"port,omitempty" doc:"port"`
	Protocol string `json:"protocol,omitempty" doc:"protocol"`
	Mains    *Value `json:"mains,omitempty" doc:"mains voltage"`
	Voltage  *Value `json:"voltage,omitempty" doc:"voltage of the load"`
	Current  *Value `json:"current,omitempty" doc:"current of the load"`
	Power    *Value `json:"power,omitempty" doc:"power of the load"`
	Ambient  *Value `json:"ambient,omitempty" doc:"room temperature"`
	Time     *Value `json:"time,omitempty" doc:"after or for how long"`
}

// Note is a thing said that is not a quantity.
type Note struct {
	Text string   `json:"text" doc:"the words"`
	At   *Seconds `json:"at,omitempty" doc:"when"`
}

// Counts says how the quantities stand. Those with a place, or taken back, are
// Heard, Repaired, Open or Settled; these and Unplaced add up to Said.
type Counts struct {
	Said      int `json:"said" doc:"quantities said"`
	Heard     int `json:"heard" doc:"taken as heard"`
	Repaired  int `json:"repaired" doc:"changed with confidence"`
	Open      int `json:"open" doc:"need a person"`
	Settled   int `json:"settled" doc:"decided by a person"`
	Unplaced  int `json:"unplaced" doc:"without a place, whatever their status"`
	Withdrawn int `json:"withdrawn" doc:"of those before, taken back by the speaker"`
}

// Count adds a quantity n times, or takes it out where n is negative. Said and
// Withdrawn stay as they are.
func (c *Counts) Count(s *Said, n int) {
	switch {
	case s.Unplaced():
		c.Unplaced += n
	case s.Status == StatusHeard:
		c.Heard += n
	case s.Status == StatusRepaired:
		c.Repaired += n
	case s.Status == StatusOpen:
		c.Open += n
	case s.Status == StatusSettled:
		c.Settled += n
	}
}

// Errors of reading a record.
var (
	ErrRecordVersion = errors.New("record of an unknown version")
	ErrTrailing      = errors.New("more than one JSON document")
	ErrMissing       = errors.New("this is no record, it lacks")
	ErrNumbering     = errors.New("quantities are not numbered 1, 2, 3 … in their order")
)

// ReadRecord reads one record strictly: an unknown field, one given twice, another version,
// quantities out of their numbering, trailing text, or anything that could
// not be written again (such as a status left out) is an error, and so is a member of
// the record itself that every record has and this one has not. That every required
// field within is there is for the JSON Schema to say.
func ReadRecord(r io.Reader) (*Record, error) {
	b, err := io.ReadAll(r)
	if err != nil {
		return nil, err
	}
	var rec Record
	d := json.NewDecoder(bytes.NewReader(b))
	d.DisallowUnknownFields()
	if err := d.Decode(&rec); err != nil {
		return nil, fmt.Errorf("record: %w", err)
	}
	if _, err := d.Token(); err != io.EOF {
		return nil, fmt.Errorf("record: %w", ErrTrailing)
	}
	members, err := keysOf(b)
	if err != nil {
		return nil, fmt.Errorf("record: %w", err)
	}
	if rec.Version != RecordVersion {
		return nil, fmt.Errorf("record: %w: %q, want %q", ErrRecordVersion, rec.Version, RecordVersion)
	}
	if missing := missingMembers(members); len(missing) > 0 {
		return nil, fmt.Errorf("record: %w: %s", ErrMissing, strings.Join(missing, ", "))
	}
	for i, q := range rec.Quantities {
		if q.Number != i+1 {
			return nil, fmt.Errorf("record: %w: number %d stands at place %d", ErrNumbering, q.Number, i+1)
		}
	}
	if err := rec.WriteLine(io.Discard); err != nil {
		return nil, fmt.Errorf("record: %w", err)
	}
	return &rec, nil
}

// missingMembers lists the members that every record has and that are not among those
// given.
func missingMembers(members map[string]bool) []string {
	var missing []string
	for i := range recordType.NumField() {
		name, how, _ := strings.Cut(recordType.Field(i).Tag.Get("json"), ",")
		if how == "" && !members[name] {
			missing = append(missing, name)
		}
	}
	return missing
}

var recordType = reflect.TypeFor[Record]()

// Quantity returns the quantity said with the given number, nil if there is
// none.
func (r *Record) Quantity(number int) *Said {
	if number < 1 || number > len(r.Quantities) {
		return nil
	}
	return &r.Quantities[number-1]
}
