package audio

import "bytes"

// A format is a kind of file.
type format struct {
	name   string
	is     func(head []byte) bool
	decode func(data []byte, lim Limits) (*Sound, error)
}

// formats are those that can be read, by their first bytes and not by their
// names, since voice messages come with any.
func formats() []format {
	return []format{
		{"WAV", func(b []byte) bool { return magic(b, 0, "RIFF") && magic(b, 8, "WAVE") }, decodeWAV},
	}
}

func magic(b []byte, at int, want string) bool {
	return len(b) >= at+len(want) && bytes.Equal(b[at:at+len(want)], []byte(want))
}

// Decode reads a file whole. A file that can't be read gives an [Unfit].
func Decode(data []byte, lim Limits) (*Sound, error) {
	if len(data) > lim.Bytes {
		return nil, unreadable("the file has %d MB; send one of at most %d MB", len(data)>>20, lim.Bytes>>20)
	}
	for _, f := range formats() {
		if f.is(data) {
			return f.decode(data, lim)
		}
	}
	return nil, unreadable("this is no sound file that I can read: send a voice message, or a WAV, FLAC, MP3, Ogg or Opus file")
}
