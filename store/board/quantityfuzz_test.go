package board

import (
	"errors"
	"testing"
)

func FuzzParseQuantity(f *testing.F) {
	for _, test := range quantityTexts {
		f.Add(test.text, uint8(test.want))
	}
	for _, test := range quantityFaults {
		f.Add(test.text, uint8(test.want))
	}
	f.Fuzz(func(t *testing.T, text string, unit uint8) {
		want := Unit(unit) % (Celsius + 1)
		q, err := ParseQuantity(text, want)
		if short, ok := QuantityOf(text, want); short != q || ok != (err == nil) {
			t.Fatalf("%q is read as %v, and without a reason as %v, %v", text, q, short, ok)
		}
		if err != nil {
			var fault *QuantityError
			if !errors.As(err, &fault) || fault.Offset < 0 || fault.Offset > len(text) || fault.Reason == "" || fault.Text != text {
				t.Fatalf("%q: fault is %+v", text, fault)
			}
			if fault.Likely != "" {
				if _, err := ParseQuantity(fault.Likely, want); err != nil {
					t.Fatalf("%q: perhaps %s, but: %v", text, fault.Likely, err)
				}
			}
			return
		}
		if want != NoUnit && q.Unit != want {
			t.Fatalf("%q is read as %v; wanted %s", text, q, want.Name())
		}
		if back, err := ParseQuantity(q.String(), want); err != nil || back != q {
			t.Fatalf("%q is read as %#v, prints as %s and is read as %#v, %v", text, q, q, back, err)
		}
	})
}
