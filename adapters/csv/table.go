package csv

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"ledgerline/routine"
)

// A Row is one row of a table.
type Row struct {
	Line  int               // in the file, from 1
	Cells map[string]string // by column; empty cells are left out
}

// mostBytes is the largest table that is read.
const mostBytes = 8 << 20

// Read reads a table whose columns are among those known, the required ones
// with a cell in every row. What is wrong is told by line.
func Read(r io.Reader, name string, known []string, required ...string) (rows []Row, problems []routine.Problem) {
	wrong := func(line int, instead, what string, args ...any) {
		problems = append(problems, routine.Problem{
			Source: routine.Source{File: name, Line: line}, What: fmt.Sprintf(what, args...), Instead: instead,
		})
	}
	data, err := io.ReadAll(io.LimitReader(r, mostBytes+1))
	if err != nil || len(data) > mostBytes {
		wrong(1, "a table of at most 8 MB", "the table can't be read whole")
		return nil, problems
	}
	data = bytes.TrimPrefix(data, []byte("\ufeff"))
	table := csv.NewReader(bytes.NewReader(data))
	table.FieldsPerRecord = -1
	if first, _, _ := bytes.Cut(data, []byte("\n")); bytes.Count(first, []byte(";")) > bytes.Count(first, []byte(",")) {
		table.Comma = ';'
	}
	var columns []string
	for {
		cells, err := table.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		var malformed *csv.ParseError
		if errors.As(err, &malformed) {
			wrong(malformed.Line, "cells in double quotes, with the quotes in them doubled", "this is no table: %v", malformed.Err)
			return nil, problems
		}
		line, _ := table.FieldPos(0)
		if columns == nil {
			columns = names(cells)
			for i, c := range columns {
				if !slices.Contains(known, c) || slices.Contains(columns[:i], c) {
					wrong(line, "columns among "+strings.Join(known, ", ")+", each once", "there is no column %q, or twice", c)
				}
			}
			for _, c := range required {
				if !slices.Contains(columns, c) {
					wrong(line, c+" in the first row", "the column %s is missing", c)
				}
			}
			if len(problems) > 0 {
				return nil, problems
			}
			continue
		}
		row := Row{Line: line, Cells: map[string]string{}}
		for i, cell := range cells {
			cell = strings.TrimSpace(unguarded(cell))
			switch {
			case cell == "":
			case i >= len(columns):
				wrong(line, "as many cells as the first row has", "the row has %d cells, and there are %d columns", len(cells), len(columns))
			default:
				row.Cells[columns[i]] = cell
			}
		}
		if len(row.Cells) == 0 {
			continue
		}
		for _, c := range required {
			if row.Cells[c] == "" {
				wrong(line, "a "+c+" in every row", "the row has no %s", c)
			}
		}
		rows = append(rows, row)
	}
	if columns == nil {
		wrong(1, strings.Join(required, ", ")+" as the first row", "the table is empty")
	}
	return rows, problems
}

func names(cells []string) []string {
	columns := make([]string, len(cells))
	for i, c := range cells {
		columns[i] = strings.ToLower(strings.TrimSpace(c))
	}
	return columns
}

// Write writes a table.
func Write(w io.Writer, columns []string, rows []map[string]string) error {
	table := csv.NewWriter(w)
	table.UseCRLF = true
	if err := table.Write(columns); err != nil {
		return err
	}
	for _, row := range rows {
		cells := make([]string, len(columns))
		for i, c := range columns {
			cells[i] = guarded(row[c])
		}
		if err := table.Write(cells); err != nil {
			return err
		}
	}
	table.Flush()
	return table.Error()
}

// formulaSigns begin a formula in one spreadsheet or another.
const formulaSigns = "=+-@\t\r"

// guarded returns a cell that no spreadsheet takes for a formula.
func guarded(cell string) string {
	if isFormula(cell) {
		return "'" + cell
	}
	return cell
}

// unguarded takes the guard off again.
func unguarded(cell string) string {
	if strings.HasPrefix(cell, "'") && isFormula(cell) {
		return cell[1:]
	}
	return cell
}

// isFormula reports whether a cell, without any apostrophes before it, begins as
// a formula does.
func isFormula(cell string) bool {
	bare := strings.TrimLeft(cell, "'")
	return bare != "" && strings.ContainsRune(formulaSigns, rune(bare[0]))
}
