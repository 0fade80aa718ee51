package scpi

import "time"

// SetTimeout lets a test be patient with all but one answer.
func (r *Reader) SetTimeout(d time.Duration) { r.options.Timeout = d }
