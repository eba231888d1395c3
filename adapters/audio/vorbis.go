package audio

import (
	"bytes"
	"errors"
	"io"

	"github.com/jfreymuth/oggvorbis"
)

// decodeVorbis reads an Ogg Vorbis file.
func decodeVorbis(data []byte, lim Limits) (*Sound, error) {
	r, err := oggvorbis.NewReader(bytes.NewReader(data))
	if err != nil {
		return nil, damaged("the Ogg Vorbis file does not begin as one")
	}
	mix, err := newMixer(r.SampleRate(), r.Channels(), lim)
	if err != nil {
		return nil, err
	}
	if int(r.Length()) > mix.most {
		return nil, mix.tooLong()
	}
	buf := make([]float32, 4096*r.Channels())
	for {
		n, err := r.Read(buf)
		for _, v := range buf[:n] {
			if err := mix.add(v); err != nil {
				return nil, err
			}
		}
		if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
			return mix.sound(), nil
		}
		if err != nil {
			return nil, damaged("the Ogg Vorbis file has a packet that can't be decoded")
		}
	}
}
