// Package bench is the page for the bench: a small web server for this machine, and
// for devices in its network that were let in, of pages that work without scripts and
// are quicker with them.
//
//	guard.go    who may ask at all: hosts, origins, limits
//	routes.go   all pages, and what somebody needs to be allowed for each
//	room.go     how many are worked for at a time
//	gate.go     the ways to the page, by this machine and by the network
//	door.go     the secret that is exchanged for the cookie on this machine
//	network.go  connections of the network; certificate.go what they are shown
//	pairing.go  codes that let devices of the network in; devices.go who was let in,
//	            devicespage.go who may come in, on a page; scan.go addresses for a camera
//	asking.go   a question and its answer, completion
//	thing.go    all that is known of a part, a pad or a net
//	job.go      the sheet of a job; switches.go the state of its device, tests.go
//	            what to do next; entering.go changes it
//	compare.go  its readings beside what is expected
//	opening.go  opens and closes jobs
//	photo.go    the shop's own photos: how they lie on the boards, and places that
//	            are picked on them (photopick.go); photopicture.go sends and takes
//	            the pictures
//	live.go     tells pages that the base has changed
//	pages.go    the templates and what they all need
//
// The base is opened for each request and never held. What is changed goes the
// way of the commands: see Desk.
package bench

import (
	"context"
	"errors"
	"net"
	"net/http"
	"sync"
	"time"

	"netlore/store"
)

// Desk is what the page has others do, so that it does it as the commands do.
// An error may have a method Help() []string that tells what to do about it.
type Desk interface {
	// Stamp is another number once somebody has changed the base.
	Stamp() (uint64, error)
	// Reading opens the base for questions, and closes it after use.
	Reading(ctx context.Context, use func(*store.Base) error) error
	// Sheet is the story of a job.
	Sheet(ctx context.Context, base *store.Base, job string) (*Sheet, error)
	// Places are those that a question gives, to be read one after the other.
	Places(ctx context.Context, base *store.Base, m Measuring) ([]Place, error)

	// The rest changes the base; all is on disk when it returns without an error.

	// Open opens a job, and returns its number.
	Open(ctx context.Context, o Opening) (string, error)
	// Close closes a job.
	Close(ctx context.Context, job string, e Ending) error
	// Reopen opens a job that was closed.
	Reopen(ctx context.Context, job string) error
	// Log adds steps to a job, in the words of a sheet; nothing if one is wrong.
	Log(ctx context.Context, job string, steps ...string) error
	// Undo takes back steps that are still the last ones of a job.
	Undo(ctx context.Context, job string, from, to int) error
	// Enter adds a reading at a place to a job, in the words of a person: 0.412,
	// OL, or a point for what is expected.
	Enter(ctx context.Context, m Measuring, place, value string) error

	// AddPhoto keeps a photo of a side of a board, which are named as Photos of the base has
	// them. It decodes it, so nothing else of that sort is to be done meanwhile.
	AddPhoto(ctx context.Context, of, side string, data []byte) error
	// Pick keeps what was picked on a photo.
	Pick(ctx context.Context, p *store.Photo, points []store.PhotoPoint) error
	// Place writes down where something is that was picked on the photo of a side, and Unplace
	// takes that back.
	Place(ctx context.Context, of, side string, at store.PhotoPoint) error
	Unplace(ctx context.Context, of, name string) error
	// RemovePhoto deletes a photo for good.
	RemovePhoto(ctx context.Context, of, side string) error
}

// Sheet is the story of a job.
type Sheet struct {
	ID, Device, Symptom string
	Facts               []string // supply, when it was opened, how it ended
	Steps               []Step   // in order
	State               []string // of the device, in words
	States              []string // the same as a sheet has it: separated, lower:J7-off
	Covers              []string // that can come off
	Halves              bool     // that can be separated
	Closed              bool
}

// Opening is how a job begins, in the words of a person. All but the first two may
// be empty.
type Opening struct {
	Of      string // board or stack
	Symptom string
	Supply  string // volts
	Limit   string // amps
	Draw    string // amps
}

// Ending is how a job ends, in the words of a person.
type Ending struct {
	Outcome string // repaired, returned, uneconomic
	Culprit string // names, as a sheet has them; may be empty
	Remark  string
}

// Step is a step of a job in words.
type Step struct {
	Number            int
	Words             string
	Verdict, Expected string // of a reading where something is expected
	By, When          string
	Notes             []string // cautions
}

// Measuring is how readings are entered.
type Measuring struct {
	Job    string
	Mode   string // diode, ohms, volts
	Meter  string // may be empty
	Places string // a question for places
}

// Place is a place to read.
type Place struct {
	Name     string // as Enter takes it
	Label    string
	Facts    []string // what helps to find it
	Expected string
}

// Options is what a page is made with.
type Options struct {
	Desk     Desk
	Addr     string // host and port that are listened on
	Now      func() time.Time
	Tools    []string                                 // what there is to look for a short with; nil for what is usual
	Explain  func(code string) (text string, ok bool) // more about a complaint
	Complain func(error)                              // tells the person at the terminal what went wrong
	Network  *Network                                 // nil if the page is for this machine alone
}

// Network is how the page is opened to a network.
type Network struct {
	Names       []string // addresses and host names by which it may be called
	Port        string
	Certificate *Certificate
	Devices     *Devices
	GuestsOnly  bool         // all there may only look
	Tell        func(string) // tells the person at the terminal who comes
}

