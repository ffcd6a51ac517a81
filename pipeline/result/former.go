package result

import (
	"reflect"
	"strconv"

	"ashtally/pipeline/column"
	"ashtally/stats"
)

// Former returns the table of rows that are declared by columns alone, the last of
// which holds their warnings. It tells no key, no limits and no warnings of a row.
// It stands in until the last table has a [Declaration].
func Former[R any](t column.Table[R], rows []R) Table {
	none := func(*R) []stats.Warning { return nil }
	return &tableOf[R]{declared: &Declaration[R]{Name: t.Name, About: t.About, Warnings: none}, columns: t, rows: rows, former: true}
}

// formerWarnings are those of a row, from its field of that name.
func formerWarnings(row any) []stats.Warning {
	list, _ := reflect.ValueOf(row).FieldByName("Warnings").Interface().([]stats.Warning)
	return list
}

// formerKey gives the names and values of the grouping columns of a row, which stand
// before what was counted or estimated.
func formerKey[R any](t column.Table[R], row *R) [][2]string {
	var key [][2]string
	for _, c := range t.Columns {
		switch v := c.At(row).(type) {
		case *string:
			key = append(key, [2]string{c.Name, *v})
		case *column.Int:
			if c.Name != "year" {
				return key
			}
			key = append(key, [2]string{c.Name, strconv.FormatInt(v.Value, 10)})
		case *column.Float:
			if c.Name != "distance_m" {
				return key
			}
			if v.Known {
				key = append(key, [2]string{c.Name, strconv.FormatFloat(v.Value, 'g', -1, 64)})
			}
		default:
			return key
		}
	}
	return key
}
