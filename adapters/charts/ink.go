package charts

import "image/color"

// The palette: paper, two strengths of ink, a rule and one accent.
var (
	paper  = color.RGBA{0xf6, 0xf0, 0xe2, 0xff}
	ink    = color.RGBA{0x22, 0x1d, 0x18, 0xff} // noteheads, figures, names
	pale   = color.RGBA{0x62, 0x58, 0x4a, 0xff} // captions, bars, the line between noteheads
	rule   = color.RGBA{0xcd, 0xc2, 0xac, 0xff} // ruling; carries no meaning by itself
	accent = color.RGBA{0xa1, 0x2a, 0x1c, 0xff} // the goal, and weeks kept
)
