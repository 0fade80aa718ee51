package sheet

// Order lists the lines at which statements begin, 1-based, in canonical order of
// the statements. Nothing is put together: each statement stands as it does in the
// file, whatever else is said of the same thing. A statement about a range of
// names stands where the first of them does.
func (f *File) Order() []int {
	g := gather(f)
	lines := make([]int, 0, len(g.sorted))
	for _, b := range g.sorted {
		if b.row == 0 {
			lines = append(lines, int(b.head)+1)
		}
	}
	return lines
}
