// Netlore is a knowledge base of circuit-board nets for board-level repair.
package main

import (
	"os"

	"netlore/cmd/internal/cli"
)

func main() { os.Exit(cli.Main()) }
