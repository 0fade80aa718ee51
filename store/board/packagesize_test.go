package board

import (
	"strings"
	"testing"
)

// Bodies in micrometres. Chip codes: nominal sizes as makers print them, from
// memory; the code itself is the size in hundredths of an inch, which
// TestChipCodesAreHundredthsOfAnInch checks. IPC-7351 names: the lengths stand
// in the name, by the naming convention of IPC-7351B.
var packageSizes = map[string]Size{
	"01005": {400, 200}, "0201": {600, 300}, "0402": {1000, 500}, "0603": {1600, 800}, "0805": {2000, 1250},
	"1206": {3200, 1600}, "1210": {3200, 2500}, "2512": {6300, 3200},
	"C0402": {1000, 500}, "R0402": {1000, 500}, "CAP_0603": {1600, 800}, "LED-0603": {1600, 800},
	"SMR0402A": {1000, 500}, "CC1210": {3200, 2500}, "c0402": {1000, 500}, "0402_1005Metric": {1000, 500},
	"0201_0603Metric": {600, 300}, "R_0805_2012Metric": {2000, 1250},
	"CAPC1005X55N": {1000, 500}, "CAPC0603X33L": {600, 300}, "RESC1608X55N": {1600, 800}, "INDC3225X200M": {3200, 2500},
	"RESC6332X70N": {6300, 3200}, "CAPC60X32X27L15": {600, 320}, "CAPMP7343X310N": {7300, 4300},
	"SOIC127P600X175-8": {6000, 5080}, "SOIC127P600X175-8N": {6000, 5080}, "SOT95P280X145-5": {2800, 2850}, "SOP65P640X120-16L": {6400, 5200},
	"QFN50P500X500X80-33": {5000, 5000}, "QFN50P500X600X80-33V": {5000, 6000}, "QFP50P1200X1200X160-64N": {12000, 12000}, "SON65P300X200X80-8": {3000, 2000},
	"QFN50P700X700X80-39N_AEE": {7000, 7000}, "SODFL3517X110N_NXP": {3500, 1700}, "SOTFL50P160X60-6N_A": {1600, 1500},
	"CAPAE830X1050N": {8300, 8300}, "XTAL205X120X60N": {2050, 1200}, "DSBGA6N50P2X3_86X136X40": {860, 1360},
	"16-QFN (3x3mm)": {3000, 3000}, "4-SMD (3.2x2.5mm)": {3200, 2500},
	"BGA256C100P16X16_1700X1700X150": {17000, 17000}, "BGA64N50P8X8_500X400X100": {5000, 4000},
}

func TestPackageSize(t *testing.T) {
	for name, want := range packageSizes {
		if got, ok := PackageSize(name); !ok || got != want {
			t.Errorf("%s measures %v, %v; want %v", name, got, ok, want)
		}
	}
}

func TestPackageSizeUnknown(t *testing.T) {
	for _, name := range []string{
		"", "QFN-32", "SOT-23", "SOT1206", "SOT-0603", "TO-220", "HARWIN_M50-3600642", "FDMC8878", "0403", "04022", "C04025",
		"1005", "CAP_10UF_X5R", "USB4105", "DFN1006", "CAPC1000X55N", "CAPC0005X55N", "CAPC10055X55N", "CAPC0402", "BGA256",
		"QFN50P0X500X80-33", "QFN50P500X0X80-33", "QFN9999999P500X500X80-33", "SOIC127P600X175-0", "CAPC999999X999999X1N",
		"QFN (3mm)", "QFN (3x3)", "QFN (0x3mm)", "QFN (3x9999999mm)", "QFN (3xhmm)", "QFN 3x3mm", "BGA256C100P16X16_1700X1700", "FOO256C100P16X16_1700X1700X150", strings.Repeat("9", 5000),
	} {
		if got, ok := PackageSize(name); ok {
			t.Errorf("%q measures %v", name, got)
		}
	}
}

func TestChipCodesAreHundredthsOfAnInch(t *testing.T) {
	for code, size := range chipSizes {
		if code == "01005" { // 0.016 by 0.008 inch, written in another way
			continue
		}
		length, width := int32(code[0]-'0')*10+int32(code[1]-'0'), int32(code[2]-'0')*10+int32(code[3]-'0')
		for _, test := range [][2]int32{{size.W, length * 254}, {size.H, width * 254}} {
			// The code is coarse and bodies were rounded to metric: 0.2 mm or
			// a third, whichever is more.
			off := test[0] - test[1]
			if limit := max(test[1]/3, 230); off > limit || off < -limit {
				t.Errorf("%s: a side of %d um, by the code %d", code, test[0], test[1])
			}
		}
	}
	if !ChipCode("0402") || ChipCode("0403") || ChipCode("") {
		t.Error("the codes are not what ChipCode says")
	}
}

func FuzzPackageSize(f *testing.F) {
	for name := range packageSizes {
		f.Add(name)
	}
	f.Fuzz(func(t *testing.T, name string) {
		size, ok := PackageSize(name)
		if ok != (size.W > 0 && size.H > 0) || size.W > 1_000_000 || size.H > 1_000_000 {
			t.Fatalf("%q measures %v, %v", name, size, ok)
		}
	})
}
