package audio

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"math"
	"os"
	"os/exec"

	"ledgerline/studio"
)

// External is the program that reads what no pure-Go decoder of a fitting
// licence does: AAC in its containers, and WebM as browsers record it.
const External = "ffmpeg"

// external returns a decoder that asks the external program, telling it what the
// file is, so that a file can't pass itself off as a list of other files.
func external(name, demuxer string) decoder {
	return func(ctx context.Context, data []byte, lim Limits) (*Sound, error) {
		program, err := exec.LookPath(External)
		if err != nil {
			return nil, unfit(studio.NoDecoder, "%s files can't be read here: send a voice message, or a WAV, FLAC, MP3 or Ogg file (or let the host install %s)", name, External)
		}
		file, err := keepBriefly(data)
		if err != nil {
			return nil, err
		}
		defer os.Remove(file)
		length := fmt.Sprint(lim.Length.Seconds() + 1)
		cmd := exec.CommandContext(ctx, program, "-nostdin", "-v", "error", "-threads", "1", "-protocol_whitelist", "file,pipe",
			"-f", demuxer, "-i", file, "-map", "0:a:0", "-t", length, "-ac", "1", "-ar", "48000", "-f", "f32le", "pipe:1")
		var out bytes.Buffer
		cmd.Stdout = &out
		if err := cmd.Run(); err != nil {
			if ctx.Err() != nil {
				return nil, ctx.Err()
			}
			return nil, damaged("the " + name + " file can't be decoded")
		}
		mix, err := newMixer(48000, 1, lim)
		if err != nil {
			return nil, err
		}
		for b := out.Bytes(); len(b) >= 4; b = b[4:] {
			if err := mix.add(math.Float32frombits(binary.LittleEndian.Uint32(b))); err != nil {
				return nil, err
			}
		}
		return mix.sound(), nil
	}
}

// keepBriefly writes data to a file of its own; the containers keep their index
// at the end, so they can't be read from a pipe.
func keepBriefly(data []byte) (path string, err error) {
	f, err := os.CreateTemp("", "ledgerline-*")
	if err != nil {
		return "", err
	}
	_, err = f.Write(data)
	if err := errors.Join(err, f.Close()); err != nil {
		os.Remove(f.Name())
		return "", fmt.Errorf("keeping a sound file: %w", err)
	}
	return f.Name(), nil
}
