package forecast

import (
	"math"
	"math/rand/v2"
	"strconv"
	"testing"

	"ledgerline/routine"
)

func itoa(n int) string { return strconv.Itoa(n) }

// closeTo reports whether got agrees with want to the given number of digits.
func closeTo(got, want float64, digits int) bool {
	return math.Abs(got-want) <= math.Abs(want)*math.Pow10(-digits)
}

// BoxBOD of the NIST Statistical Reference Datasets for nonlinear regression,
// from both of its starts; certified values to the digits checked.
func TestBoxBOD(t *testing.T) {
	x := []float64{1, 2, 3, 5, 7, 10}
	y := []float64{109, 149, 149, 191, 213, 224}
	m := func(i int, p, grad []float64) float64 {
		e := math.Exp(-p[1] * x[i])
		grad[0], grad[1] = 1-e, p[0]*x[i]*e
		return p[0] * (1 - e)
	}
	for _, start := range [][]float64{{1, 1}, {100, .75}} {
		check(t, m, y, start, []float64{2.1380940889e+02, 5.4723748542e-01}, 1.1680088766e+03)
	}
}

// DanWood of the same, from both of its starts.
func TestDanWood(t *testing.T) {
	x := []float64{1.309, 1.471, 1.490, 1.565, 1.611, 1.680}
	y := []float64{2.138, 3.421, 3.597, 4.340, 4.882, 5.660}
	m := func(i int, p, grad []float64) float64 {
		v := math.Pow(x[i], p[1])
		grad[0], grad[1] = v, p[0]*v*math.Log(x[i])
		return p[0] * v
	}
	for _, start := range [][]float64{{1, 5}, {.7, 4}} {
		check(t, m, y, start, []float64{7.6886226176e-01, 3.8604055871e+00}, 4.3173084083e-03)
	}
}

// Misra1a, 1b and 1c of the same, three laws of growth on one set of data, and
// Rat42, a growth curve of three parameters that is said to be of the higher level
// of difficulty; each from both of its starts.
func TestMisraAndRatkowsky(t *testing.T) {
	x := []float64{77.6, 114.9, 141.1, 190.8, 239.9, 289.0, 332.8, 378.4, 434.8, 477.3, 536.8, 593.1, 689.1, 760.0}
	y := []float64{10.07, 14.73, 17.94, 23.93, 29.61, 35.18, 40.02, 44.82, 50.76, 55.05, 61.01, 66.40, 75.47, 81.78}
	misra1a := func(i int, p, grad []float64) float64 {
		e := math.Exp(-p[1] * x[i])
		grad[0], grad[1] = 1-e, p[0]*x[i]*e
		return p[0] * (1 - e)
	}
	misra1b := func(i int, p, grad []float64) float64 {
		u := 1 + p[1]*x[i]/2
		grad[0], grad[1] = 1-1/(u*u), p[0]*x[i]/(u*u*u)
		return p[0] * (1 - 1/(u*u))
	}
	misra1c := func(i int, p, grad []float64) float64 {
		u := 1 + 2*p[1]*x[i]
		grad[0], grad[1] = 1-1/math.Sqrt(u), p[0]*x[i]*math.Pow(u, -1.5)
		return p[0] * (1 - 1/math.Sqrt(u))
	}
	for _, start := range [][]float64{{500, .0001}, {250, .0005}} {
		check(t, misra1a, y, start, []float64{2.3894212918e+02, 5.5015643181e-04}, 1.2455138894e-01)
	}
	for _, start := range [][]float64{{500, .0001}, {300, .0002}} {
		check(t, misra1b, y, start, []float64{3.3799746163e+02, 3.9039091287e-04}, 7.5464681533e-02)
	}
	for _, start := range [][]float64{{500, .0001}, {600, .0002}} {
		check(t, misra1c, y, start, []float64{6.3642725809e+02, 2.0813627256e-04}, 4.0966836971e-02)
	}

	xr := []float64{9, 14, 21, 28, 42, 57, 63, 70, 79}
	yr := []float64{8.93, 10.8, 18.59, 22.33, 39.35, 56.11, 61.73, 64.62, 67.08}
	rat42 := func(i int, p, grad []float64) float64 {
		e := math.Exp(p[1] - p[2]*xr[i])
		grad[0], grad[1], grad[2] = 1/(1+e), -p[0]*e/(1+e)/(1+e), p[0]*xr[i]*e/(1+e)/(1+e)
		return p[0] / (1 + e)
	}
	for _, start := range [][]float64{{100, 1, .1}, {75, 2.5, .07}} {
		check(t, rat42, yr, start, []float64{7.2462237576e+01, 2.6180768402e+00, 6.7359200066e-02}, 8.0565229338e+00)
	}
}