// Server is the page.
type Server struct {
	Options
	door        door
	pairing     pairing
	watch       watch
	here, there *gate // there is nil if the page is for this machine alone

	// turn lets many requests read the base or one change it, for within a process
	// they would keep each other out for as long as they wait.
	turn      sync.RWMutex
	busy      room // for requests that are worked on
	streams   room // for pages that are told of changes
	listening crowd
	uploads   chan struct{} // for photos that are taken in: each takes much memory
	flats     flats
}

// Limits on what a browser can ask for.
const (
	mostBusy          = 8
	mostBusyThere     = 6 // of these, for the network
	mostBusyGuests    = 2 // of these, for guests
	mostStreams       = 32
	mostStreamsThere  = 24
	mostStreamsGuests = 12
	mostStreamsEach   = 6  // of a device
	mostRequests      = 40 // at a time on one line
	mostBody          = 64 << 10
	mostBodyStrange   = 4 << 10 // from who was not let in
	mostHeader        = 16 << 10
	mostQuestion      = 4 << 10
	mostRows          = 2000
	mostTime          = 10 * time.Second
	answerTime        = 30 * time.Second
)

// New makes a page that is not served yet.
func New(opt Options) *Server {
	s := &Server{Options: opt, door: newDoor(), watch: watch{stamp: opt.Desk.Stamp}, pairing: pairing{now: opt.Now, tries: map[string]tries{}},
		busy: newRoom(mostBusy, mostBusyThere, mostBusyGuests), streams: newRoom(mostStreams, mostStreamsThere, mostStreamsGuests),
		uploads: make(chan struct{}, 1), flats: newFlats()}
	s.here = s.gateHere()
	if n := opt.Network; n != nil {
		s.there = s.gateThere()
		s.watch.stamp = func() (uint64, error) {
			base, err := opt.Desk.Stamp()
			return base ^ n.Devices.stamp(), err
		}
	}
	return s
}

// Door is the address that lets a browser in. It holds a secret.
func (s *Server) Door() string { return "http://" + s.Addr + "/enter?secret=" + s.door.secret }

// Roots are the addresses of the page in the network.
func (n *Network) Roots() (all []string) {
	for _, name := range n.Names {
		all = append(all, "https://"+net.JoinHostPort(name, n.Port)+"/")
	}
	return all
}

// Code makes a code that lets one device of the network in, a guest or one to work
// with if not all are guests, until some time.
func (s *Server) Code(guest bool) (code string, until time.Time) {
	c := s.pairing.fresh(guest || s.Network.GuestsOnly)
	return c.Spaced(), c.until
}

// Serve answers this machine, and the network by other listeners, until the context
// ends; requests that are worked on then are finished within a few seconds.
func (s *Server) Serve(ctx context.Context, here net.Listener, there ...net.Listener) error {
	streaming, end := context.WithCancel(context.WithoutCancel(ctx))
	defer end()
	if s.Network != nil {
		if err := s.Network.Devices.forgetGuests(); err != nil { // if the page was killed, they are still there
			return err
		}
	}
	waiting := &unspoken{lines: map[net.Conn]bool{}}
	first := s.server(streaming, s.here, waiting)
	served, servers := make(chan error, 1+len(there)), []*http.Server{first}
	go func() { served <- first.Serve(here) }()
	for _, listener := range there {
		server := s.server(streaming, s.there, waiting)
		server.TLSConfig = s.Network.Certificate.config()
		servers = append(servers, server)
		go func() { served <- server.ServeTLS(newEntrance(listener, s.there.own), "", "") }()
	}
	go s.watch.run(streaming)
	var err error
	select {
	case err = <-served:
	case <-ctx.Done():
	}
	s.watch.close()
	waiting.hangUp()
	last, cancel := context.WithTimeout(context.WithoutCancel(ctx), 3*time.Second)
	defer cancel()
	for _, server := range servers {
		if late := server.Shutdown(last); late != nil {
			err = errors.Join(err, errCutOff, server.Close())
		}
	}
	if s.Network != nil {
		err = errors.Join(err, s.Network.Devices.forgetGuests())
	}
	return err
}

var errCutOff = errors.New("something that was asked for took too long, and was cut off at the end")

// server is the server of a gate. One line of HTTP/2 has so many requests at a time at most
// that the forms of all lines together stay within memory.
func (s *Server) server(streaming context.Context, g *gate, waiting *unspoken) *http.Server {
	return &http.Server{
		HTTP2:             &http.HTTP2Config{MaxConcurrentStreams: mostRequests},
		ConnState:         waiting.state,
		Handler:           s.handler(g),
		ReadHeaderTimeout: 5 * time.Second,
		ReadTimeout:       10 * time.Second,
		WriteTimeout:      answerTime,
		IdleTimeout:       time.Minute,
		MaxHeaderBytes:    mostHeader,
		BaseContext:       func(net.Listener) context.Context { return streaming },
		ErrorLog:          noLog,
	}
}

// reading opens the base for one request.
func (s *Server) reading(ctx context.Context, use func(*store.Base) error) error {
	s.turn.RLock()
	defer s.turn.RUnlock()
	return s.Desk.Reading(ctx, use)
}

// changing lets one request change the base.
func (s *Server) changing(do func() error) error {
	s.turn.Lock()
	defer s.turn.Unlock()
	err := do()
	s.watch.look()
	return err
}
