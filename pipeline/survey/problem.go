package survey

import (
	"slices"
)

// Problem names the first setting that is outside of what [Keys] allow, or ""
// where none is. A reader of survey.toml holds each key to them as it comes;
// settings from elsewhere are held here.
func (s Settings) Problem() string {
	for _, k := range Keys {
		if !k.allows(k.At(&s)) {
			return k.Path() + " is outside its bounds"
		}
	}
	return ""
}

// allows reports whether a setting has a value that it may have.
func (k Key) allows(at any) bool {
	switch v := at.(type) {
	case *string:
		return k.Words == nil || slices.Contains(k.Words, *v)
	case *float64:
		return k.Bounds.Hold(*v)
	case *uint64:
		return k.Bounds.Hold(float64(*v))
	case *int:
		return k.Bounds.Hold(float64(*v))
	}
	return true // lists and dates have no bounds
}
