//go:build !race

package mirror

const raced = false
