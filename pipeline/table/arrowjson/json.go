// Package json stands in for the JSON codec that Arrow's arrays import, by that of the
// standard library, as Arrow's own build for small machines does (its
// internal/json/json_tinygo.go). The command neither reads nor writes arrays as JSON, and
// the codec took a seventh of the processor's time of a build. The main module's go.mod
// puts it in the codec's place.
package json

import (
	"encoding/json"
	"io"
)

// What arrow/go/v15/internal/json names, and no more.
type (
	Decoder            = json.Decoder
	Encoder            = json.Encoder
	Marshaler          = json.Marshaler
	Delim              = json.Delim
	UnmarshalTypeError = json.UnmarshalTypeError
	Number             = json.Number
	Unmarshaler        = json.Unmarshaler
	RawMessage         = json.RawMessage
)

// Marshal is [json.Marshal].
func Marshal(v any) ([]byte, error) { return json.Marshal(v) }

// Unmarshal is [json.Unmarshal].
func Unmarshal(data []byte, v any) error { return json.Unmarshal(data, v) }

// NewDecoder is [json.NewDecoder].
func NewDecoder(r io.Reader) *Decoder { return json.NewDecoder(r) }

// NewEncoder is [json.NewEncoder].
func NewEncoder(w io.Writer) *Encoder { return json.NewEncoder(w) }
