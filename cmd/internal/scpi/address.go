package scpi

import (
	"net"
	"net/netip"
	"strconv"
	"strings"

	"netlore/query/diag"
)

// DefaultPort is where instruments take SCPI over a plain socket unless the
// address says otherwise (common practice, no source).
const DefaultPort = 5025

// Address is where an instrument is: a host and a port.
type Address struct {
	host string
	port int
}

// String is the address as ParseAddress reads it: "10.0.0.7:5025", "[::1]:5025".
func (a Address) String() string { return net.JoinHostPort(a.host, strconv.Itoa(a.port)) }

// ParseAddress reads host, host:port, an IPv6 address, [v6] or [v6]:port.
func ParseAddress(text string) (Address, error) {
	if isIP(text) {
		return Address{text, DefaultPort}, nil
	}
	host, port := text, strconv.Itoa(DefaultPort)
	if inside, rest, ok := strings.Cut(strings.TrimPrefix(text, "["), "]"); ok && text[0] == '[' {
		if !isIP(inside) {
			return Address{}, badAddress(text, "what is in the brackets is no IPv6 address", "")
		}
		host = inside
		if rest != "" {
			var colon bool
			if port, colon = strings.CutPrefix(rest, ":"); !colon {
				return Address{}, badAddress(text, "after the bracket can only stand a colon and the port", "")
			}
		}
	} else if before, after, ok := strings.Cut(text, ":"); ok {
		if strings.Contains(after, ":") {
			return Address{}, badAddress(text, "there is more than one colon in it", suggestion(text))
		}
		host, port = before, after
	}
	if !isHost(host) {
		return Address{}, badAddress(text, diag.Quote(host)+" is no name of a host", suggestion(text))
	}
	number, err := strconv.ParseUint(port, 10, 16)
	if err != nil || number == 0 {
		return Address{}, badAddress(text, "a port is a number from 1 to 65535", "")
	}
	return Address{host, int(number)}, nil
}

// isHost tells whether a text can be a host: letters, digits, dots and dashes,
// or an IP address (with its zone).
func isHost(s string) bool {
	return isIP(s) || s != "" && len(s) <= 253 && strings.Trim(s, inHost) == ""
}

const inHost = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-_."

// isIP tells whether a text is an IP address. Its zone is the name of a network
// interface; the library takes any text for one.
func isIP(s string) bool {
	ip, err := netip.ParseAddr(s)
	return err == nil && strings.Trim(ip.Zone(), inHost) == ""
}

// suggestion guesses the host in an address of another form, such as a URL or
// the resource name of a VISA library (TCPIP0::10.0.0.7::5025::SOCKET).
func suggestion(text string) string {
	if _, rest, ok := strings.Cut(text, "://"); ok {
		host, _, _ := strings.Cut(rest, "/")
		return host
	}
	fields := strings.Split(text, "::")
	if len(fields) < 3 || !strings.HasPrefix(strings.ToUpper(fields[0]), "TCPIP") {
		return ""
	}
	if _, err := strconv.ParseUint(fields[2], 10, 16); err == nil {
		return fields[1] + ":" + fields[2]
	}
	return fields[1]
}

func badAddress(text, why, instead string) error {
	help := []string{"an address is a host or a host and a port: 10.0.0.7, bench-meter:5025, [fe80::1]:5025"}
	if instead != "" {
		help = append([]string{"did you mean " + instead + "?"}, help...)
	}
	return newFault("M101", nil, help, "%s is no address of an instrument: %s", diag.Quote(text), why)
}
