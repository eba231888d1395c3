package charts

import (
	"bytes"
	"flag"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"os"
	"path/filepath"
	"testing"

	"ledgerline/routine"
	"ledgerline/streaks"
	"ledgerline/studio"
)

var update = flag.Bool("update", false, "write the golden pictures anew")

// The tolerance of the comparison. Arithmetic may differ in the last bit from
// one processor to another, which moves the shade of a pixel on an edge by a
// step or two; a sign that changes moves many pixels a long way.
const (
	shadeTolerance = 24 // of 255, in any channel
	pixelTolerance = 12 // pixels that may be off by more
)

// compare says how one picture differs from another, or "" if they are the same
// within the tolerance.
func compare(got, want []byte) (string, error) {
	a, err := png.Decode(bytes.NewReader(got))
	if err != nil {
		return "", err
	}
	b, err := png.Decode(bytes.NewReader(want))
	if err != nil {
		return "", err
	}
	if a.Bounds() != b.Bounds() {
		return fmt.Sprintf("size %v, want %v", a.Bounds().Size(), b.Bounds().Size()), nil
	}
	if n := differing(a, b); n > pixelTolerance {
		return fmt.Sprintf("%d pixels differ, at most %d may", n, pixelTolerance), nil
	}
	return "", nil
}

// differing counts the pixels of two pictures of one size that are not alike.
func differing(a, b image.Image) (n int) {
	size := a.Bounds().Size()
	for y := range size.Y {
		for x := range size.X {
			if !alike(a.At(x, y), b.At(x, y)) {
				n++
			}
		}
	}
	return n
}

func alike(a, b color.Color) bool {
	r1, g1, b1, a1 := a.RGBA()
	r2, g2, b2, a2 := b.RGBA()
	for _, d := range []int{int(r1) - int(r2), int(g1) - int(g2), int(b1) - int(b2), int(a1) - int(a2)} {
		if max(d, -d)>>8 > shadeTolerance {
			return false
		}
	}
	return true
}

func TestGolden(t *testing.T) {
	for _, s := range samples() {
		t.Run(s.name, func(t *testing.T) {
			got := mustDraw(t, s.picture)
			file := filepath.Join("testdata", s.name+".png")
			if *update {
				if err := os.WriteFile(file, got, 0o644); err != nil {
					t.Fatal(err)
				}
			}
			want, err := os.ReadFile(file)
			if err != nil {
				t.Fatalf("%v; go test -update writes it", err)
			}
			diff, err := compare(got, want)
			if err != nil {
				t.Fatal(err)
			}
			if diff != "" {
				failed := filepath.Join(os.TempDir(), "ledgerline-"+s.name+".png")
				t.Errorf("%s: %s; look at %s", file, diff, failed)
				if err := os.WriteFile(failed, got, 0o644); err != nil {
					t.Error(err)
				}
			}
		})
	}
}

func mustDraw(t testing.TB, p studio.Picture) []byte {
	t.Helper()
	got, err := New(nil).Draw(p)
	if err != nil {
		t.Fatal(err)
	}
	return got
}

// The comparison must see the least change that matters: one sign for another,
// a point one mark higher, another goal, one letter of a name, a week kept.
func TestComparisonSeesChanges(t *testing.T) {
	changes := map[string]func(tempo *studio.TempoPicture, cal *studio.CalendarPicture){
		"outcome":  func(p *studio.TempoPicture, _ *studio.CalendarPicture) { p.Points[3].Outcome = routine.Shaky },
		"one mark": func(p *studio.TempoPicture, _ *studio.CalendarPicture) { p.Points[3].Tempo = quarter(80) },
		"goal":     func(p *studio.TempoPicture, _ *studio.CalendarPicture) { p.Goal = quarter(116) },
		"forecast": func(p *studio.TempoPicture, _ *studio.CalendarPicture) {
			p.Likely = studio.Span{From: march + 42, To: march + 50}
		},
		"pass": func(p *studio.TempoPicture, _ *studio.CalendarPicture) {
			p.Passes = []studio.PassChange{{Date: march, Pass: 1}, {Date: march + 9, Pass: 2}}
		},
		"date":      func(p *studio.TempoPicture, _ *studio.CalendarPicture) { p.Points[3].Date++ },
		"day":       func(_ *studio.TempoPicture, p *studio.CalendarPicture) { p.Rows[2].Days[1] = streaks.Extra },
		"speck":     func(_ *studio.TempoPicture, p *studio.CalendarPicture) { p.Rows[2].Days[6] = streaks.Open },
		"name":      func(_ *studio.TempoPicture, p *studio.CalendarPicture) { p.Rows[5].Name = "Wrem" },
		"week kept": func(_ *studio.TempoPicture, p *studio.CalendarPicture) { p.Rows[0].Weeks[0] = !p.Rows[0].Weeks[0] },
	}
	for name, change := range changes {
		t.Run(name, func(t *testing.T) {
			tempo, cal := fiveWeeks(), studioWeeks(4, 9)
			before := [][]byte{mustDraw(t, studio.Picture{Tempo: &tempo}), mustDraw(t, studio.Picture{Calendar: &cal})}
			change(&tempo, &cal)
			after := [][]byte{mustDraw(t, studio.Picture{Tempo: &tempo}), mustDraw(t, studio.Picture{Calendar: &cal})}
			seen := 0
			for i := range before {
				diff, err := compare(after[i], before[i])
				if err != nil {
					t.Fatal(err)
				}
				if diff != "" {
					seen++
				}
			}
			if seen != 1 {
				t.Errorf("comparison saw a change in %d pictures, want in one", seen)
			}
		})
	}
}
