package cli

import (
	"context"
	"errors"
	"fmt"
	"os"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"netlore/store"
	"netlore/store/exchange"
	"netlore/store/exchange/link"
)

type linkOptions struct {
	access  linkAccess
	log     string
	licence string
	origin  string
	kinds   string
	once    bool
	every   time.Duration
}

// newLink makes `netlore link`.
func newLink(a *app) *cobra.Command {
	opt := linkOptions{log: link.DefaultLog, kinds: sharedKinds, every: time.Hour}
	cmd := &cobra.Command{
		Use:   "link URL [BOARD|STACK [rev REVISION]]",
		Short: "share with other shops through a common log on a server",
		Long: `Link takes what other shops have put on a common log, and with --licence puts
there what this base says itself, signed by this bench: all of it, or what it
says of one board or stack. It goes on until it is stopped with Ctrl-C, and
after any cut; with --once it ends when both sides have all.

The log is on a NATS server with JetStream. It is a mailbox: all is in your own
base, too, you work without the log, and if it is ever lost, each bench puts
there again what it has. What comes in goes by the rules of netlore merge:
nothing of a shop counts until you trust it, jobs and customers never leave,
and netlore merge undo takes back what came in on a day, until netlore link is
begun anew. What is signed is kept, and what is not said any more is withdrawn,
as by netlore pack.

A password is asked for, or read from a file that only you may read.`,
		Example:           "  netlore link tls://log.example.org --user heron --licence CC0-1.0\n  netlore link tls://log.example.org --creds heron.creds --once",
		Args:              between(1, 4, "give the address of the server: tls://log.example.org"),
		ValidArgsFunction: cobra.NoFileCompletions,
		RunE: func(cmd *cobra.Command, args []string) error {
			return runLink(cmd.Context(), a, opt, args[0], args[1:])
		},
	}
	f := cmd.Flags()
	f.Var(licence("--licence", &opt.licence), "licence", "share what this base says under this licence, an SPDX identifier")
	f.Var(name("TEXT", &opt.origin), "origin", "where it comes from, in words: measured on the bench")
	f.Var(name("KINDS", &opt.kinds), "kinds", "what to share: structure, expected, readings, notes, questions, meters, chances")
	f.BoolVar(&opt.once, "once", false, "end when both sides have all")
	f.Var(duration("--every", time.Minute, &opt.every), "every", "how often to look for what is new here, or what the log lacks")
	linkFlags(cmd, &opt.access, &opt.log)
	cmd.AddCommand(newLinkStatus(a))
	return cmd
}

func runLink(ctx context.Context, a *app, opt linkOptions, address string, names []string) error {
	kinds, err := kindsOf(opt.kinds)
	if err != nil {
		return err
	}
	server, err := a.linkServer(address, opt.access, opt.log)
	if err != nil {
		return err
	}
	if err := a.writing(ctx, func(*store.Base) error { return nil }); err != nil { // makes it if there is none
		return err
	}
	l := linking{app: a}
	hold := &held{app: a, trouble: l.trouble}
	bench := link.Bench{Author: a.author(), Program: version(), Now: a.now, Change: hold.change, Tell: l.tell}
	if bench.Offer, err = l.offer(opt, kinds, names); err != nil {
		return err
	}
	l.begin()
	err = link.Run(ctx, server, bench, link.Options{Log: opt.log, Once: opt.once, Every: opt.every})
	return l.end(errors.Join(err, hold.end()))
}

