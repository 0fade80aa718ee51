package bench

import (
	"image"
	"image/color"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// TestScan has another program read what cameras are to read: zbarimg of ZBar.
func TestScan(t *testing.T) {
	reader, err := exec.LookPath("zbarimg")
	if err != nil {
		t.Skip("no zbarimg on this machine: install zbar-tools to have QR codes read")
	}
	for _, address := range []string{"https://192.168.1.20:8443/", "https://[fd00:1234:5678:9abc:def0:1234:5678:9abc]:8443/", "https://" + strings.Repeat("a.", 100) + "example:8443/"} {
		made := scan(address)
		const square = 4
		picture := image.NewGray(image.Rect(0, 0, made.Side*square, made.Side*square))
		for i := range picture.Pix {
			picture.Pix[i] = 255
		}
		for _, at := range regexp.MustCompile(`M(\d+) (\d+)h1v1h-1z`).FindAllStringSubmatch(made.Dark, -1) {
			x, _ := strconv.Atoi(at[1])
			y, _ := strconv.Atoi(at[2])
			for i := range square * square {
				picture.SetGray(x*square+i%square, y*square+i/square, color.Gray{})
			}
		}
		path := filepath.Join(t.TempDir(), "code.png")
		file, err := os.Create(path)
		if err == nil {
			err = png.Encode(file, picture)
			file.Close()
		}
		if err != nil {
			t.Fatal(err)
		}
		if out, err := exec.Command(reader, "--quiet", "--raw", path).Output(); err != nil || strings.TrimSpace(string(out)) != address {
			t.Errorf("%s is read as %q, %v", address, out, err)
		}
	}
}
