package ingesttest

import (
	"regexp"
	"testing"
)

// runtimeWords are words of the language, its library and other libraries, which
// say nothing to a crew.
var runtimeWords = regexp.MustCompile(`strconv|strings\.|ParseFloat|ParseInt|ParseBool|invalid syntax|value out of range|runtime error|nil pointer|out of range \[|goroutine|(^|[ (])(json|toml|csv|parquet|arrow|gzip|flate): |thrift|64-bit|parse error|unexpected EOF|\*?(survey|column|pipeline|ingest|analyze|table|archive)\.[A-Z]|float64|int64|int32|\[\]byte|map\[|struct field|interface|%!|unmarshal|U\+[0-9A-F]{4}|PathError|panic`)

// Words holds a message to the words of people.
func Words(t testing.TB, message string) {
	t.Helper()
	if found := runtimeWords.FindString(message); found != "" {
		t.Errorf("a message has %q in it: %.300s", found, message)
	}
}
