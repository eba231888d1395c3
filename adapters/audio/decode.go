package audio

import (
	"bytes"
	"context"

	"ledgerline/studio"
)

// A decoder reads a whole file of its format.
type decoder func(ctx context.Context, data []byte, lim Limits) (*Sound, error)

// A format is a kind of file, known by its first bytes and not by its name,
// since voice messages come with any.
type format struct {
	is     func(head []byte) bool
	decode decoder
}

func formats() []format {
	return []format{
		{isOggOf("OpusHead"), inside(decodeOpus)},
		{isOggOf("\x01vorbis"), inside(decodeVorbis)},
		{func(b []byte) bool { return magic(b, 0, "RIFF") && magic(b, 8, "WAVE") }, inside(decodeWAV)},
		{func(b []byte) bool { return magic(b, 0, "fLaC") }, inside(decodeFLAC)},
		{isMP3, decodeMP3},
		{func(b []byte) bool { return magic(b, 4, "ftyp") }, external("M4A", "mov")},
		{func(b []byte) bool { return magic(b, 0, "\x1A\x45\xDF\xA3") }, external("WebM", "matroska")},
		{func(b []byte) bool { return len(b) > 1 && b[0] == 0xFF && b[1]&0xF6 == 0xF0 }, external("AAC", "aac")},
	}
}

func magic(b []byte, at int, want string) bool {
	return len(b) >= at+len(want) && bytes.Equal(b[at:at+len(want)], []byte(want))
}

// inside runs a decoder of ours. They take bytes from strangers: where one
// panics, the file is to blame.
func inside(decode func([]byte, Limits) (*Sound, error)) decoder {
	return func(_ context.Context, data []byte, lim Limits) (s *Sound, err error) {
		defer func() {
			if recover() != nil {
				s, err = nil, damaged("the sound file breaks off in a way that can't be read")
			}
		}()
		return decode(data, lim)
	}
}

// Decode reads a file whole. A file that can't be read gives an [Unfit].
func Decode(ctx context.Context, data []byte, lim Limits) (*Sound, error) {
	if len(data) > lim.Bytes {
		return nil, unfit(studio.TooLarge, "the file has more than %d MB; send the minute test alone", lim.Bytes>>20)
	}
	if len(data) == 0 {
		return nil, unfit(studio.NotSound, "the file is empty: send a voice message, or a WAV, FLAC, MP3 or Ogg file")
	}
	for _, f := range formats() {
		if f.is(data) {
			return f.decode(ctx, data, lim)
		}
	}
	return nil, unfit(studio.NotSound, "this is no sound file that I can read: send a voice message, or a WAV, FLAC, MP3 or Ogg file")
}
