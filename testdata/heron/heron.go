// Package heron carries the demonstration scenario, the Heron trail radio, so
// that the command can show it wherever it runs. All of it is invented.
package heron

import "embed"

// Sheets are the sheets of the scenario.
//
//go:embed *.lore
var Sheets embed.FS
