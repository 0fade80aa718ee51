//go:build !unix

package store_test

import "testing"

// asNobody is never called: this system has no root.
func asNobody(t *testing.T) { t.Error("there is a root here; play another user") }
