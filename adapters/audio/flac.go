package audio

import (
	"bytes"
	"errors"
	"io"
	"math"

	"github.com/mewkiz/flac"
)

// decodeFLAC reads a FLAC file.
func decodeFLAC(data []byte, lim Limits) (*Sound, error) {
	stream, err := flac.New(bytes.NewReader(data))
	if err != nil {
		return nil, damaged("the FLAC file does not begin as one")
	}
	mix, err := newMixer(int(stream.Info.SampleRate), int(stream.Info.NChannels), lim)
	if err != nil {
		return nil, err
	}
	if stream.Info.NSamples > uint64(mix.most) {
		return nil, mix.tooLong()
	}
	full := float32(math.Exp2(float64(stream.Info.BitsPerSample) - 1))
	for {
		frame, err := stream.ParseNext()
		if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
			return mix.sound(), nil
		}
		if err != nil || len(frame.Subframes) != mix.channels {
			return nil, damaged("the FLAC file has a frame that can't be decoded")
		}
		for i := range frame.Subframes[0].Samples {
			for _, channel := range frame.Subframes {
				if err := mix.add(float32(channel.Samples[i]) / full); err != nil {
					return nil, err
				}
			}
		}
	}
}
