package store

import (
	"fmt"
	"os"
	"strconv"
	"strings"

	"golang.org/x/sys/unix"
)

// lockHolder is a process that holds the lock on a folder, by the list of the
// system; 0 if that does not tell. It finds those that only read, too.
func lockHolder(dir string) int {
	var stat unix.Stat_t
	if unix.Stat(dir, &stat) != nil {
		return 0
	}
	list, err := os.ReadFile("/proc/locks")
	if err != nil {
		return 0
	}
	place := fmt.Sprintf("%02x:%02x:%d", unix.Major(uint64(stat.Dev)), unix.Minor(uint64(stat.Dev)), stat.Ino)
	for line := range strings.Lines(string(list)) {
		// A line is: 1: FLOCK ADVISORY READ 4711 fe:00:246947 0 EOF. One with an
		// arrow is of a process that waits.
		words := strings.Fields(line)
		if len(words) < 6 || words[1] != "FLOCK" || words[5] != place {
			continue
		}
		if pid, err := strconv.Atoi(words[4]); err == nil && pid > 0 {
			return pid
		}
	}
	return 0
}
