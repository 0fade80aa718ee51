package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"netlore/importers"
	"netlore/importers/record"
	"netlore/query/check"
	"netlore/query/run"
	"netlore/store/board"
)

// realBoards are the boards in the folders of a folder: of each that holds a
// netlist, with its placement. What is not a board is told to w.
func realBoards(ctx context.Context, dir string, w io.Writer) (all []subject, err error) {
	folders, err := os.ReadDir(dir)
	if err != nil {
		return nil, err
	}
	for _, f := range folders {
		if !f.IsDir() {
			continue
		}
		s, err := realBoard(ctx, filepath.Join(dir, f.Name()))
		if ctx.Err() != nil {
			return all, ctx.Err()
		}
		if err != nil {
			fmt.Fprintf(w, "%s is left out: %v\n", f.Name(), err)
			continue
		}
		all = append(all, s)
	}
	return all, nil
}

var errNoNetlist = errors.New("it holds no netlist that can be read")

// realBoard reads the netlist of a folder, and the one of the tables below it that
// places most parts.
func realBoard(ctx context.Context, dir string) (subject, error) {
	netlist, tables := filesOf(dir)
	if netlist == "" {
		return subject{}, errNoNetlist
	}
	best, err := importers.Import(ctx, []importers.Input{record.File(netlist)}, importers.Options{})
	if err != nil {
		return subject{}, err
	}
	for _, t := range tables {
		with, err := importers.Import(ctx, []importers.Input{record.File(netlist), record.File(t)}, importers.Options{})
		if err == nil && placed(with.Board) > placed(best.Board) {
			best = with
		}
	}
	return boardSubject(ctx, filepath.Base(dir), best.Board)
}

// filesOf are the first netlist of a folder, and the tables in it and below.
func filesOf(dir string) (netlist string, tables []string) {
	_ = filepath.WalkDir(dir, func(path string, e os.DirEntry, err error) error {
		if err != nil || e.IsDir() {
			return nil // what cannot be read is not there
		}
		switch of := importerOf(path); {
		case of.Read == nil:
		case of.Role == record.Netlist && netlist == "":
			netlist = path
		case of.Role != record.Netlist:
			tables = append(tables, path)
		}
		return nil
	})
	return netlist, tables
}

// importerOf is what reads a file; the zero one if nothing does.
func importerOf(path string) importers.Importer {
	f, err := os.Open(path)
	if err != nil {
		return importers.Importer{}
	}
	defer f.Close()
	head := make([]byte, record.HeadSize)
	n, _ := io.ReadFull(f, head)
	return importers.Detect(head[:n]).Importer
}

func placed(b *board.Board) (n int) {
	for i := range b.Parts {
		if b.Parts[i].Placed {
			n++
		}
	}
	return n
}

// boardSubject is the rail of a board. Its netlist says neither what is ground nor
// what a rail is: ground is taken to be the net with most pins, of those that are
// called GND something if there are any, and the rail the one with most parts that
// are on ground, too. Where it is fed is not known, so that is anywhere.
func boardSubject(ctx context.Context, name string, b *board.Board) (subject, error) {
	ground := mostPins(b)
	if ground == board.None {
		return subject{}, errors.New("none of its nets has a pin")
	}
	b.Nets[ground].Kind = board.Ground
	rail := mostShared(b, ground)
	if rail == board.None {
		return subject{}, errors.New("no net shares a part with the one that has most pins")
	}
	b.Nets[rail].Kind = board.Power
	scope := &check.Scope{Members: []check.Member{{Board: b}}}
	d, err := run.Device(ctx, scope, board.Target{Kind: board.OnNet, Name: b.Nets[rail].Name})
	if err != nil {
		return subject{}, err
	}
	if len(d.Source) == 0 {
		d.Source = d.Halves[0].Feed
	}
	return newSubject(fmt.Sprintf("%s, %s", name, b.Nets[rail].Name), d), nil
}

// mostPins is the net with most pins, of those that are called ground if there are
// any.
func mostPins(b *board.Board) board.NetID {
	pins, called := make([]int, len(b.Nets)), make([]int, len(b.Nets))
	for i := range b.Pins {
		net := b.Pins[i].Net
		if net == board.None {
			continue
		}
		pins[net]++
		if strings.HasPrefix(strings.ToUpper(b.Nets[net].Name), "GND") {
			called[net]++
		}
	}
	if ground := most(called); ground != board.None {
		return ground
	}
	return most(pins)
}

// mostShared is the net with most parts that are on another net, too.
func mostShared(b *board.Board, other board.NetID) board.NetID {
	parts := make([]int, len(b.Nets))
	for id := range b.Parts {
		on := map[board.NetID]bool{}
		first, last := b.PinsOf(board.PartID(id))
		for pin := first; pin < last; pin++ {
			on[b.Pins[pin].Net] = true
		}
		for net := range on {
			if net != board.None && net != other && on[other] {
				parts[net]++
			}
		}
	}
	return most(parts)
}

// most is the first of the nets of the highest number above 0.
func most(count []int) board.NetID {
	best := board.NetID(board.None)
	for id, n := range count {
		if n > 0 && (best == board.None || n > count[best]) {
			best = board.NetID(id)
		}
	}
	return best
}
