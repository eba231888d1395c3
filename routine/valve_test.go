package routine_test

import (
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"testing"

	"ledgerline/routine"
)

// Every fingering of F#3 to C6 with partials 2 to 8, computed by hand from the
// semitone drops and the harmonic series. The first of each row agrees with the
// regular column of the Wikimedia chart "trumpet overtone series".
const fingeringTable = `
F#3 123@2; G3 13@2; G#3 23@2; A3 12@2, 3@2; A#3 1@2; B3 2@2; C4 0@2;
C#4 123@3; D4 13@3; D#4 23@3; E4 12@3, 3@3; F4 1@3; F#4 2@3, 123@4; G4 0@3, 13@4;
G#4 23@4; A4 12@4, 3@4; A#4 1@4, 123@5; B4 2@4, 13@5; C5 0@4, 23@5;
C#5 12@5, 3@5, 123@6; D5 1@5, 13@6; D#5 2@5, 23@6; E5 0@5, 12@6, 3@6, 123@7;
F5 1@6, 13@7; F#5 2@6, 23@7, 123@8; G5 0@6, 12@7, 3@7, 13@8; G#5 23@8, 1@7;
A5 12@8, 3@8, 2@7; A#5 1@8, 0@7; B5 2@8; C6 0@8`

func TestFingerings(t *testing.T) {
	next := mustPitch(t, "F#3")
	for row := range strings.SplitSeq(fingeringTable, ";") {
		name, list, _ := strings.Cut(strings.TrimSpace(row), " ")
		p := mustPitch(t, name)
		if p != next {
			t.Fatalf("the table goes from %v to %v", next-1, p)
		}
		next++
		want := map[string]bool{}
		for f := range strings.SplitSeq(list, ", ") {
			want[f] = true
		}
		all := routine.Fingerings(p)
		for _, f := range all {
			if !want[f.String()] {
				t.Errorf("%v: %v is not in the table", p, f)
			}
			if f.Pitch() != p {
				t.Errorf("%v gives %v, not %v", f, f.Pitch(), p)
			}
		}
		if len(all) != len(want) {
			t.Errorf("%v: Fingerings = %v, want %v", p, all, list)
		}
		regular, ok := routine.RegularFingering(p)
		if first, _, _ := strings.Cut(list, ", "); !ok || regular.String() != first {
			t.Errorf("RegularFingering(%v) = %v, want %v", p, regular, first)
		}
	}
	if next != mustPitch(t, "C#6") {
		t.Errorf("the table ends before %v", next)
	}
	for _, outside := range []routine.Pitch{0, mustPitch(t, "F3"), mustPitch(t, "C#6")} {
		if got := routine.Fingerings(outside); got != nil {
			t.Errorf("Fingerings(%v) = %v, want none", outside, got)
		}
		if _, ok := routine.RegularFingering(outside); ok {
			t.Errorf("RegularFingering(%v) found one", outside)
		}
	}
}

func TestOpenHarmonicSeries(t *testing.T) {
	want := strings.Fields("C4 G4 C5 E5 G5 A#5 C6 D6 E6") // A#5 is B-flat 5
	for i, name := range want {
		if got := routine.Open.Partial(i + 2); got.String() != name {
			t.Errorf("partial %d is %v, want %v", i+2, got, name)
		}
	}
}

// Common practice: the set puts every A and every E on 3, and nothing else
// changes.
func TestThirdValveFingering(t *testing.T) {
	for p := mustPitch(t, "F#3"); p <= mustPitch(t, "C6"); p++ {
		got, ok := routine.ThirdValveFingering(p)
		if !ok || got.Pitch() != p {
			t.Fatalf("ThirdValveFingering(%v) = %v, %v", p, got, ok)
		}
		regular, _ := routine.RegularFingering(p)
		name := p.String()
		switch onThird := strings.HasPrefix(name, "A") || strings.HasPrefix(name, "E"); {
		case onThird && !strings.Contains(name, "#"):
			if got.Valves != routine.Valve3 {
				t.Errorf("%v is on %v, want 3", p, got)
			}
		case got != regular:
			t.Errorf("%v is on %v, want the regular %v", p, got, regular)
		}
	}
}

