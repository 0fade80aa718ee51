package scpi_test

import (
	"slices"
	"testing"
	"time"

	"netlore/cmd/internal/scpi"
	"netlore/cmd/internal/scpi/scpitest"
)

func TestErrors(t *testing.T) {
	b := newBench(t, patient)
	b.Queue(`-222,"Data out of range"`, `-113,"Undefined header;FOO"`)
	got, err := b.Errors(t.Context())
	if want := []scpi.Entry{{Code: -222, Text: "Data out of range"}, {Code: -113, Text: "Undefined header;FOO"}}; err != nil || !slices.Equal(got, want) {
		t.Errorf("got %v, %v", got, err)
	}
	b.Answer("SYSTem:ERRor?", `-350,"Queue overflow"`)
	if _, err := b.Errors(t.Context()); scpi.CodeOf(err) != "M304" {
		t.Errorf("an endless queue gives %v", err)
	}
}

func TestTry(t *testing.T) {
	b := newBench(t, patient)
	b.Queue(`-222,"old"`)
	b.Reads("DIOD", "+1E0")
	if a, known, _, err := b.Try(t.Context(), read); err != nil || !known || a.Text != "+1E0" {
		t.Errorf("READ?: %q, %v, %v", a.Text, known, err)
	}
	_, known, refused, err := b.Try(t.Context(), scpi.MustQuery("OUTP?"))
	if want := []scpi.Entry{{Code: -113, Text: "Undefined header;OUTP?"}}; err != nil || known || !slices.Equal(refused, want) {
		t.Errorf("OUTP?: %v, %v, %v", known, refused, err)
	}
	b.Fault("SYSTem:ERRor?", scpitest.Instead("garbage\n"))
	if _, _, _, err := b.Try(t.Context(), read); scpi.CodeOf(err) != "M204" {
		t.Errorf("a queue that cannot be read gives %v", err)
	}
}

// TestOneQuestionAtATime is for instruments that throw an answer away when the
// next question comes, and for those that lose the next question.
func TestOneQuestionAtATime(t *testing.T) {
	b := newBench(t, patient)
	b.Reads("DIOD", "first", "second", "third")
	b.Fault("READ?", scpitest.Silent())
	b.Queue(`-410,"Query INTERRUPTED"`)
	for _, want := range []string{"second", "third"} {
		if a, known, _, err := b.Try(t.Context(), read); err != nil || !known || a.Text != want {
			t.Errorf("got %q, %v, %v", a.Text, known, err)
		}
	}
	if want := []string{"*IDN?\n", "READ?\n", "SYST:ERR?\n", "READ?\n", "READ?\n"}; !slices.Equal(b.Received(), want) {
		t.Errorf("received %q", b.Received())
	}
}

// TestLosesTheSecondQuestion needs a time-out to be reached in the first
// exchange only; all others are answered.
func TestLosesTheSecondQuestion(t *testing.T) {
	t.Parallel()
	b := newBench(t, 2*time.Second)
	b.Reads("DIOD", "first", "second")
	b.Fault("SYSTem:ERRor?", scpitest.Silent())
	if a, known, _, err := b.Try(t.Context(), read); err != nil || !known || a.Text != "second" {
		t.Errorf("got %q, %v, %v", a.Text, known, err)
	}
}

func TestUnknownAndOneAtATime(t *testing.T) {
	t.Parallel()
	b := newBench(t, 2*time.Second)
	b.Fault("SYSTem:ERRor?", scpitest.Silent())
	_, known, refused, err := b.Try(t.Context(), scpi.MustQuery("OUTP?"))
	if err != nil || known || len(refused) == 0 || refused[0].Code != -113 {
		t.Errorf("got %v, %v, %v", known, refused, err)
	}
}
