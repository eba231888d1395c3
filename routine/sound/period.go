package sound

import "gonum.org/v1/gonum/dsp/fourier"

// autocorrelation returns how much x resembles itself at each lag from 0 to
// most frames, its mean taken off, 1 for the same; shorter overlaps are not held
// against longer lags.
func autocorrelation(x []float64, most int) []float64 {
	n := len(x)
	mean := 0.0
	for _, v := range x {
		mean += v / float64(n)
	}
	size := 1
	for size < n+most {
		size *= 2
	}
	padded := make([]float64, size)
	for i, v := range x {
		padded[i] = v - mean
	}
	fft := fourier.NewFFT(size)
	freq := fft.Coefficients(nil, padded)
	for i, c := range freq {
		freq[i] = complex(real(c)*real(c)+imag(c)*imag(c), 0)
	}
	raw := fft.Sequence(padded, freq)
	out := make([]float64, min(most, n-1)+1)
	if raw[0] <= 0 {
		return out
	}
	for lag := range out {
		out[lag] = raw[lag] / raw[0] * float64(n) / float64(n-lag)
	}
	return out
}
