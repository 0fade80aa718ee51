package scpi

import (
	"strings"
	"testing"
)

func TestParseAddress(t *testing.T) {
	for text, want := range map[string]string{
		"10.0.0.7": "10.0.0.7:5025", "10.0.0.7:5555": "10.0.0.7:5555", "bench-meter": "bench-meter:5025",
		"meter.shop.local:1": "meter.shop.local:1", "::1": "[::1]:5025", "[::1]": "[::1]:5025", "[fe80::1]:65535": "[fe80::1]:65535",
		"fe80::1%eth0": "[fe80::1%eth0]:5025", "[fe80::1%eth0]:4000": "[fe80::1%eth0]:4000", "::ffff:10.0.0.7": "[::ffff:10.0.0.7]:5025",
	} {
		a, err := ParseAddress(text)
		if err != nil || a.String() != want {
			t.Errorf("%s: got %v, %v; want %s", text, a, err, want)
			continue
		}
		if again, err := ParseAddress(a.String()); err != nil || again != a {
			t.Errorf("%s: %s read back gives %v, %v", text, a, again, err)
		}
	}
}

func TestParseAddressRefuses(t *testing.T) {
	for text, hint := range map[string]string{
		"": "", ":5025": "", "10.0.0.7:": "", "10.0.0.7:0": "", "10.0.0.7:65536": "", "10.0.0.7:+5": "", "a:b:c": "", "[::1": "", "[10]": "", "[::1]5025": "", "]": "",
		"bench meter": "", "0:0::%\x81!ʻ]": "", "[fe80::1%a b]": "", "meter\n:5025": "", "tcp://10.0.0.7:5025/": "did you mean 10.0.0.7:5025?", "TCPIP0::10.0.0.7::5025::SOCKET": "did you mean 10.0.0.7:5025?",
		"TCPIP::10.0.0.7::INSTR": "did you mean 10.0.0.7?", strings.Repeat("a", 300): "",
	} {
		_, err := ParseAddress(text)
		if CodeOf(err) != "M101" {
			t.Errorf("%q: got %v, want M101", text, err)
			continue
		}
		if help := helpOf(err); hint != "" && help[0] != hint {
			t.Errorf("%q: first hint is %q, want %q", text, help[0], hint)
		}
	}
}

func FuzzParseAddress(f *testing.F) {
	for _, s := range []string{"10.0.0.7:5025", "[::1]:5", "TCPIP0::a::5025::SOCKET", "http://x/", "[", "a:b"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		a, err := ParseAddress(text)
		if err != nil {
			return
		}
		if again, err := ParseAddress(a.String()); err != nil || again != a {
			t.Errorf("%q is %v, which reads as %v, %v", text, a, again, err)
		}
	})
}
