package cli

import (
	"bufio"
	"cmp"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"net"
	"net/netip"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"time"

	"netlore/cmd/internal/bench"
	"netlore/query/diag"
)

// benchServing is the page while it is served.
type benchServing struct {
	app     *app
	opt     benchOptions
	page    *bench.Server
	here    net.Listener
	there   []net.Listener
	network *bench.Network // nil if the page is for this machine alone

	telling sync.Mutex // who is let in is told while keys are answered
}

// hangUp lets go of the ports of a page that is not served after all.
func (s *benchServing) hangUp() (err error) {
	for _, l := range append(slices.Clone(s.there), s.here) {
		if l != nil {
			err = errors.Join(err, l.Close())
		}
	}
	return err
}

func complain(code, message string, help ...string) error {
	return fail(exitInput, diag.Diagnostic{Code: code, Message: message, Help: help})
}

// networkPlaces are the addresses to listen at, and the names by which the page may be
// called. All are this computer's.
func networkPlaces(ctx context.Context, words []string) (addrs []netip.Addr, names []string, err error) {
	ours, err := ownAddresses()
	if err != nil {
		return nil, nil, err
	}
	for _, word := range words {
		some, err := networkPlace(ctx, word, ours)
		if err != nil {
			return nil, nil, err
		}
		for _, addr := range some {
			if !slices.Contains(addrs, addr) {
				addrs, names = append(addrs, addr), append(names, addr.String())
			}
		}
		if _, err := netip.ParseAddr(word); err != nil && word != "all" {
			names = append(names, strings.ToLower(word))
		}
	}
	return addrs, names, nil
}

// networkPlace are the addresses of this computer that a word names.
func networkPlace(ctx context.Context, word string, ours []netip.Addr) ([]netip.Addr, error) {
	private := slices.DeleteFunc(slices.Clone(ours), func(a netip.Addr) bool { return !a.IsPrivate() })
	if word == "all" {
		if len(private) == 0 {
			return nil, complain("B101", "this computer has no address in a private network", "connect it, or name the address with --network")
		}
		return private, nil
	}
	help := "it has " + few(texts(private)) + "; --network all opens the page at each"
	if len(private) == 0 {
		help = "it has none in a private network now"
	}
	if addr, err := netip.ParseAddr(word); err == nil {
		if addr = addr.Unmap(); !slices.Contains(ours, addr) && !addr.IsLoopback() {
			return nil, complain("B101", diag.Printable(word)+" is no address of this computer", help)
		}
		return []netip.Addr{addr}, nil
	}
	looking, cancel := context.WithTimeout(ctx, 5*time.Second)
	defer cancel()
	found, err := net.DefaultResolver.LookupNetIP(looking, "ip", word)
	if err != nil {
		return nil, complain("B101", fmt.Sprintf("no address is known for the name %q", word), "name an address", help)
	}
	for i := range found {
		found[i] = found[i].Unmap()
	}
	found = slices.DeleteFunc(found, func(a netip.Addr) bool { return !slices.Contains(ours, a) })
	if len(found) == 0 {
		return nil, complain("B101", fmt.Sprintf("the name %q leads to another computer", word), help)
	}
	return found, nil
}

// ownAddresses are those of this computer that others can call, and those for itself.
func ownAddresses() (all []netip.Addr, err error) {
	found, err := net.InterfaceAddrs()
	if err != nil {
		return nil, fail(exitInput, fmt.Errorf("the addresses of this computer cannot be read: %w", reason(err)))
	}
	for _, a := range found {
		if p, err := netip.ParsePrefix(a.String()); err == nil && !p.Addr().IsLinkLocalUnicast() {
			all = append(all, p.Addr().Unmap())
		}
	}
	slices.SortFunc(all, func(a, b netip.Addr) int { return cmp.Or(cmp.Compare(a.BitLen(), b.BitLen()), a.Compare(b)) })
	return all, nil
}

func texts(addrs []netip.Addr) (all []string) {
	for _, a := range addrs {
		all = append(all, a.String())
	}
	return all
}

// benchKeep is where the page keeps its certificate and who was let in: beside the
// base, and not in it, for a base is copied about.
func (a *app) benchKeep() (bench.Keep, error) {
	dir, err := a.where()
	if err != nil {
		return bench.Keep{}, err
	}
	if dir, err = filepath.Abs(dir); err != nil { // or what is beside . would be in it
		return bench.Keep{}, fail(exitBase, fmt.Errorf("the folder that netlore was started in cannot be told: %w", reason(err)))
	}
	write := func(path string, content []byte) error { return putFile(path, content, 0o600) }
	return bench.Keep{Folder: dir + "-page", Now: a.Now, Write: write}, nil
}