func check(t *testing.T, m model, y, start, want []float64, wantRSS float64) {
	t.Helper()
	squares := func(i int, v float64) (cost, slope, curvature float64) {
		return (v - y[i]) * (v - y[i]) / 2, v - y[i], 1
	}
	p, err := minimize(m, len(y), squares, start)
	if err != nil {
		t.Fatal(err)
	}
	rss, grad := 0.0, make([]float64, len(p))
	for i := range y {
		r := m(i, p, grad) - y[i]
		rss += r * r
	}
	for j := range p {
		if !closeTo(p[j], want[j], 6) {
			t.Errorf("from %v: parameter %d is %.11g, certified %.11g", start, j+1, p[j], want[j])
		}
	}
	if !closeTo(rss, wantRSS, 8) {
		t.Errorf("from %v: residual sum of squares %.11g, certified %.11g", start, rss, wantRSS)
	}
}

// The derivatives given to the fit are those of the functions themselves, by
// central differences.
func TestDerivatives(t *testing.T) {
	near := func(what string, got, want float64) {
		t.Helper()
		if math.Abs(got-want) > 1e-5*(1+math.Abs(want)) {
			t.Errorf("%s: %v, by differences %v", what, got, want)
		}
	}
	const h = 1e-5
	clean, _ := Played(0, 96, routine.Clean)
	shaky, _ := Played(0, 96, routine.Shaky)
	missed, _ := Played(0, 96, routine.Missed)
	for what, s := range map[string]Session{"clean": clean, "shaky": shaky, "missed": missed, "measured": Measured(0, 96)} {
		for _, mu := range []float64{80, 90, 95, 96, 99, 110} {
			above, slopeAbove, _ := s.surprise(mu+h, 4)
			below, slopeBelow, _ := s.surprise(mu-h, 4)
			_, slope, curvature := s.surprise(mu, 4)
			near(what+" slope", slope, (above-below)/(2*h))
			near(what+" curvature", curvature, max(0, (slopeAbove-slopeBelow)/(2*h)))
		}
	}
	for _, law := range []Law{Exponential, Power} {
		f := fixed{law: law, last: 30}
		p, grad, scratch := []float64{60, 40, math.Log(.2)}, make([]float64, 3), make([]float64, 3)
		for _, i := range []int{0, 7, 30} {
			f.model()(i, p, grad)
			for j := range p {
				was := p[j]
				p[j] = was + h
				above := f.model()(i, p, scratch)
				p[j] = was - h
				below := f.model()(i, p, scratch)
				p[j] = was
				near(string(law), grad[j], (above-below)/(2*h))
			}
		}
	}
}

// One wild session in twenty hardly moves the curve.
func TestFitWithOddSessions(t *testing.T) {
	rnd := rand.New(rand.NewPCG(1, 1))
	for _, want := range []Curve{{Exponential, 140, 80, .05}, {Power, 140, 80, .5}} {
		var s []Session
		for i := range 60 {
			s = append(s, Measured(0, want.At(float64(i))+rnd.NormFloat64()))
		}
		for _, odd := range []int{7, 31, 52} {
			s[odd] = Measured(0, 40)
		}
		got, err := likeliest(grid(want.Law, s, triedSpreads)).polish(s)
		if err != nil {
			t.Fatal(err)
		}
		for _, at := range []float64{0, 30, 59} {
			if math.Abs(got.At(at)-want.At(at)) > 2.5 {
				t.Errorf("%s after %v sessions: %.1f, want about %.1f", want.Law, at, got.At(at), want.At(at))
			}
		}
	}
}

// The law is that of the learner, if there is enough to tell by.
func TestChoose(t *testing.T) {
	for law, c := range map[Law]Curve{Exponential: {Exponential, 140, 80, .08}, Power: {Power, 170, 110, .4}} {
		rnd := rand.New(rand.NewPCG(2, 2))
		right := 0
		for range 100 {
			var s []Session
			for i := range 80 {
				s = append(s, Measured(0, c.At(float64(i))+2*rnd.NormFloat64()))
			}
			fits := append(grid(Exponential, s, triedSpreads), grid(Power, s, triedSpreads)...)
			if choose(fits, s).law == law {
				right++
			}
		}
		t.Logf("%s learners: law found for %d of 100", law, right)
		if right < 70 {
			t.Errorf("%s learners: law found for %d of 100, want 70 or more", law, right)
		}
	}
}
