package main

import (
	"context"
	"fmt"
	"io/fs"

	"netlore/query/check"
	"netlore/query/run"
	"netlore/store/board"
	"netlore/store/sheet"
	"netlore/testdata/heron"
)

// heronStack is the main rail of the radio of the demonstration.
func heronStack(ctx context.Context) (subject, error) {
	var boards []*board.Board
	var stack *board.Stack
	names, err := fs.Glob(heron.Sheets, "*.lore")
	if err != nil {
		return subject{}, err
	}
	var files []*sheet.File
	for _, name := range names {
		text, err := heron.Sheets.ReadFile(name)
		if err != nil {
			return subject{}, err
		}
		f, list := sheet.Parse(name, text)
		if err := list.Err(); err != nil {
			return subject{}, err
		}
		files = append(files, f)
	}
	for _, group := range sheet.BySubject(files...) {
		content, list := sheet.Read(group...)
		if err := list.Err(); err != nil {
			return subject{}, err
		}
		if content.Board != nil {
			boards = append(boards, content.Board)
		}
		if content.Stack != nil {
			stack = content.Stack
		}
	}
	scope, err := scopeOf(stack, boards)
	if err != nil {
		return subject{}, err
	}
	d, err := run.Device(ctx, scope, board.Target{Name: "VMAIN"})
	return newSubject("Heron, the demonstration", d), err
}

// scopeOf are the boards of a stack.
func scopeOf(stack *board.Stack, boards []*board.Board) (*check.Scope, error) {
	scope := &check.Scope{Stack: stack.Name, Joins: stack.Joins}
	for _, m := range stack.Members {
		for _, b := range boards {
			if b.Ref == m.Board {
				scope.Members = append(scope.Members, check.Member{Role: m.Role, Board: b})
			}
		}
	}
	if len(scope.Members) != len(stack.Members) {
		return nil, fmt.Errorf("of the stack %s a board is missing", stack.Name)
	}
	return scope, nil
}
