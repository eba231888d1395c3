package database

import (
	"encoding/json"
	"fmt"
	"time"
)

// encode returns v as JSON for a body. It refuses what could not be read back,
// such as a tempo without a note value: the reader would be the one to suffer.
func encode[T any](v T) (string, error) {
	body, err := json.Marshal(v)
	if err != nil {
		return "", err
	}
	var back T
	if err := json.Unmarshal(body, &back); err != nil {
		return "", fmt.Errorf("it could not be read back: %w", err)
	}
	return string(body), nil
}

// bodies returns a function that scans rows of a row's name and its body; table
// is for the message about a body that can't be read.
func bodies[T any](table string) func(scanner) (T, error) {
	return func(row scanner) (v T, err error) {
		var name, body string
		if err := row.Scan(&name, &body); err != nil {
			return v, err
		}
		return v, decode(body, &v, table, name)
	}
}

// decode reads a body of the named row of a table.
func decode(body string, v any, table string, row any) error {
	if err := json.Unmarshal([]byte(body), v); err != nil {
		return fmt.Errorf("table %s, row %v: the body can't be read: %w", table, row, err)
	}
	return nil
}

// instant returns the time at so many microseconds.
func instant(micros int64) time.Time { return time.UnixMicro(micros).UTC() }

// settled returns t as it will come back from the database.
func settled(t time.Time) time.Time { return instant(t.UnixMicro()) }
