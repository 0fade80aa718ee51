package bench

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"time"

	"netlore/store"
)

// devicesPage is who has been let in over the network, and how others are.
type devicesPage struct {
	At          []scanned // addresses
	Fingerprint [2]string
	Code        *code // nil if none counts
	Until       string
	All         []listed
	OnlyGuests  bool
}

// listed is a device with what it may do now, in words.
type listed struct {
	Device
	Role string
}

// Role is what a device was let in to do, in words.
func (d Device) Role() string {
	if d.Guest {
		return "may only look"
	}
	return "may work"
}

// roleOf is what a device may do now, in words.
func (n *Network) roleOf(d Device) string {
	if n.may(d) < toWork && !d.Guest {
		return "may only look while netlore bench runs with --guests"
	}
	return d.Role()
}

// Let is when it was let in.
func (d Device) Let() string { return d.Since.Local().Format("2006-01-02 15:04") }

var (
	errNotOpen  = errors.New("the page is not open to the network; netlore bench --network all opens it")
	errNoDevice = errors.New("no device of that name has been let in")
)

// devices shows them to who sits at this machine.
func (s *Server) devices(w http.ResponseWriter, r *http.Request) {
	s.page(w, r, http.StatusOK, "devices", func(_ context.Context, _ *store.Base, v *view) error {
		n := s.Network
		if n == nil {
			return errNotOpen
		}
		all, err := n.Devices.All()
		p := &devicesPage{Fingerprint: n.Certificate.Fingerprint(), Code: s.pairing.counts(), OnlyGuests: n.GuestsOnly}
		for _, one := range all {
			p.All = append(p.All, listed{one, n.roleOf(one)})
		}
		for _, root := range n.Roots() {
			p.At = append(p.At, scan(root))
		}
		if p.Code != nil {
			p.Until = p.Code.until.Local().Format("15:04")
		}
		v.Title, v.Live, v.Body = "Tablets and guests", true, p
		return err
	})
}

// newCode makes a code.
func (s *Server) newCode(w http.ResponseWriter, r *http.Request) {
	if s.Network != nil {
		s.Code(r.PostFormValue("for") == "guest")
	}
	http.Redirect(w, r, "/devices", http.StatusSeeOther)
}

// sendAway sends a device away.
func (s *Server) sendAway(w http.ResponseWriter, r *http.Request) {
	name := r.PostFormValue("device")
	err := errNotOpen
	if s.Network != nil {
		err = s.Network.Devices.SendAway(name)
	}
	if err != nil {
		s.wrong(w, r, status(err), troubleOf(err, ""))
		return
	}
	s.Network.Tell(name + " was sent away")
	http.Redirect(w, r, "/devices", http.StatusSeeOther)
}

// pairPage asks for a code.
type pairPage struct {
	Fingerprint [2]string
	Wrong       string
	Name        string // that was typed
}

// askCode shows where a code is typed.
func (s *Server) askCode(w http.ResponseWriter, r *http.Request) {
	s.codePage(w, r, http.StatusOK, "")
}

func (s *Server) codePage(w http.ResponseWriter, r *http.Request, status int, wrong string) {
	s.show(w, r, status, "pair", &view{Title: "Let this device in", Body: &pairPage{s.Network.Certificate.Fingerprint(), wrong, field(r, "name")}})
}

// pair lets a device in that has the code.
func (s *Server) pair(w http.ResponseWriter, r *http.Request) {
	from := placeOf(r.RemoteAddr)
	code, err := s.pairing.take(from, r.PostFormValue("code"))
	if err != nil {
		s.tellWrong(from, err)
		s.codePage(w, r, http.StatusForbidden, err.Error())
		return
	}
	was := visitorOf(r).device
	device, token, err := s.Network.Devices.letIn(was, field(r, "name"), code.guest)
	if err != nil {
		s.pairing.giveBack(code)
		s.codePage(w, r, http.StatusServiceUnavailable, err.Error())
		return
	}
	s.Network.Tell(fmt.Sprintf("%s at %s was let in: %s", device.Name, from, s.Network.roleOf(device)))
	if err := s.Network.Devices.remove(was); err != nil {
		s.Complain(err) // it is one more in the list
	}
	cookie := s.there.token(token)
	if !code.guest {
		cookie.MaxAge = int(pairedFor / time.Second)
	}
	http.SetCookie(w, cookie)
	http.Redirect(w, r, "/", http.StatusSeeOther)
}

// tellWrong tells of a wrong code at the terminal, which cannot be filled with them.
func (s *Server) tellWrong(from string, err error) {
	switch {
	case err != errWrongCode:
	case s.pairing.counts() == nil:
		s.Network.Tell("a wrong code came from " + from + ", the fifth: the code counts no more")
	default:
		s.Network.Tell("a wrong code came from " + from)
	}
}
