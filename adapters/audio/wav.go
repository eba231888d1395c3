package audio

import (
	"encoding/binary"
	"math"

	"ledgerline/studio"
)

// Codes of the fmt chunk, from the public RIFF registrations (RFC 2361).
const (
	wavPCM        = 0x0001
	wavFloat      = 0x0003
	wavExtensible = 0xFFFE
)

// A wavFormat is what the fmt chunk says.
type wavFormat struct {
	code     uint16
	channels int
	rate     int
	bits     int
}

// decodeWAV reads a RIFF WAVE file of whole numbers of 8 to 32 bits or of
// floating-point numbers. A data chunk that says it is longer than the file, as
// programs that write to a pipe leave it, ends with the file.
func decodeWAV(data []byte, lim Limits) (*Sound, error) {
	var format *wavFormat
	for rest := data[12:]; len(rest) >= 8; {
		id, size := string(rest[:4]), int(binary.LittleEndian.Uint32(rest[4:8]))
		body := rest[8:]
		body = body[:min(size, len(body))]
		switch id {
		case "fmt ":
			f, err := readWAVFormat(body)
			if err != nil {
				return nil, err
			}
			format = &f
		case "data":
			if format == nil {
				return nil, damaged("the WAV file has sound before it says of what kind")
			}
			return format.decode(body, lim)
		}
		next := 8 + len(body) + size%2
		rest = rest[min(next, len(rest)):]
	}
	return nil, damaged("the WAV file holds no sound")
}

func readWAVFormat(b []byte) (wavFormat, error) {
	if len(b) < 16 {
		return wavFormat{}, damaged("the WAV file does not say of what kind its sound is")
	}
	f := wavFormat{
		code:     binary.LittleEndian.Uint16(b),
		channels: int(binary.LittleEndian.Uint16(b[2:])),
		rate:     int(binary.LittleEndian.Uint32(b[4:])),
		bits:     int(binary.LittleEndian.Uint16(b[14:])),
	}
	if f.code == wavExtensible && len(b) >= 26 {
		f.code = binary.LittleEndian.Uint16(b[24:])
	}
	whole := f.code == wavPCM && (f.bits == 8 || f.bits == 16 || f.bits == 24 || f.bits == 32)
	float := f.code == wavFloat && (f.bits == 32 || f.bits == 64)
	if !whole && !float {
		return f, unfit(studio.NotSound, "the WAV file holds sound of code %d with %d bits; save it as 16-bit PCM", f.code, f.bits)
	}
	return f, nil
}

func (f wavFormat) decode(b []byte, lim Limits) (*Sound, error) {
	mix, err := newMixer(f.rate, f.channels, lim)
	if err != nil {
		return nil, err
	}
	width := f.bits / 8
	frame := width * f.channels
	if err := mix.expect(len(b) / frame); err != nil {
		return nil, err
	}
	for ; len(b) >= width; b = b[width:] {
		if err := mix.add(f.sample(b)); err != nil {
			return nil, err
		}
	}
	return mix.sound(), nil
}

// sample reads one number, 1 standing for full scale.
func (f wavFormat) sample(b []byte) float32 {
	switch {
	case f.code == wavFloat && f.bits == 64:
		return float32(math.Float64frombits(binary.LittleEndian.Uint64(b)))
	case f.code == wavFloat:
		return math.Float32frombits(binary.LittleEndian.Uint32(b))
	case f.bits == 8:
		return (float32(b[0]) - 128) / 128
	case f.bits == 16:
		return float32(int16(binary.LittleEndian.Uint16(b))) / (1 << 15)
	case f.bits == 24:
		return float32(int32(b[0])<<8|int32(b[1])<<16|int32(b[2])<<24) / (1 << 31)
	}
	return float32(int32(binary.LittleEndian.Uint32(b))) / (1 << 31)
}
