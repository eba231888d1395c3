package forecast

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/optimize"
)

// A model is a curve with parameters p. It returns the value at point i and puts
// its derivatives by the parameters in grad.
type model func(i int, p, grad []float64) float64

// A loss says how much the value of a curve at point i costs, and how the cost
// grows with the value: its slope and its curvature, which is not negative.
type loss func(i int, value float64) (cost, slope, curvature float64)

// minimize returns the parameters for which the model has the least loss over so
// many points, searching from start. The Hessian it goes by is that of Gauss and
// Newton, in which the curvature of the model itself is left out.
func minimize(m model, points int, of loss, start []float64) ([]float64, error) {
	grad := make([]float64, len(start))
	each := func(p []float64, add func(cost, slope, curvature float64)) {
		for i := range points {
			add(of(i, m(i, p, grad)))
		}
	}
	problem := optimize.Problem{
		Func: func(p []float64) (sum float64) {
			each(p, func(cost, _, _ float64) { sum += cost })
			if math.IsNaN(sum) {
				return math.Inf(1)
			}
			return sum
		},
		Grad: func(g, p []float64) {
			clear(g)
			each(p, func(_, slope, _ float64) {
				for j := range g {
					g[j] += slope * grad[j]
				}
			})
		},
		Hess: func(h *mat.SymDense, p []float64) {
			h.Zero()
			each(p, func(_, _, curvature float64) {
				h.SymRankOne(h, curvature, mat.NewVecDense(len(grad), grad))
			})
		},
	}
	found, err := optimize.Minimize(problem, start, &optimize.Settings{
		MajorIterations: 100,
		Converger:       &optimize.FunctionConverge{Relative: 1e-9, Iterations: 2},
	}, &optimize.Newton{Linesearcher: &optimize.Backtracking{}})
	if found == nil {
		return nil, fmt.Errorf("fitting a curve to %d sessions: %w", points, err)
	}
	return found.X, nil
}

// polish returns the curve near f under which the sessions are most likely.
func (f *fixed) polish(sessions []Session) (Curve, error) {
	if f.gain <= 0 {
		return Curve{}, errFlat
	}
	of := func(i int, value float64) (cost, slope, curvature float64) {
		return sessions[i].surprise(value, f.spread)
	}
	p, err := minimize(f.model(), len(sessions), of, []float64{f.start, f.gain, math.Log(f.rate)})
	if err != nil {
		return Curve{}, err
	}
	polished := *f
	polished.start, polished.gain, polished.rate = p[0], p[1], math.Exp(p[2])
	rates := f.law.rates()
	if !(polished.gain > 0) || polished.rate < rates[0] || polished.rate > rates[len(rates)-1] {
		return f.curve(), nil
	}
	return polished.curve(), nil
}

// model returns the law as a model of start, gain and the logarithm of the rate.
func (f *fixed) model() model {
	return func(i int, p, grad []float64) float64 {
		rate := math.Exp(p[2])
		left, change := f.law.change(float64(i), rate)
		leftLast, changeLast := f.law.change(f.last, rate)
		reached := (1 - left) / (1 - leftLast)
		grad[0], grad[1] = 1, reached
		grad[2] = p[1] * (reached*changeLast - change) / (1 - leftLast)
		return p[0] + p[1]*reached
	}
}

// change returns the part of the span left after n sessions, and its derivative
// by the logarithm of the rate.
func (l Law) change(n, rate float64) (left, by float64) {
	left = l.left(n, rate)
	if l == Power {
		return left, -left * math.Log1p(n) * rate
	}
	return left, -left * n * rate
}

var errFlat = errors.New("the tempo does not rise")

// A fixed is the best fit of a law with a given rate and spread. The curve is
// then a straight line in the part of the gain that each session had reached.
type fixed struct {
	law         Law
	rate        float64
	spread      float64 // standard deviation of what a day makes possible, in beats a minute
	last        float64 // number of the last session, from 0
	start, gain float64 // tempo at the first session, and gained until the last
	cost        float64 // surprise of all sessions
	ss, sg, gg  float64 // curvature of the cost by start and gain
}

func (f *fixed) curve() Curve {
	span := f.gain / (1 - f.law.left(f.last, f.rate))
	return Curve{f.law, f.start + span, span, f.rate}
}

// triedSpreads are from two marks to a quarter of one, about.
var triedSpreads = []float64{8, 4.9, 2.9, 1.7, 1}

// rates returns the rates tried, slowest first and evenly by ratio. With the
// slowest, half of the span is gained in several hundred sessions; with the
// fastest, in one.
func (l Law) rates() []float64 {
	slowest, fastest := .003, .5
	if l == Power {
		slowest, fastest = .05, 1.5
	}
	rates := make([]float64, 16)
	for i := range rates {
		rates[i] = slowest * math.Pow(fastest/slowest, float64(i)/float64(len(rates)-1))
	}
	return rates
}

// grid fits the law with each of the spreads, widest first, and each rate tried.
// Each fit begins where that of the wider spread ended: in a wide spread no
// session looks like a slip, and the fit finds its way.
func grid(law Law, sessions []Session, spreads []float64) []fixed {
	rates := law.rates()
	fits := make([]fixed, 0, len(rates)*len(spreads))
	first, last := sessions[0].level(), len(sessions)-1
	f := fixed{law: law, last: float64(last), start: first, gain: sessions[last].level() - first}
	reached := make([]float64, len(sessions))
	for _, f.rate = range rates {
		for n := range reached {
			reached[n] = (1 - law.left(float64(n), f.rate)) / (1 - law.left(f.last, f.rate))
		}
		narrowing := f
		for i, spread := range spreads {
			narrowing.spread = spread
			narrowing.settle(sessions, reached)
			fits = append(fits, narrowing)
			if i == 0 {
				f = narrowing
			}
		}
	}
	return fits
}

// likeliest returns the fit under which the sessions are the least surprise.
func likeliest(fits []fixed) *fixed {
	best := &fits[0]
	for i := range fits {
		if fits[i].cost < best.cost {
			best = &fits[i]
		}
	}
	return best
}

// settle finds start and gain, beginning from what they are, by Newton's method.
func (f *fixed) settle(sessions []Session, reached []float64) {
	f.cost = math.Inf(1)
	at := *f
	for range 25 {
		ds, dg := at.weigh(sessions, reached)
		if at.cost > f.cost+1e-9 { // too far: go half of the way
			at.start, at.gain = (at.start+f.start)/2, (at.gain+f.gain)/2
			continue
		}
		done := f.cost-at.cost < 1e-3
		*f = at
		if done {
			return
		}
		const ridge = 1e-6 // keeps the step finite where nothing is known
		det := (f.ss+ridge)*(f.gg+ridge) - f.sg*f.sg
		at.start -= ((f.gg+ridge)*ds - f.sg*dg) / det
		at.gain -= ((f.ss+ridge)*dg - f.sg*ds) / det
	}
}

// weigh computes cost and curvature, and returns the slope by start and gain.
func (f *fixed) weigh(sessions []Session, reached []float64) (ds, dg float64) {
	f.cost, f.ss, f.sg, f.gg = 0, 0, 0, 0
	for i, s := range sessions {
		h := reached[i]
		cost, slope, curvature := s.surprise(f.start+f.gain*h, f.spread)
		f.cost += cost
		ds += slope
		dg += slope * h
		f.ss += curvature
		f.sg += curvature * h
		f.gg += curvature * h * h
	}
	return ds, dg
}
