package charts

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/png"
)

// shades is how many steps lie between two colours of the palette.
const shades = 36

// ramps returns the colours of a finished page: those of the palette, and the
// shades at the edges where one lies on another. Paper is the first.
func ramps() color.Palette {
	p := color.Palette{paper}
	for _, pair := range [][2]color.RGBA{{paper, ink}, {paper, pale}, {paper, accent}, {paper, rule}, {rule, ink}, {rule, accent}} {
		for i := 1; i <= shades; i++ {
			p = append(p, between(pair[0], pair[1], i))
		}
	}
	return p
}

// between returns the i-th of the shades from a to b.
func between(a, b color.RGBA, i int) color.RGBA {
	mix := func(x, y uint8) uint8 { return uint8((int(x)*(shades-i) + int(y)*i + shades/2) / shades) }
	return color.RGBA{mix(a.R, b.R), mix(a.G, b.G), mix(a.B, b.B), 0xff}
}

// reduce returns the page with every pixel in the nearest shade of the palette.
// That makes a file of a quarter the size, and differs by less than an eye sees.
func reduce(page *image.RGBA) *image.Paletted {
	palette := ramps()
	out := image.NewPaletted(page.Bounds(), palette)
	index := map[uint32]uint8{}
	var last uint32
	var lastIndex uint8
	for i := range out.Pix {
		rgb := uint32(page.Pix[4*i])<<16 | uint32(page.Pix[4*i+1])<<8 | uint32(page.Pix[4*i+2])
		if i == 0 || rgb != last {
			n, ok := index[rgb]
			if !ok {
				n = uint8(palette.Index(page.RGBAAt(i%pageWidth, i/pageWidth)))
				index[rgb] = n
			}
			last, lastIndex = rgb, n
		}
		out.Pix[i] = lastIndex
	}
	return out
}

// encode returns the page as a PNG file.
func (s *sheet) encode() ([]byte, error) {
	var b bytes.Buffer
	enc := png.Encoder{CompressionLevel: png.DefaultCompression}
	if err := enc.Encode(&b, reduce(s.canvas.Image().(*image.RGBA))); err != nil {
		return nil, fmt.Errorf("writing a picture as PNG: %w", err)
	}
	return b.Bytes(), nil
}
