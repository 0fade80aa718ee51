package query

import (
	_ "embed"
	"slices"
	"strings"
	"sync"
)

//go:embed codes.txt
var codes string

// explanations are the paragraphs of codes.txt by their code.
var explanations = sync.OnceValue(func() map[string]string {
	table := map[string]string{}
	for _, p := range strings.Split(strings.TrimSpace(codes), "\n\n") {
		code, text, _ := strings.Cut(p, " ")
		table[code] = text
	}
	return table
})

// Explain returns the long text about the code of a complaint about questions:
// a title, what is meant, and a wrong and a right question where that helps.
func Explain(code string) (string, bool) {
	text, ok := explanations()[code]
	return text, ok
}

// Codes are all codes that Explain knows, in order.
func Codes() []string {
	var list []string
	for code := range explanations() {
		list = append(list, code)
	}
	slices.Sort(list)
	return list
}
