package audio

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"io"

	"github.com/hajimehoshi/go-mp3"
)

// isMP3 knows a file by its tag or by a frame header of layer III (ISO/IEC
// 11172-3, 2.4.2.3).
func isMP3(b []byte) bool {
	return magic(b, 0, "ID3") || len(b) > 2 && b[0] == 0xFF && b[1]&0xE0 == 0xE0 && b[1]>>1&3 == 1
}

// lowestMP3Rate is the lowest rate of MPEG-1. Of the lower rates, which MPEG-2
// added, the decoder garbles some (22.05 kHz at 32 and 96 kbit/s, go-mp3 v0.3.4,
// against ffmpeg), so they go to the external program.
const lowestMP3Rate = 32000

// decodeMP3 reads an MP3 file.
func decodeMP3(ctx context.Context, data []byte, lim Limits) (*Sound, error) {
	rate := 0
	own := inside(func(data []byte, lim Limits) (s *Sound, err error) {
		d, err := mp3.NewDecoder(bytes.NewReader(data))
		if err != nil {
			return nil, damaged("the MP3 file does not begin as one")
		}
		if rate = d.SampleRate(); rate < lowestMP3Rate {
			return nil, nil
		}
		return readMP3(d, lim)
	})
	s, err := own(ctx, data, lim)
	if err == nil && s == nil {
		return external(fmt.Sprintf("MP3 (of %d samples a second)", rate), "mp3")(ctx, data, lim)
	}
	return s, err
}

// readMP3 decodes to the end. The silence that encoders put before the sound
// stays: a measurement does not mind it.
func readMP3(d *mp3.Decoder, lim Limits) (*Sound, error) {
	mix, err := newMixer(d.SampleRate(), 2, lim)
	if err != nil {
		return nil, err
	}
	if d.Length()/4 > int64(mix.most) {
		return nil, mix.tooLong()
	}
	buf := make([]byte, 1<<14)
	for {
		n, err := io.ReadFull(d, buf)
		for b := buf[:n-n%2]; len(b) > 0; b = b[2:] {
			if err := mix.add(float32(int16(binary.LittleEndian.Uint16(b))) / (1 << 15)); err != nil {
				return nil, err
			}
		}
		if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
			return mix.sound(), nil
		}
		if err != nil {
			return nil, damaged("the MP3 file has a frame that can't be decoded")
		}
	}
}
