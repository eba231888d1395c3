package charts

import (
	"image"
	"image/color"
	"testing"

	"ledgerline/routine"
	"ledgerline/streaks"
)

// greySign draws one sign as a phone shows it, in grey, a CSS pixel a pixel: two
// by two pixels are averaged.
func greySign(g glyph, r float64) []float64 {
	const side = 48
	s := newSheet(side * 2)
	g(s, point{pageWidth / 2, side}, r)
	page := s.canvas.Image()
	var grey []float64
	for y := side - side/2; y < side+side/2; y += 2 {
		for x := pageWidth/2 - side/2; x < pageWidth/2+side/2; x += 2 {
			grey = append(grey, averageGrey(page, x, y))
		}
	}
	return grey
}

// averageGrey is the mean grey of two by two pixels, from 0 to 1.
func averageGrey(page image.Image, x, y int) float64 {
	sum := 0
	for _, d := range []image.Point{{0, 0}, {1, 0}, {0, 1}, {1, 1}} {
		sum += int(color.GrayModel.Convert(page.At(x+d.X, y+d.Y)).(color.Gray).Y)
	}
	return float64(sum) / (4 * 255)
}

// distance is how many CSS pixels of ink one sign has where the other has none,
// the darkness of each counted.
func distance(a, b []float64) (d float64) {
	for i := range a {
		d += max(a[i]-b[i], b[i]-a[i])
	}
	return d
}

// Signs of one picture must differ by their shapes, in grey and at the size of a
// phone, by a good part of the ink that the smaller one has.
func TestSignsDifferWithoutColour(t *testing.T) {
	blank := func(*sheet, point, float64) {}
	crowded := &score{CalendarPicture: studioWeeks(MostWeeks, MostRows)}
	crowded.labels = rowLabels(english(), crowded.Rows)
	crowded.fit()
	heads := map[string]glyph{}
	for _, o := range []routine.Outcome{routine.Clean, routine.Shaky, routine.Missed, routine.Done} {
		heads[string(o)] = headOf(o)
	}
	days := map[string]glyph{"open": blank}
	for _, k := range []streaks.Kind{streaks.Kept, streaks.Extra, streaks.Missed, streaks.Excused, streaks.Off} {
		g, _ := daySign(k)
		days[string(k)] = g
	}
	pictures := map[string]struct {
		signs  map[string]glyph
		radius float64
	}{"tempo": {heads, smallHead}, "calendar": {days, crowded.radius()}}
	for picture, p := range pictures {
		for name, g := range p.signs {
			for other, h := range p.signs {
				if name >= other {
					continue
				}
				a, b, none := greySign(g, p.radius), greySign(h, p.radius), greySign(blank, p.radius)
				d := distance(a, b)
				inked := min(distance(a, none), distance(b, none))
				t.Logf("%s: %s and %s differ by %.1f, the lighter has %.1f", picture, name, other, d, inked)
				if d < 0.4*inked || d < 1 {
					t.Errorf("%s: %s and %s differ by %.1f CSS pixels of ink, the lighter has %.1f", picture, name, other, d, inked)
				}
			}
		}
	}
}
