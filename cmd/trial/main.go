// Trial finds out how good the isolation is: it hides faults in devices, leads each
// job to what is bad, and prints what that took, and whether what was said was
// right, as tables in Markdown. The same seed gives the same tables, but for times.
//
//	go run ./cmd/trial -boards FOLDER
//
// Interrupted, it prints what it has so far, and says so.
package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"os/signal"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	if err := try(ctx, os.Args[1:], os.Stdout, os.Stderr); err != nil {
		fmt.Fprintln(os.Stderr, "trial:", err)
		os.Exit(1)
	}
}

// options are what is tried.
type options struct {
	faults int
	boards string
	seed   uint64
	told   bool
	only   string
	check  bool
}

var errMissed = errors.New("the isolation is not as good as it is to be")

func try(ctx context.Context, args []string, out, progress io.Writer) error {
	var o options
	flags := flag.NewFlagSet("trial", flag.ContinueOnError)
	flags.SetOutput(progress)
	flags.IntVar(&o.faults, "faults", 1000, "hidden faults of each device")
	flags.StringVar(&o.boards, "boards", "", "folder of folders of real boards, each with an IPC-D-356 netlist")
	flags.Uint64Var(&o.seed, "seed", 1, "of all that is random")
	flags.BoolVar(&o.told, "told", false, "tell the isolation how often observations are wrong")
	flags.StringVar(&o.only, "only", "", "devices whose names match this expression")
	flags.BoolVar(&o.check, "check", false, "fail if it is not as good as it is to be")
	if err := flags.Parse(args); err != nil {
		return err
	}
	t, err := newTrial(ctx, o, progress)
	if err != nil {
		return err
	}
	err = t.play(ctx)
	if err != nil && ctx.Err() == nil {
		return err
	}
	t.stopped = err != nil
	t.print(out)
	if missed := t.missed(); o.check && len(missed) > 0 {
		for _, m := range missed {
			fmt.Fprintln(progress, m)
		}
		return errMissed
	}
	return ctx.Err()
}
