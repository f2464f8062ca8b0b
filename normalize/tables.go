package normalize

import "embed"

//go:embed tables/*.tsv
var tables embed.FS

//go:embed tables/traits.tsv
var traitsTable string
