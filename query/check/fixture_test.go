package check

import (
	"fmt"

	"netlore/store/board"
)

// fixture is a stack of two small boards, invented for these tests.
func fixture() *Scope {
	return &Scope{
		Stack: "Heron",
		Members: []Member{
			{Role: "lower", Board: lowerBoard(), Knowledge: twoJobs()},
			{Role: "upper", Board: upperBoard(), Knowledge: twoJobs()},
		},
		Others: []string{"Grebe-A", "Grebe-B"},
	}
}

// alone is the upper board by itself.
func alone() *Scope { return &Scope{Members: []Member{{Board: upperBoard(), Knowledge: twoJobs()}}} }

// twoJobs is what is known: two jobs, one of which only a reading tells of.
func twoJobs() *board.Knowledge {
	return &board.Knowledge{Jobs: []board.Job{{ID: "1042"}}, Readings: []board.Reading{{Job: "1017"}}}
}

func upperBoard() *board.Board {
	bu := board.NewBuilder(board.Ref{Name: "Heron-A", Revision: "3"})
	vmain, gnd := bu.Net("VMAIN"), bu.Net("GND")
	bu.NetAt(vmain).Aliases = []string{"VSYS"}
	bu.NetAt(vmain).Kind, bu.NetAt(gnd).Kind = board.Power, board.Ground
	for _, name := range []string{"VBAT_1", "VBAT_2", "N$12", "/RESET#", "VBUS-", "+3V3_AUX", "5V", "0R", "ON", "Net-(C12-Pad1)", "VM AIN", "1.8V", "Sda", "SDA2", "sdA2", "CLK$CS", "shield"} {
		bu.Net(name)
	}
	for i := 1; i <= 14; i++ {
		p := bu.Pad(fmt.Sprintf("P%d", i))
		bu.PadAt(p).Net, bu.PadAt(p).Group = vmain, "IP1"
	}
	for _, name := range []string{"C12", "C1201", "C1202", "R7", "L300", "FB2", "F1", "J7", "U300", "#X1"} {
		p := bu.Part(name)
		bu.Connect(bu.Pin(p, "1"), vmain)
		bu.Connect(bu.Pin(p, "2"), gnd)
	}
	u := bu.Part("U300")
	for i := 4; i <= 7; i++ {
		bu.Connect(bu.Pin(u, fmt.Sprintf("A%d", i)), vmain)
	}
	for name, kind := range map[string]board.CoverKind{"SH1": board.Shield, "SH2": board.Shield, "J7": board.Connector, "ST1": board.Sticker, "foil": board.Foil} {
		bu.CoverAt(bu.Cover(name)).Kind = kind
	}
	bu.BranchAt(bu.Branch("VMAIN/1")).Net = vmain
	return bu.Build()
}

func lowerBoard() *board.Board {
	bu := board.NewBuilder(board.Ref{Name: "Heron-B", Revision: "2"})
	vmain := bu.Net("VMAIN")
	bu.Connect(bu.Pin(bu.Part("C4407"), "1"), vmain)
	bu.Net("VRF")
	bu.PadAt(bu.Pad("P1")).Net = vmain
	bu.Cover("SH21")
	return bu.Build()
}
