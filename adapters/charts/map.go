package charts

import (
	"fmt"
	"math"
	"slices"

	"ledgerline/routine"
	"ledgerline/studio"
	"ledgerline/studio/words"
)

// Measures of a map, in pixels.
const (
	cellWide    = 42 // of a line with its number
	cellHigh    = 58
	bareWide    = 28 // of a line without
	bareHigh    = 32
	bareRadius  = 9 // of a sign there
	mapNameLead = 40
	mapRowGap   = 12

	MostMapRows  = 40
	MostMapCells = 400 // in one row
)

// stateOrder lists the states from the furthest back.
var stateOrder = []routine.State{routine.New, routine.Slipped, routine.Working, routine.AtTempo, routine.Ready, routine.Passed}

// stateSign returns the sign of a state, nil if it is none.
func stateSign(s routine.State) glyph {
	switch s {
	case routine.New:
		return speck
	case routine.Slipped:
		return crossHead
	case routine.Working:
		return openHead
	case routine.AtTempo:
		return ledgerHead
	case routine.Ready:
		return ring
	case routine.Passed:
		return filledHead
	}
	return nil
}

// checkMap says what is wrong with a map.
func checkMap(p studio.MapPicture) error {
	if len(p.Rows) > MostMapRows {
		return fmt.Errorf("map %q has %d rows: draw at most %d, and the rest in a second picture", p.Title, len(p.Rows), MostMapRows)
	}
	for _, row := range p.Rows {
		if len(row.Cells) > MostMapCells {
			return fmt.Errorf("map %q, row of %s: %d lines: draw at most %d", p.Title, row.Name, len(row.Cells), MostMapCells)
		}
		for _, cell := range row.Cells {
			if stateSign(cell.State) == nil {
				return fmt.Errorf("map %q, row of %s: line %d is %q: use a state of a standing", p.Title, row.Name, cell.N, cell.State)
			}
		}
	}
	return nil
}

// drawMap draws a map: a row for each study or student, and in it a sign for each
// line, by how it stands.
func drawMap(v *words.Voice, p studio.MapPicture) ([]byte, error) {
	if err := checkMap(p); err != nil {
		return nil, err
	}
	title := titleLines(p.Title)
	y := titleHeight(title) + 8
	signs := mapSigns(v, p)
	height := y
	for _, row := range p.Rows {
		height += mapRowHeight(row)
	}
	s := newSheet(height + legendHeight(signs) + margin/2)
	s.titled(title)
	for i, row := range p.Rows {
		s.mapRow(v, i, row, y)
		y += mapRowHeight(row)
	}
	s.legend(signs, y+legendLead/2)
	return s.encode()
}

// cellSize is the room of one line: more if its number is written.
func cellSize(row studio.MapRow) (wide, high float64) {
	if slices.ContainsFunc(row.Cells, func(c studio.MapCell) bool { return c.N > 0 }) {
		return cellWide, cellHigh
	}
	return bareWide, bareHigh
}

func mapRowHeight(row studio.MapRow) float64 {
	wide, high := cellSize(row)
	across := math.Floor((pageWidth - 2*margin) / wide)
	return mapNameLead + high*math.Ceil(float64(len(row.Cells))/across) + mapRowGap
}

// mapRow draws a row whose top is at y.
func (s *sheet) mapRow(v *words.Voice, i int, row studio.MapRow, y float64) {
	name := row.Name
	if _, whole := legible(name); !whole {
		name = rowNumber(v, i)
	}
	s.across(rule, 2, margin, pageWidth-margin, y)
	s.text(nameFace(), ink, point{margin, y + mapNameLead - 8}, left, nameFace().cut(name, pageWidth-2*margin))
	wide, high := cellSize(row)
	r := float64(signRadius)
	if wide == bareWide {
		r = bareRadius
	}
	across := int((pageWidth - 2*margin) / wide)
	for n, cell := range row.Cells {
		at := point{margin + wide*(float64(n%across)+0.5), y + mapNameLead + high*(float64(n/across)+1) - bareHigh/2}
		stateSign(cell.State)(s, at, r)
		if cell.N > 0 {
			s.text(dateFace(), pale, point{at.x, at.y - 17}, middle, fmt.Sprint(cell.N))
		}
	}
}

// mapSigns returns the signs that are in a map.
func mapSigns(v *words.Voice, p studio.MapPicture) (signs []sign) {
	for _, state := range stateOrder {
		if slices.ContainsFunc(p.Rows, func(r studio.MapRow) bool {
			return slices.ContainsFunc(r.Cells, func(c studio.MapCell) bool { return c.State == state })
		}) {
			signs = append(signs, sign{stateSign(state), v.Value(state)})
		}
	}
	return signs
}

func describeMap(v *words.Voice, p studio.MapPicture) string {
	rows := make([]string, len(p.Rows))
	for i, row := range p.Rows {
		rows[i] = v.Say("labelled", words.With{"label": rowName(v, i, row.Name), "text": row.Words(v)})
	}
	return p.Title + ". " + v.Apart(rows) + "."
}
