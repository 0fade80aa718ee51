package bench

import (
	"crypto/rand"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"time"
	"unicode/utf8"

	"netlore/query/diag"
	"netlore/store"
)

// Keep is where the page keeps what it must know after it was started again: a folder
// that is its owner's alone.
type Keep struct {
	Folder string
	Now    func() time.Time
	// Write writes a file that only its owner may read, whole or not at all.
	Write func(path string, content []byte) error
}

// make makes the folder.
func (k Keep) make(folder string) error { return os.MkdirAll(folder, 0o700) }

// Devices are the tablets and guests that were let in over the network: a file each,
// so that one is sent away by a command while the page is served. The name of the
// file is a hash of what the device shows, so no file helps anybody in.
type Devices struct {
	keep   Keep
	adding sync.Mutex
}

// NewDevices are those of a folder.
func NewDevices(keep Keep) *Devices { return &Devices{keep: keep} }

// Device is one of them.
type Device struct {
	Name  string
	Guest bool // may only look
	Since time.Time

	id string // the name of its file
}

// pairedFor is how long a device is let in. After that it needs a code again.
const pairedFor = 180 * 24 * time.Hour

// Limits on devices.
const (
	mostDevices    = 64
	mostDeviceName = 40
)

var errTooMany = fmt.Errorf("%d devices have been let in, and more are not; send one away at the computer", mostDevices)

func (d *Devices) folder() string { return filepath.Join(d.keep.Folder, "devices") }

// idOf is the name of the file of who shows a token.
func idOf(token string) string {
	sum := sha256.Sum256([]byte(token))
	return hex.EncodeToString(sum[:])
}

// of is the device that shows a token.
func (d *Devices) of(token string) (Device, bool) {
	one, err := d.read(idOf(token))
	return one, err == nil
}

func (d *Devices) read(id string) (Device, error) {
	text, err := os.ReadFile(filepath.Join(d.folder(), id))
	if err != nil {
		return Device{}, err
	}
	one := Device{id: id}
	if err := json.Unmarshal(text, &one); err != nil {
		return Device{}, err
	}
	if age := d.keep.Now().Sub(one.Since); age >= pairedFor {
		return Device{}, errors.Join(fs.ErrNotExist, os.Remove(filepath.Join(d.folder(), id)))
	}
	return one, nil
}

// All are the devices, those that were let in first at the front.
func (d *Devices) All() ([]Device, error) {
	files, err := os.ReadDir(d.folder())
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	var all []Device
	for _, f := range files {
		if len(f.Name()) != 2*sha256.Size {
			continue // half written, or not of here
		}
		if one, err := d.read(f.Name()); err == nil {
			all = append(all, one)
		}
	}
	slices.SortFunc(all, func(a, b Device) int {
		if !a.Since.Equal(b.Since) {
			return a.Since.Compare(b.Since)
		}
		return strings.Compare(a.Name, b.Name)
	})
	return all, err
}

// letIn lets a device in, and returns what it has to show from then on. It gets a
// name of its own. Of the one that it was before, by its id, neither name nor room counts,
// for that is removed then.
func (d *Devices) letIn(was, name string, guest bool) (Device, string, error) {
	d.adding.Lock()
	defer d.adding.Unlock()
	all, err := d.All()
	all = slices.DeleteFunc(all, func(one Device) bool { return one.id == was })
	if err != nil {
		return Device{}, "", err
	}
	if len(all) >= mostDevices {
		return Device{}, "", errTooMany
	}
	token := rand.Text()
	one := Device{ownName(named(name, guest), all), guest, d.keep.Now().UTC().Truncate(time.Second), idOf(token)}
	text, err := json.Marshal(one)
	if err == nil {
		err = d.keep.make(d.folder())
	}
	if err == nil {
		err = d.keep.Write(filepath.Join(d.folder(), one.id), text)
	}
	return one, token, err
}

// named is what a device is called: what was typed, if that can be printed.
func named(name string, guest bool) string {
	name = strings.Join(strings.Fields(diag.Printable(strings.ToValidUTF8(name, ""))), " ")
	for utf8.RuneCountInString(name) > mostDeviceName {
		_, last := utf8.DecodeLastRuneInString(name)
		name = name[:len(name)-last]
	}
	switch {
	case name != "":
		return name
	case guest:
		return "guest"
	}
	return "tablet"
}

// ownName is a name that no other device has.
func ownName(name string, all []Device) string {
	own := name
	for n := 2; slices.ContainsFunc(all, func(d Device) bool { return d.Name == own }); n++ {
		own = fmt.Sprintf("%s %d", name, n)
	}
	return own
}

// SendAway ends that a device is let in, at once.
func (d *Devices) SendAway(name string) error {
	all, err := d.All()
	if err != nil {
		return err
	}
	i := slices.IndexFunc(all, func(one Device) bool { return one.Name == name })
	if i < 0 {
		return errNoDevice
	}
	return d.remove(all[i].id)
}

// remove removes the file of a device, if it is there.
func (d *Devices) remove(id string) error {
	if id == "" {
		return nil
	}
	if err := os.Remove(filepath.Join(d.folder(), id)); !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	return nil
}

// forgetGuests sends all guests away: they came for a visit.
func (d *Devices) forgetGuests() error {
	all, err := d.All()
	for _, one := range all {
		if one.Guest {
			err = errors.Join(err, d.remove(one.id))
		}
	}
	return err
}

// stamp is another number once somebody was let in or sent away.
func (d *Devices) stamp() uint64 {
	n, err := store.Stamp(d.folder())
	if err != nil {
		return 0 // nobody has been let in yet
	}
	return n
}
