package export

import "strings"

// Person splits the name of a contact, "Given Surname" or "Surname, Given". The
// last word is the surname where no comma says which it is.
func Person(name string) (given, surname string) {
	if surname, given, ok := strings.Cut(name, ","); ok && strings.TrimSpace(surname) != "" {
		return strings.TrimSpace(given), strings.TrimSpace(surname)
	}
	name = strings.Trim(name, " ,")
	at := strings.LastIndexByte(name, ' ')
	return strings.TrimSpace(name[:max(at, 0)]), strings.TrimSpace(name[at+1:])
}
