package audio

import (
	"bytes"
	"encoding/binary"
	"errors"
	"io"

	"github.com/pion/opus"
	"github.com/pion/opus/pkg/oggreader"

	"ledgerline/studio"
)

// Of Ogg Opus (RFC 7845): all times are counted at 48 kHz, and no packet is
// longer than 120 ms (RFC 6716, 3.2.5).
const (
	opusRate      = 48000
	longestPacket = opusRate * 120 / 1000
)

// isOggOf reports whether the first packet of an Ogg stream begins so.
func isOggOf(codec string) func([]byte) bool {
	return func(b []byte) bool { return magic(b, 0, "OggS") && magic(b, 28, codec) }
}

// decodeOpus reads an Ogg Opus file, as voice messages are. It leaves away the
// samples that the encoder put before the sound and after it.
func decodeOpus(data []byte, lim Limits) (*Sound, error) {
	granules, err := lastGranule(data)
	if err != nil {
		return nil, err
	}
	ogg, head, err := oggreader.NewWith(bytes.NewReader(data))
	if err != nil {
		return nil, damaged("the Opus file does not begin as one")
	}
	if head.Channels > 2 {
		return nil, unfit(studio.NotSound, "the Opus file has %d channels; it can be heard with 1 or 2", head.Channels)
	}
	mix, err := newMixer(opusRate, 1, lim)
	if err != nil {
		return nil, err
	}
	if err := mix.expect(min(max(0, granules-int(head.PreSkip)), len(data)*longestPacket)); err != nil {
		return nil, err
	}
	return readOpus(ogg, mix, int(head.PreSkip), granules)
}

func readOpus(ogg *oggreader.OggReader, mix *mixer, skip, granules int) (*Sound, error) {
	decoder, err := opus.NewDecoderWithOutput(opusRate, 1)
	if err != nil {
		return nil, err
	}
	out := make([]float32, longestPacket)
	for at := 0; ; {
		packet, _, err := ogg.ParseNextPacket()
		if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
			return mix.sound(), nil
		}
		if err != nil {
			return nil, damaged("the Opus file has a page that does not add up")
		}
		if bytes.HasPrefix(packet, []byte("OpusTags")) {
			continue
		}
		n, err := decoder.DecodeToFloat32(packet, out)
		if err != nil {
			return nil, damaged("the Opus file has a packet that can't be decoded")
		}
		for _, v := range out[:n] {
			if at >= skip && at < granules {
				if err := mix.add(v); err != nil {
					return nil, err
				}
			}
			at++
		}
	}
}

// lastGranule returns the time that the last page of an Ogg file ends at, in
// samples, from its header (RFC 3533, 6).
func lastGranule(data []byte) (int, error) {
	for rest := data; ; {
		i := bytes.LastIndex(rest, []byte("OggS"))
		if i < 0 {
			return 0, damaged("the Ogg file has no whole page")
		}
		if page := rest[i:]; len(page) >= 14 {
			if at := binary.LittleEndian.Uint64(page[6:]); at < 1<<40 {
				return int(at), nil
			}
		}
		rest = rest[:i]
	}
}
