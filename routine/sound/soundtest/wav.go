package soundtest

import "encoding/binary"

// WAV returns samples as a file of 16-bit PCM, one channel.
func WAV(x []float32, rate int) []byte {
	le := binary.LittleEndian
	b := append([]byte("RIFF"), le.AppendUint32(nil, uint32(36+2*len(x)))...)
	b = append(b, "WAVEfmt "...)
	b = le.AppendUint32(b, 16)
	b = le.AppendUint16(b, 1)
	b = le.AppendUint16(b, 1)
	b = le.AppendUint32(b, uint32(rate))
	b = le.AppendUint32(b, uint32(2*rate))
	b = le.AppendUint16(b, 2)
	b = le.AppendUint16(b, 16)
	b = append(b, "data"...)
	b = le.AppendUint32(b, uint32(2*len(x)))
	for _, v := range x {
		b = le.AppendUint16(b, uint16(int16(32767*max(-1, min(1, v)))))
	}
	return b
}