// openNetwork gets the certificate, and who was let in.
func (s *benchServing) openNetwork(names []string) error {
	keep, err := s.app.benchKeep()
	if err != nil {
		return err
	}
	certificate, err := s.certificate(keep, names)
	if err != nil {
		return err
	}
	certificate.Renewed = func(c *bench.Certificate) {
		print := c.Fingerprint()
		s.tell("the certificate was about to run out, and another took its place", print[:]...)
	}
	certificate.Failed = func(c *bench.Certificate, err error) {
		s.app.say("netlore: the certificate is good until %s, and another that is to take its place cannot be kept: %s; it is tried again every hour",
			c.Ends().In(s.app.Now().Location()).Format(time.DateOnly), reason(err))
	}
	_, port, err := net.SplitHostPort(s.there[0].Addr().String())
	s.network = &bench.Network{Names: names, Port: port, Certificate: certificate, Devices: bench.NewDevices(keep), GuestsOnly: s.opt.guests,
		Tell: func(what string) { s.tell(what) }}
	return err
}

func (s *benchServing) certificate(keep bench.Keep, names []string) (c *bench.Certificate, err error) {
	if s.opt.certificate == "" {
		c, err = bench.OwnCertificate(keep, names)
	} else {
		c, err = bench.ShopCertificate(s.opt.certificate, s.opt.key, names, s.app.Now)
	}
	var path *fs.PathError
	if errors.As(err, &path) {
		err = fileError(path.Path, err)
	}
	if err != nil {
		return nil, fail(exitInput, err)
	}
	return c, nil
}

// announce tells where the page is.
func (s *benchServing) announce() error {
	if s.app.json {
		at := map[string]any{"url": s.page.Door()}
		if n := s.network; n != nil {
			print := n.Certificate.Fingerprint()
			at["network"], at["fingerprint"], at["certificate_ends"] = n.Roots(), strings.Join(print[:], ":"), n.Certificate.Ends()
		}
		writeJSON(s.app.Out, at)
	} else if err := s.app.headed("the bench page, for a browser on this machine; Ctrl-C ends it", []string{s.page.Door()}); err != nil {
		return err
	}
	if s.network == nil {
		return nil
	}
	if !s.app.json {
		if err := s.announceNetwork(); err != nil {
			return err
		}
	}
	in, err := s.network.Devices.All()
	if err != nil {
		return fail(exitInput, err)
	}
	if !slices.ContainsFunc(in, func(d bench.Device) bool { return !d.Guest }) {
		s.code(s.opt.guests)
	}
	return nil
}

func (s *benchServing) announceNetwork() error {
	n, print := s.network, s.network.Certificate.Fingerprint()
	kind := "for tablets in your network, which are let in by a code"
	if s.opt.guests {
		kind = "for guests in your network, who are let in by a code and may only look"
	}
	lines := append(n.Roots(), "the browser there warns of the certificate; the fingerprint (SHA-256) that it shows must be", "  "+print[0], "  "+print[1],
		"the certificate is good until "+n.Certificate.Ends().In(s.app.Now().Location()).Format(time.DateOnly))
	for _, name := range n.Names {
		if addr, err := netip.ParseAddr(name); err == nil && !addr.IsPrivate() && !addr.IsLoopback() {
			lines = append(lines, name+" is an address of the public internet: anybody there can call it")
		}
	}
	if err := s.app.headed(kind, lines); err != nil || !s.app.InTerminal {
		return err
	}
	return s.app.line("Enter makes a code for a tablet, g and Enter one for a guest, who may only look")
}

// tell tells of what happens on the page.
func (s *benchServing) tell(what string, more ...string) {
	s.telling.Lock()
	defer s.telling.Unlock()
	if s.app.json {
		writeJSON(s.app.Out, map[string]any{"time": s.app.Now(), "told": what, "more": given(more)})
		return
	}
	_ = s.app.headed(s.app.Now().Format("15:04")+" "+what, more) // the output keeps its error
}

// code makes a code and tells it.
func (s *benchServing) code(guest bool) {
	code, until := s.page.Code(guest)
	kind := "tablet"
	if guest {
		kind = "guest"
	}
	s.telling.Lock()
	defer s.telling.Unlock()
	if s.app.json {
		writeJSON(s.app.Out, map[string]any{"code": code, "for": kind, "until": until})
		return
	}
	_ = s.app.line("code for a %s: %s  once, until %s", kind, code, until.In(s.app.Now().Location()).Format("15:04")) // the output keeps its error
}

// codesByKey makes a code whenever somebody asks for one at the terminal.
func (s *benchServing) codesByKey() {
	lines := bufio.NewScanner(s.app.In)
	for lines.Scan() {
		switch strings.ToLower(strings.TrimSpace(lines.Text())) {
		case "":
			s.code(s.opt.guests)
		case "g":
			s.code(true)
		default:
			s.tell("Enter makes a code for a tablet, g and Enter one for a guest; Ctrl-C ends the page")
		}
	}
}
