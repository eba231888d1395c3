package sound

import (
	"math"
	"math/cmplx"

	"gonum.org/v1/gonum/dsp/fourier"
	"gonum.org/v1/gonum/dsp/window"
)

const (
	framesPerSecond = 200   // one frame every 5 ms, as in Böck & Widmer
	lowestBand      = 150.0 // Hz; below lie thumps and hum
	highestBand     = 10000.0
	bandsPerOctave  = 12
)

// A spectrogram holds the power in each band, a semitone wide or one bin of the
// transform where that is wider, in frames of 5 ms.
type spectrogram struct {
	bands  [][]float64 // by band, then by frame
	widths []int       // bins in each band
	total  []float64   // by frame
}

func (s *spectrogram) frames() int { return len(s.total) }

// part returns the frames from one up to another.
func (s *spectrogram) part(from, to int) *spectrogram {
	cut := &spectrogram{bands: make([][]float64, len(s.bands)), widths: s.widths, total: s.total[from:to]}
	for b, band := range s.bands {
		cut.bands[b] = band[from:to]
	}
	return cut
}

// windowFor returns the length of a window: a power of two of 10 to 20 ms, whose
// inner half tells attacks 10 ms apart.
func windowFor(rate int) int {
	n := 256
	for n*150 < rate*3/2 {
		n *= 2
	}
	return n
}

// analyse cuts the samples into overlapping windows and measures each.
func analyse(x []float32, rate int) *spectrogram {
	size := windowFor(rate)
	frames := len(x) * framesPerSecond / rate
	edges := bandEdges(size, rate)
	s := &spectrogram{bands: make([][]float64, len(edges)-1), widths: make([]int, len(edges)-1), total: make([]float64, frames)}
	for b := range s.bands {
		s.bands[b] = make([]float64, frames)
		s.widths[b] = edges[b+1] - edges[b]
	}
	shape := window.Hann(ones(size))
	fft := fourier.NewFFT(size)
	cut := make([]float64, size)
	var freq []complex128
	for f := range frames {
		middle := (2*f + 1) * rate / (2 * framesPerSecond)
		for i := range cut {
			cut[i] = 0
			if j := middle - size/2 + i; j >= 0 && j < len(x) {
				cut[i] = float64(x[j]) * shape[i]
			}
		}
		freq = fft.Coefficients(freq, cut)
		for b := range s.bands {
			sum := 0.0
			for k := edges[b]; k < edges[b+1]; k++ {
				a := cmplx.Abs(freq[k])
				sum += a * a
			}
			s.bands[b][f] = sum
			s.total[f] += sum
		}
	}
	return s
}

// bandEdges returns the first bin of each band, and the one after the last.
func bandEdges(size, rate int) []int {
	perHz := float64(size) / float64(rate)
	top := min(highestBand, 0.45*float64(rate))
	edges := []int{int(math.Round(lowestBand * perHz))}
	for hz := lowestBand; hz < top; hz *= math.Pow(2, 1.0/bandsPerOctave) {
		if k := int(math.Round(hz * perHz)); k > edges[len(edges)-1] {
			edges = append(edges, k)
		}
	}
	return edges
}

func ones(n int) []float64 {
	x := make([]float64, n)
	for i := range x {
		x[i] = 1
	}
	return x
}
