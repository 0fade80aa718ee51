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

// shopName is what a shop is called that has not said it: NETLORE_SHOP, else the
// author's name.
func (a *app) shopName() string {
	if name := a.Getenv("NETLORE_SHOP"); name != "" {
		return name
	}
	return a.author()
}
