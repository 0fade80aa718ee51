package bench

import (
	"crypto/rand"
	"crypto/subtle"
	"errors"
	"fmt"
	"math/big"
	"net/netip"
	"strings"
	"sync"
	"time"
)

// Limits on codes and on who tries them. A code is one of a hundred million, so what
// guesses gets in once in twenty million codes.
const (
	codeDigits = 8
	codeLasts  = 5 * time.Minute
	mostWrong  = 5 // tries, until a code counts no more
	mostTries  = 3 // wrong ones from one address, until it has to wait
	triesLast  = 5 * time.Minute
	mostTriers = 1024
)

var (
	errWrongCode = errors.New("that is not the code at the computer, or it counts no more")
	errNoCode    = fmt.Errorf("%w", errWrongCode) // no more is told: nothing can be guessed then
	errTooOften  = errors.New("too many wrong codes came from here; wait five minutes")
)

// pairing lets in who can tell the code that stands at this machine: one code at a
// time, which counts once and for a short while.
type pairing struct {
	now func() time.Time

	mu    sync.Mutex
	code  *code // nil if none counts
	tries map[string]tries
}

// code is what a device is let in for.
type code struct {
	digits string
	guest  bool // who may only look
	until  time.Time
	wrong  int // tries
}

// Spaced is the code as it is read out.
func (c *code) Spaced() string { return c.digits[:codeDigits/2] + " " + c.digits[codeDigits/2:] }

// For says whom it lets in.
func (c *code) For() string {
	if c.guest {
		return "a guest, who may only look"
	}
	return "a tablet to work with"
}

// tries are the wrong codes that came from one address.
type tries struct {
	wrong int
	until time.Time // they are forgotten
}

// fresh makes a code in place of the one there was.
func (p *pairing) fresh(guest bool) *code {
	most := new(big.Int).Exp(big.NewInt(10), big.NewInt(codeDigits), nil)
	n, err := rand.Int(rand.Reader, most)
	if err != nil {
		panic(err) // which crypto/rand never does
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	p.code = &code{digits: fmt.Sprintf("%0*d", codeDigits, n), guest: guest, until: p.now().Add(codeLasts)}
	return p.code
}

// counts is the code that counts now, nil if none does.
func (p *pairing) counts() *code {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.counting()
}

func (p *pairing) counting() *code {
	if p.code != nil && !p.now().Before(p.code.until) {
		p.code = nil
	}
	return p.code
}

// take uses a code up, from an address. Errors: errWrongCode, which counts; errNoCode,
// errTooOften.
func (p *pairing) take(from, said string) (*code, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.forget()
	by, known := p.tries[from]
	if by.wrong >= mostTries || !known && len(p.tries) >= mostTriers {
		return nil, errTooOften
	}
	c := p.counting()
	if c == nil {
		return nil, errNoCode
	}
	if subtle.ConstantTimeCompare([]byte(digitsOf(said)), []byte(c.digits)) == 1 {
		p.code = nil
		delete(p.tries, from)
		return c, nil
	}
	p.tries[from] = tries{by.wrong + 1, p.now().Add(triesLast)}
	if c.wrong++; c.wrong >= mostWrong {
		p.code = nil
	}
	return nil, errWrongCode
}

// giveBack has a code count again that let nobody in, unless there is a newer one.
func (p *pairing) giveBack(c *code) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.code == nil {
		p.code = c
	}
}

// forget forgets tries that are long past.
func (p *pairing) forget() {
	for from, by := range p.tries {
		if !p.now().Before(by.until) {
			delete(p.tries, from)
		}
	}
}

// digitsOf is a code without what people put between its digits.
func digitsOf(said string) string {
	return strings.Map(func(r rune) rune {
		if strings.ContainsRune(" \t-.·\u00a0", r) {
			return -1
		}
		return r
	}, said)
}

// placeOf is where a connection comes from: its address without the port.
func placeOf(addr string) string {
	from, err := netip.ParseAddrPort(addr)
	if err != nil {
		return addr
	}
	return from.Addr().Unmap().String()
}
