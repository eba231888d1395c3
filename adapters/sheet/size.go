package sheet

import (
	"bytes"
	"image"
	"image/png"
)

// sizeOf returns the size of a PNG file in pixels.
func sizeOf(data []byte) (image.Point, error) {
	c, err := png.DecodeConfig(bytes.NewReader(data))
	return image.Pt(c.Width, c.Height), err
}
