package table

import (
	"fmt"
	"strings"

	"github.com/apache/arrow/go/v15/arrow"
)

// unnamed stands for a header of the crew's that is empty.
const unnamed = "unnamed"

func isCrews(f arrow.Field) bool {
	origin, _ := f.Metadata.GetValue(originKey)
	return origin == crewOrigin
}

// crewFields returns the fields of the crew's own columns beside those of ours.
func crewFields(ours []arrow.Field, headers []string) []arrow.Field {
	taken := map[string]bool{}
	for _, f := range ours {
		taken[fold(f.Name)] = true
	}
	fields := make([]arrow.Field, len(headers))
	for i, header := range headers {
		header = utf8Of(header)
		fields[i] = arrow.Field{
			Name:     freeName(header, taken),
			Type:     arrow.BinaryTypes.String,
			Nullable: true,
			Metadata: arrow.NewMetadata([]string{originKey, headerKey}, []string{crewOrigin, header}),
		}
	}
	return fields
}

// freeName returns the trimmed header, with a number where it alone would be
// taken, and takes it. Names that differ by case alone are one name to SQL.
func freeName(header string, taken map[string]bool) string {
	base := strings.TrimSpace(header)
	if base == "" {
		base = unnamed
	}
	name := base
	for n := 2; taken[fold(name)]; n++ {
		name = fmt.Sprintf("%s (%d)", base, n)
	}
	taken[fold(name)] = true
	return name
}

func fold(name string) string { return strings.ToLower(name) }

// utf8Of returns s, with every byte that is not UTF-8 replaced: Arrow texts
// must be, and headers and file names come from outside.
func utf8Of(s string) string { return strings.ToValidUTF8(s, "\uFFFD") }
