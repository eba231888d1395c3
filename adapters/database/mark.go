package database

func (t *tx) PutMark(name, value string) error {
	const put = `
		INSERT INTO mark (name, value) VALUES (?, ?)
		ON CONFLICT (name) DO UPDATE SET value = excluded.value`
	_, err := t.exec(put, name, t.text(value))
	return doing(err, "putting mark %q", name)
}

func (t *tx) Mark(name string) (string, error) {
	const query = `SELECT value FROM mark WHERE name = ?`
	value, err := one(t, scalar[string], query, name)
	return value, doing(err, "mark %q", name)
}
