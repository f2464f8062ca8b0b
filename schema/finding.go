package schema

// Finding is what a rule has to say of a record.
type Finding struct {
	Rule      string     `json:"rule" doc:"name of the rule"`
	Severity  Severity   `json:"severity" doc:"error, warning or note"`
	Message   string     `json:"message" doc:"the fact and the bound, in a sentence"`
	Paths     []string   `json:"paths,omitempty" doc:"fields of the record it concerns, the main one first"`
	Said      []int      `json:"said,omitempty" doc:"numbers of the quantities on both sides"`
	At        []Seconds  `json:"at,omitempty" doc:"their times"`
	Source    string     `json:"source,omitempty" doc:"standard and clause, law of nature, or common practice"`
	Standing  string     `json:"standing,omitempty" doc:"how far the source was verified: verified, computed, unverified, practice"`
	Proposal  *Quantity  `json:"proposal,omitempty" doc:"a reading that would agree"`
	Positions []Position `json:"positions,omitempty" doc:"places in the file read, for findings about its form"`
}

// Position is a line and column, counted from 1.
type Position struct {
	Line int `json:"line" doc:"line, from 1"`
	Col  int `json:"col" doc:"column in bytes, from 1"`
}
