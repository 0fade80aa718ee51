//go:build race

package mirror

// raced reports whether the race detector is at work: it needs several times
// the memory of what it watches.
const raced = true
