package cli

import (
	"errors"

	"netlore/store/exchange"
)

// signing opens the identity to sign with, and makes one if there is none yet.
func (a *app) signing() (*exchange.Identity, error) {
	dir, err := a.identityDir()
	if err != nil {
		return nil, err
	}
	i, err := exchange.Open(dir, a.passphrase)
	if !errors.Is(err, exchange.ErrNoIdentity) {
		return i, identityError(err)
	}
	card, err := exchange.Make(dir, exchange.Making{Shop: a.shopName(), Bench: benchName(a.author())}, a.passphrase)
	if err != nil {
		return nil, identityError(err)
	}
	a.say("netlore: made an identity for this bench: %s, whose key is %s; netlore identity tells more", card.Name, card.Shop)
	i, err = exchange.Open(dir, a.passphrase)
	return i, identityError(err)
}

// self is who this bench is, for which no key has to be opened. To take what others
// share, nobody has to be somebody, so without an identity that can be read it is
// nobody.
func (a *app) self() *exchange.Card {
	dir := exchange.Dir(a.Getenv)
	card, err := exchange.Look(dir)
	if dir == "" || err != nil {
		return &exchange.Card{}
	}
	return card
}

// shopName is what a shop is called that has not said it: NETLORE_SHOP, else the
// author's name.
func (a *app) shopName() string {
	if name := a.Getenv("NETLORE_SHOP"); name != "" {
		return name
	}
	return a.author()
}
