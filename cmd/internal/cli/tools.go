package cli

import (
	"slices"
	"strings"

	"netlore/query/run"
)

// benchTools are all tools that can be said to be there.
var benchTools = []string{run.ThermalCamera, run.FreezerSpray, run.Milliohmmeter}

// tools is an option that takes what the bench has to look for a short with.
func tools(name string, list *[]string) option {
	read := func(s string) bool {
		named := strings.FieldsFunc(s, func(r rune) bool { return r == ',' || r == ' ' })
		*list = slices.DeleteFunc(named, func(word string) bool { return word == "none" })
		return len(named) > 0 && !slices.ContainsFunc(*list, func(word string) bool { return !slices.Contains(benchTools, word) })
	}
	return option{name, "TOOLS", "none, or some of " + strings.Join(benchTools, ", "), read, func() string {
		if *list == nil {
			return strings.Join(run.UsualTools, ",")
		}
		return strings.Join(*list, ",")
	}}
}

// usualTools are what NETLORE_TOOLS says, unless the command says what is there.
func (a *app) usualTools(list *[]string) error {
	set := a.Getenv("NETLORE_TOOLS")
	if set == "" || *list != nil {
		return nil
	}
	return tools("NETLORE_TOOLS", list).Set(set)
}
