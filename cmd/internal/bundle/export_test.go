package bundle

// Digest, Tidy, BuiltFrom and Sources are what they are called after.
var (
	Digest    = digest
	Tidy      = tidy
	BuiltFrom = builtFrom
	Sources   = sources
)