// offer is what of this bench's own may leave it.
func (l *linking) offer(opt linkOptions, kinds []exchange.Kind, names []string) (link.Offer, error) {
	a := l.app
	offer := link.Offer{Licence: opt.licence, Kinds: kinds}
	if opt.licence == "" {
		if len(names) > 0 {
			return offer, hint(errors.New("to share a board, say under which licence others may use it"), "--licence CC0-1.0 or --licence CDLA-Permissive-2.0 lets everybody use it freely")
		}
		return offer, a.linkWords(&offer)
	}
	identity, err := a.signing()
	if err != nil {
		return offer, err
	}
	offer.Keys, offer.Words = identity.Keys(), identity.Words
	of := map[store.Subject]bool{}
	offer.Of = func(s store.Subject) bool { return of[s] }
	p := &packer{app: a, identity: identity, kinds: kinds, opt: packOptions{licence: opt.licence, origin: opt.origin, to: link.FromLog + opt.log}}
	l.packer = p
	offer.Sign = func(ctx context.Context, base *store.Base) error {
		subjects, err := a.packed(ctx, base, names)
		if err != nil {
			return err
		}
		clear(of)
		p.base, p.others, p.over = base, map[string]int{}, map[exchange.Key]int{}
		for _, s := range subjects {
			of[s] = true
		}
		shares, err := p.all(ctx, subjects)
		if err != nil {
			return err
		}
		if err := p.sign(ctx, shares); err != nil {
			return err
		}
		l.takenOver()
		return nil
	}
	return offer, nil
}

// linkWords adds the shop's keys, and what it has said about them, which leaves in any
// case.
func (a *app) linkWords(offer *link.Offer) error {
	dir, err := a.identityDir()
	if err != nil {
		return err
	}
	card, err := exchange.Look(dir)
	if errors.Is(err, exchange.ErrNoIdentity) {
		return nil
	}
	if err != nil {
		return identityError(err)
	}
	offer.Keys, offer.Words = card.Keys(), card.Words
	return nil
}

// linkAccess is how the server lets the bench in.
type linkAccess struct{ creds, user, passwordFile, authority, cert, key string }

func linkFlags(cmd *cobra.Command, access *linkAccess, log *string) {
	f := cmd.Flags()
	f.Var(name("NAME", log), "log", "the log, if the server has several")
	f.Var(name("NAME", &access.user), "user", "name by which the server lets you in")
	f.Var(name("FILE", &access.passwordFile), "password-file", "file with the password in its first line")
	f.Var(name("FILE", &access.creds), "creds", "file of credentials, instead of a name and password")
	f.Var(name("FILE", &access.authority), "ca", "certificate of the authority that has signed that of the server")
	f.Var(name("FILE", &access.cert), "cert", "certificate of this bench, if the server wants one")
	f.Var(name("FILE", &access.key), "key", "private key to it")
}

// linkServer is the server of a log, with the password if one is wanted.
func (a *app) linkServer(address string, access linkAccess, log string) (*link.Server, error) {
	if err := link.CheckLog(log); err != nil {
		return nil, err
	}
	with := link.Credentials{File: access.creds, User: access.user, Authority: access.authority, Cert: access.cert, Key: access.key}
	switch {
	case access.creds != "" && access.user != "":
		return nil, errors.New("--creds and --user are two ways to be let in; give one of them")
	case access.passwordFile != "" && access.user == "":
		return nil, errors.New("--password-file goes with --user NAME")
	case (access.cert == "") != (access.key == ""):
		return nil, errors.New("--cert and --key go together")
	}
	server, err := link.ParseServer(address, with)
	if err != nil || access.user == "" {
		return server, linkError(err)
	}
	server.With.Password, err = a.linkPassword(access)
	return server, err
}

// linkPassword is the password of the user, from a file or typed.
func (a *app) linkPassword(access linkAccess) ([]byte, error) {
	if access.passwordFile != "" {
		text, err := exchange.ReadPrivate(access.passwordFile)
		var path *os.PathError
		if errors.As(err, &path) {
			err = fileError(access.passwordFile, err)
		}
		if err != nil {
			return nil, fail(exitInput, err)
		}
		return firstLine(text), nil
	}
	if !a.Editor {
		return nil, fail(exitInput, hint(fmt.Errorf("the password of %s is wanted, and nobody is there to type it", access.user), "--password-file names a file with it"))
	}
	return a.unseen("password of " + access.user + ": ")
}

// linkError gives what is wrong with the log its exit code.
func linkError(err error) error {
	code := link.CodeOf(err)
	switch {
	case code == "":
		return err
	case !strings.HasPrefix(code, "X4"), code == "X411", code == "X412": // a file or an address
		return fail(exitInput, err)
	}
	return fail(exitLog, err)
}