func TestCents(t *testing.T) {
	for _, c := range []struct {
		f    routine.Fingering
		want float64
	}{
		// The harmonic series against equal temperament, computed.
		{routine.Fingering{Partial: 2}, 0},
		{routine.Fingering{Partial: 3}, +1.955},
		{routine.Fingering{Partial: 5}, -13.686},
		{routine.Fingering{Partial: 6}, +1.955},
		{routine.Fingering{Partial: 7}, -31.174},
		// Ideal combinations over the eighth partial, computed.
		{routine.Fingering{Valves: routine.Valve1, Partial: 8}, 0},
		{routine.Fingering{Valves: routine.Valve2, Partial: 8}, 0},
		{routine.Fingering{Valves: routine.Valve3, Partial: 8}, 0},
		{routine.Fingering{Valves: routine.Valve12, Partial: 8}, +10.6},
		{routine.Fingering{Valves: routine.Valve23, Partial: 8}, +15.5},
		{routine.Fingering{Valves: routine.Valve13, Partial: 8}, +30.3},
		{routine.Fingering{Valves: routine.Valve123, Partial: 8}, +53.6},
	} {
		if got := c.f.Cents(); math.Abs(got-c.want) > 0.05 {
			t.Errorf("%v: %.3f cents, want %.3f", c.f, got, c.want)
		}
	}
}

// An alternate set leaves a note as it is where there is no other way to play it.
func TestAlternateFingering(t *testing.T) {
	for name, want := range map[string]string{"E5": "12@6", "D5": "13@6", "C4": "0@2", "G4": "13@4"} {
		if got, ok := routine.Alternate.Fingering(mustPitch(t, name)); !ok || got.String() != want {
			t.Errorf("%s: %v, %v; want %s", name, got, ok, want)
		}
	}
	if f, ok := routine.Alternate.Fingering(mustPitch(t, "C3")); ok {
		t.Errorf("the pedal C3 is on %v", f)
	}
	if p := routine.Valve1.Partial(0); p != 0 {
		t.Errorf("partial 0 is %v", p)
	}
}

func TestDrops(t *testing.T) {
	want := map[string]int{"0": 0, "2": 1, "1": 2, "3": 3, "12": 3, "23": 4, "13": 5, "123": 6}
	for v := routine.Open; v <= routine.Valve123; v++ {
		if drop, ok := want[v.String()]; !ok || v.Drop() != drop {
			t.Errorf("%v drops %d semitones, want %d", v, v.Drop(), drop)
		}
		text, err := json.Marshal(v)
		if err != nil {
			t.Fatal(err)
		}
		var back routine.Valves
		if err := json.Unmarshal(text, &back); err != nil || back != v {
			t.Errorf("%v reads back as %v, %v", v, back, err)
		}
		delete(want, v.String())
	}
	if len(want) != 0 {
		t.Errorf("not seen: %v", want)
	}
	for _, s := range []string{"", "21", "4", "012"} {
		if v, err := routine.ParseValves(s); err == nil {
			t.Errorf("ParseValves(%q) = %v, want an error", s, v)
		}
	}
}

func mustPitch(t *testing.T, s string) routine.Pitch {
	t.Helper()
	p, err := routine.ParsePitch(s)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func ExampleFingerings() {
	e5, _ := routine.ParsePitch("E5")
	for _, f := range routine.Fingerings(e5) {
		fmt.Printf("%v %+.1f cents\n", f, f.Cents())
	}
	// Output:
	// 0@5 -13.7 cents
	// 12@6 +12.6 cents
	// 3@6 +2.0 cents
	// 123@7 +22.4 cents
}

func ExampleDemand_Fingering() {
	for _, name := range []string{"E4", "G4", "A4"} {
		p, _ := routine.ParsePitch(name)
		regular, _ := routine.Regular.Fingering(p)
		third, _ := routine.ThirdValve.Fingering(p)
		fmt.Println(name, regular.Valves, third.Valves)
	}
	// Output:
	// E4 12 3
	// G4 0 0
	// A4 12 3
}
