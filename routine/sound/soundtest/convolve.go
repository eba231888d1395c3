package soundtest

import "gonum.org/v1/gonum/dsp/fourier"

// convolve returns x * h, as long as x, in blocks by FFT.
func convolve(x []float32, h []float64) []float64 {
	size := 1
	for size < 2*len(h) {
		size *= 2
	}
	step := size - len(h) + 1
	fft := fourier.NewFFT(size)
	padded := make([]float64, size)
	copy(padded, h)
	kernel := fft.Coefficients(nil, padded)
	out := make([]float64, len(x)+size)
	block := make([]float64, size)
	var freq []complex128
	for at := 0; at < len(x); at += step {
		clear(block)
		for i := range min(step, len(x)-at) {
			block[i] = float64(x[at+i])
		}
		freq = fft.Coefficients(freq, block)
		for i := range freq {
			freq[i] *= kernel[i]
		}
		for i, v := range fft.Sequence(block, freq) {
			out[at+i] += v / float64(size)
		}
	}
	return out[:len(x)]
}
