package audio

import (
	"bytes"
	"encoding/binary"
	"math"
	"strings"
	"testing"
	"time"
)

// wavFile writes a WAV file with one chunk before the sound that is to be left
// alone.
func wavFile(code, channels, rate, bits int, data []byte) []byte {
	var b bytes.Buffer
	le := func(v any) { binary.Write(&b, binary.LittleEndian, v) }
	b.WriteString("RIFF")
	le(uint32(4 + 8 + 4 + 8 + 16 + 8 + len(data)))
	b.WriteString("WAVEnote")
	le(uint32(3))
	b.WriteString("abc\x00fmt ")
	le(uint32(16))
	le(uint16(code))
	le(uint16(channels))
	le(uint32(rate))
	le(uint32(rate * channels * bits / 8))
	le(uint16(channels * bits / 8))
	le(uint16(bits))
	b.WriteString("data")
	le(uint32(len(data)))
	b.Write(data)
	return b.Bytes()
}

func TestWAV(t *testing.T) {
	float := func(v ...float32) []byte {
		var b bytes.Buffer
		binary.Write(&b, binary.LittleEndian, v)
		return b.Bytes()
	}
	for name, c := range map[string]struct {
		file []byte
		want []float32
	}{
		"8 bits":           {wavFile(1, 1, 8000, 8, []byte{0, 128, 192}), []float32{-1, 0, 0.5}},
		"16 bits":          {wavFile(1, 1, 8000, 16, []byte{0, 0x80, 0, 0, 0, 0x40}), []float32{-1, 0, 0.5}},
		"24 bits":          {wavFile(1, 1, 8000, 24, []byte{0, 0, 0x80, 0, 0, 0x40}), []float32{-1, 0.5}},
		"32 bits":          {wavFile(1, 1, 8000, 32, []byte{0, 0, 0, 0x80, 0, 0, 0, 0x40}), []float32{-1, 0.5}},
		"floats":           {wavFile(3, 1, 8000, 32, float(0.25, float32(math.NaN()), float32(math.Inf(1)))), []float32{0.25, 0, 0}},
		"two channels":     {wavFile(1, 2, 8000, 16, []byte{0, 0x40, 0, 0, 0, 0x40, 0, 0x40}), []float32{0.25, 0.5}},
		"cut off mid-way":  {wavFile(1, 1, 8000, 16, []byte{0, 0x40, 0, 0x40})[:58], []float32{0.5}},
		"an odd last byte": {wavFile(1, 1, 8000, 16, []byte{0, 0x40, 7}), []float32{0.5}},
	} {
		t.Run(name, func(t *testing.T) {
			s, err := Decode(t.Context(), c.file, Usual)
			if err != nil {
				t.Fatal(err)
			}
			if len(s.Samples) != len(c.want) || s.Rate != 8000 {
				t.Fatalf("%v at %d, want %v at 8000", s.Samples, s.Rate, c.want)
			}
			for i := range c.want {
				if s.Samples[i] != c.want[i] {
					t.Errorf("%v, want %v", s.Samples, c.want)
				}
			}
		})
	}
}

// TestUnfit sends what can't be heard; each answer is one sentence that says
// what is wrong.
func TestUnfit(t *testing.T) {
	second := make([]byte, 16000)
	for name, c := range map[string]struct {
		file []byte
		want string
	}{
		"nothing":       {nil, "the file is empty"},
		"text":          {[]byte("1 96 clean, 2 skip"), "no sound file"},
		"too large":     {make([]byte, 1<<20+1), "more than 1 MB"},
		"no format":     {[]byte("RIFF\x00\x00\x00\x00WAVEdata\x00\x00\x00\x00"), "before it says"},
		"short format":  {[]byte("RIFF\x00\x00\x00\x00WAVEfmt \x02\x00\x00\x00\x01\x00"), "of what kind"},
		"no sound":      {[]byte("RIFF\x00\x00\x00\x00WAVE"), "no sound"},
		"12 bits":       {wavFile(1, 1, 8000, 12, second), "12 bits"},
		"code 85":       {wavFile(85, 1, 8000, 16, second), "code 85"},
		"no channels":   {wavFile(1, 0, 8000, 16, second), "0 channels"},
		"200 channels":  {wavFile(1, 200, 8000, 16, second), "200 channels"},
		"one a second":  {wavFile(1, 1, 1, 16, second), "1 samples a second"},
		"three seconds": {wavFile(1, 1, 8000, 16, append(second, append(second, second...)...)), "longer than"},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := Decode(t.Context(), c.file, Limits{Bytes: 1 << 20, Length: 2 * time.Second})
			if err == nil || !strings.Contains(err.Error(), c.want) || !IsUnfit(err) {
				t.Errorf("%v, want an unfit file that says %q", err, c.want)
			}
		})
	}
}
