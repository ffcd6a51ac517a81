package survey

import (
	"strings"
)

// Renaming is a setting, or a value of one, that was called otherwise in an
// earlier version.
type Renaming struct {
	Key     string // path of the setting, as it is now
	WasKey  string // path as it was; "" where it has stayed
	Was, Is string // a value as it was and as it is; "" where values have stayed
}

// Renamings lists them all. A survey.toml with an old name is refused, and told
// the new one; the record of a run with an old name is read as if it had the new.
var Renamings = []Renaming{
	{Key: "density.systematic", Was: "R2", Is: RandomLayout},
	{Key: "density.systematic", Was: "O2", Is: "successive-differences"},
	{Key: "density.systematic", Was: "O3", Is: "successive-differences-by-area"},
	{Key: "density.systematic", Was: "S2", Is: "neighbour-pairs"},
}

// KeyNow returns the path of a setting that is given by an old one.
func KeyNow(path string) (now string, renamed bool) {
	for _, r := range Renamings {
		if r.WasKey == path {
			return r.Key, true
		}
	}
	return path, false
}

// ValueNow returns the value of a setting that is given by an old one; key is
// the setting's path as it is now.
func ValueNow(key, value string) (now string, renamed bool) {
	for _, r := range Renamings {
		if r.Key == key && r.Was != "" && strings.EqualFold(r.Was, value) {
			return r.Is, true
		}
	}
	return value, false
}

// Translate gives settings as they were recorded, tables of keys, the names that
// keys and values have now.
func Translate(tables map[string]any) { translate("", tables) }

func translate(above string, table map[string]any) {
	for _, name := range sortedKeys(table) {
		path := strings.TrimPrefix(above+"."+name, ".")
		value := table[name]
		if now, renamed := KeyNow(path); renamed {
			path = now
			delete(table, name)
			table[now[strings.LastIndexByte(now, '.')+1:]] = value // a key keeps its table
		}
		switch v := value.(type) {
		case map[string]any:
			translate(path, v)
		case []any:
			translateList(path, v)
		case string:
			if now, renamed := ValueNow(path, v); renamed {
				table[path[strings.LastIndexByte(path, '.')+1:]] = now
			}
		}
	}
}

func translateList(path string, list []any) {
	for i, value := range list {
		switch v := value.(type) {
		case map[string]any:
			translate(path, v)
		case string:
			list[i], _ = ValueNow(path, v)
		}
	}
}
