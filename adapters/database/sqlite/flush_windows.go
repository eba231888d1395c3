package sqlite

// flushFolder does nothing: Windows has no way to flush a folder, and writes the
// names in it with the file.
func flushFolder(string) error { return nil }
