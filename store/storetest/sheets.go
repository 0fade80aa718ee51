package storetest

import (
	"fmt"
	"strings"

	"netlore/store"
	"netlore/store/board"
)

// The Plover beacon is ours and invented, like all that is said of it here.
var plover = store.BoardSubject(board.Ref{Name: "Plover-P", Revision: "2"})

const ploverHead = "netlore 1\nboard Plover-P rev 2 layers 4 size 40x30mm \"main board of the Plover beacon\"\n"

// ploverSheet is canonical, so that it comes back as it is.
const ploverSheet = ploverHead + `
outline box 0,0 40,30

cover SH1 shield top box 4,4 20,18 lift hot-air 8min risk low
cover UF1 underfill over nothing lift hot-air

part C1 10uF 6.3V 0402 top at 6,6
part C2 100nF 10V 0201 top at 7,6 turned 90
part C10 1uF 0402 bottom at 7,6
part L1 2.2uH 1.5A 3x3mm top at 9,14
part U1 transceiver 5x5mm top at 10,10 for radio

net GND ground
  C1 2
  C2 2
  C10 2
  U1 1
net VMAIN power 3.8V also VSYS
  C1 1
  C10 1
  L1 1
net VRF power 1.8V for radio
  C2 1
  L1 2
  U1 2

pad P1 on VMAIN top at 1,1 in IP1
pad P2 on GND top at 2,1 in IP1

branch VMAIN.1 on VMAIN
  pad P1
  C1 1

expect diode VMAIN 0.412V ±8% by bench-1 "three good boards"

reading diode VMAIN 0.409V red-on-ground good meter M1 by bench-1 when 2026-03-02

note on U1 "cracks when the frame is bent" tagged mechanical by bench-1

continuity C1.1 P1 by bench-1
`

// ploverBlocks is how many statements ploverSheet makes.
const ploverBlocks = 19

const ploverStack = `netlore 1
stack Plover "Plover beacon"
  lower Plover-B rev 1
  upper Plover-P rev 2

join lower:P1 upper:P1 in IP1
join lower:P2 upper:P2 in IP1
`

// wide is a sheet of one board with so many statements on parts and nets.
func wide(parts int) string {
	var s strings.Builder
	s.WriteString(ploverHead + "\n")
	for i := range parts {
		fmt.Fprintf(&s, "part C%d 100nF 0402 top at %d,%d\n", i+1, i%200, i/200)
	}
	for i := range parts / 4 {
		fmt.Fprintf(&s, "net N%d\n  C%d 1\n  C%d 1\n  C%d 1\n  C%d 1\n", i+1, 4*i+1, 4*i+2, 4*i+3, 4*i+4)
	}
	return s.String()
}

// statements cuts a sheet into its statements, each with its members, without
// the first two lines.
func statements(text string) []string {
	var all []string
	for _, line := range strings.SplitAfter(strings.TrimPrefix(text, ploverHead), "\n") {
		switch {
		case strings.TrimSpace(line) == "":
		case strings.HasPrefix(line, " "):
			all[len(all)-1] += line
		default:
			all = append(all, line)
		}
	}
	return all
}

// members cuts a statement into one statement for each member, which say the
// same together.
func members(statement string) []string {
	lines := strings.SplitAfter(strings.TrimSuffix(statement, "\n"), "\n")
	if len(lines) == 1 {
		return []string{statement}
	}
	words := strings.Fields(lines[0])
	head := strings.Join(words[:2], " ")
	if words[0] == "branch" {
		head = strings.Join(words[:4], " ") // a branch is always on a net
	}
	all := []string{lines[0]}
	for _, m := range lines[1:] {
		all = append(all, head+"\n"+strings.TrimSuffix(m, "\n")+"\n")
	}
	return all
}
