package cli

import (
	"path/filepath"
	"testing"
)

// The key of the page's certificate stands beside the base, also where somebody names
// the folder that he is in: a base is copied about.
func TestBenchKeepBesideBase(t *testing.T) {
	dir := t.TempDir()
	t.Chdir(dir)
	for name, want := range map[string]string{".": dir, "base": filepath.Join(dir, "base"), "./": dir, "..": filepath.Dir(dir), dir: dir} {
		keep, err := (&app{baseDir: name}).benchKeep()
		if err != nil || keep.Folder != want+"-page" {
			t.Errorf("--base %s keeps it in %s, not %s-page: %v", name, keep.Folder, want, err)
		}
	}
}
