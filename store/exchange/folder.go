package exchange

// ParseManifest reads a manifest, whoever has signed it. It must be in the one form
// in which it is signed.
func ParseManifest(text []byte) (*Manifest, error) { return parseManifest(text) }

// Naming is the line with which a sheet on a subject begins that says no more of
// it; empty for saved questions, meters and chances, which are about no board.
func Naming(of string) string { return named(of) }
