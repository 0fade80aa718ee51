package cli

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"time"

	"netlore/cmd/internal/scpi/meter"
	"netlore/store/board"
)

// readEvery is how often a meter is read while it is followed, at most.
const readEvery = 100 * time.Millisecond

// errLeft says that the follower has left in good order.
var errLeft = errors.New("left")

// follower takes the values of one touch after the other.
type follower struct {
	app      *app
	function meter.Function
	unit     board.Unit
	touches  *meter.Touches
	typed    <-chan string
	taken    int
	most     int // values to take; 0 is any number
	last     meter.Steady

	accept func(meter.Steady) error // what is done with a value
	other  func(line string) error  // does what else was typed
}

// follow prints the value of each touch until somebody ends it, or count values
// are taken.
func (a *app) follow(ctx context.Context, m *meter.Meter, f meter.Function, settling meter.Settling, count int) error {
	touches, err := meter.NewTouches(settling)
	if err != nil {
		return err
	}
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	w := &follower{app: a, function: f, unit: unitOf(f), touches: touches, typed: a.typed(ctx), most: count}
	w.accept, w.other = w.print, w.slip
	if a.InTerminal && !a.json {
		a.say("touch one pad after the other; Enter takes a pad that is open, q ends")
	}
	err = m.Follow(ctx, touches, readEvery, meter.SystemClock(), w.reading)
	w.app.wipe()
	if errors.Is(err, errLeft) {
		return nil
	}
	return err
}

// typed hands on what is typed, line by line, until the input or ctx ends.
func (a *app) typed(ctx context.Context) <-chan string {
	lines := make(chan string)
	go func() {
		defer close(lines)
		for in := bufio.NewScanner(a.In); in.Scan(); {
			select {
			case lines <- strings.TrimSpace(in.Text()):
			case <-ctx.Done():
				return
			}
		}
	}()
	return lines
}

// reading looks at one reading and at what was typed meanwhile.
func (w *follower) reading(s meter.Sample, e meter.Event, steady meter.Steady) error {
	w.paint(s)
	switch e {
	case meter.Taken:
		if err := w.take(steady); err != nil {
			return err
		}
	case meter.Moved:
		w.app.notice(fmt.Sprintf("value %d was %s and is %s now; if the probe has not slipped, lift it and touch again", w.taken,
			shown(w.last.Value, w.unit), shown(steady.Value, w.unit)))
	}
	select {
	case line, open := <-w.typed:
		if !open {
			w.typed = nil
			return nil
		}
		return w.heard(line)
	default:
		return nil
	}
}

// heard does what was typed.
func (w *follower) heard(line string) error {
	w.app.painted = false // Enter has moved on to the next line
	switch line {
	case "q", "quit":
		return errLeft
	case "":
		if steady, ok := w.touches.Open(); ok {
			return w.take(steady)
		}
		w.app.notice("the meter does not read OL, so nothing was taken as open")
	default:
		return w.other(line)
	}
	return nil
}

func (w *follower) slip(string) error {
	w.app.notice("Enter alone takes a pad that is open, q ends")
	return nil
}

// take has a value accepted, with a beep at a terminal.
func (w *follower) take(s meter.Steady) error {
	w.taken++
	w.last = s
	w.app.wipe()
	err := w.accept(s)
	if err != nil && !errors.Is(err, errLeft) {
		return err
	}
	if w.app.ErrTerminal {
		fmt.Fprint(w.app.Err, "\a")
	}
	if err != nil {
		return err
	}
	if w.taken == w.most {
		return errLeft
	}
	return nil
}

func (w *follower) print(s meter.Steady) error {
	if w.app.json {
		writeJSON(w.app.Out, map[string]any{"taken": w.taken, "measure": w.function.String(), "reading": readText(s.Value, w.unit),
			"value": readJSON(s.Value, w.unit), "open": s.Open, "spread": threeDigits(s.Spread), "readings": s.Count, "when": w.app.now().UTC().Format(time.RFC3339)})
		return nil
	}
	return w.app.line("%3d  %s", w.taken, shown(s.Value, w.unit))
}

// threeDigits takes the noise of binary fractions off a number.
func threeDigits(f float64) float64 {
	rounded, _ := strconv.ParseFloat(strconv.FormatFloat(f, 'g', 3, 64), 64)
	return rounded
}

// paint shows the reading in the last line of a terminal.
func (w *follower) paint(s meter.Sample) {
	if w.app.ErrTerminal && !w.app.json {
		fmt.Fprintf(w.app.Err, "\r\x1b[K     %s", shown(s.Reading, w.unit))
		w.app.painted = true
	}
}

// wipe clears the line that shows the reading, if one does.
func (a *app) wipe() {
	if a.painted {
		fmt.Fprint(a.Err, "\r\x1b[K")
		a.painted = false
	}
}
