//go:build cgosqlite

package run_test

import _ "github.com/mattn/go-sqlite3"

func init() { sqlDrivers = append(sqlDrivers, "sqlite3") }
