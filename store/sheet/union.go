package sheet

import "netlore/query/diag"

// CheckAll reads the files of each subject as one and tells what is wrong with
// what they say together. The joins of a stack are checked against those of
// its boards that are among the files. Only what could be read is looked at:
// complaints of Parse are not repeated.
func CheckAll(files ...*File) diag.List {
	var all diag.List
	for _, group := range BySubject(files...) {
		content, list := Read(group...)
		all = append(all, list...)
		if !list.HasErrors() {
			all = append(all, Check(content, withBoards(group, files)...)...)
		}
	}
	return all
}

// withBoards adds the files of boards to those of a stack.
func withBoards(group, files []*File) []*File {
	if group[0].Subject().Stack == "" {
		return group
	}
	all := group[:len(group):len(group)]
	for _, f := range files {
		if f.Subject().Board.Name != "" {
			all = append(all, f)
		}
	}
	return all
}
