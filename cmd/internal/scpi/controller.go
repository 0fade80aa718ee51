package scpi

import "context"

// A Controller is a Reader that can also send the commands of this package. It
// is for meters.
type Controller struct{ *Reader }

// NewController returns a Controller. It connects with the first question or
// command. Begin, if not nil, is run on every new connection before it is used,
// and can ask and tell.
func NewController(address Address, options Options, begin func(context.Context, *Controller) error) *Controller {
	c := &Controller{NewReader(address, options)}
	if begin != nil {
		c.Reader.begin = func(ctx context.Context) error { return begin(ctx, c) }
	}
	return c
}

// Tell sends a command. That it was understood is seen from Errors only.
func (c *Controller) Tell(ctx context.Context, command Command) error {
	return c.exchange(ctx, command.text+"\n", func(*link) error { return nil })
}
