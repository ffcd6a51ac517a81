package ingest

// Nearest returns the candidate that was most likely meant by a text, "" where none
// is near: names on a command line are looked up as those of a survey are.
func Nearest(text string, candidates []string) string { return nearest(text, candidates) }
