package ingest

import (
	"fmt"
	"strings"

	"ashtally/pipeline/column"
	"ashtally/pipeline/phrase"
	"ashtally/pipeline/survey"
)

// SettingsPage describes every setting of survey.toml by what it is for, in
// Markdown.
func SettingsPage() string {
	defaults := survey.Defaults()
	var b strings.Builder
	for _, g := range survey.Groups {
		fmt.Fprintf(&b, "\n## %s\n\n%s.\n", g.Title, sentenceCase(g.About))
		for _, table := range g.Tables {
			b.WriteString("\n" + tableHeading(table) + "\n")
			switch table {
			case survey.FilesTable:
				b.WriteString(aboutFiles + ".\n")
			case survey.ColumnsTable:
				b.WriteString(sentenceCase(aboutColumns) + ".\n")
			case survey.SingleUnitStrata:
				b.WriteString(sentenceCase(survey.AboutSingleUnitStrata) + ".\n")
			case survey.HarvestTable:
				b.WriteString(harvestRows())
			case survey.DatasetTable:
				b.WriteString(keyRows(survey.DatasetKeys, &survey.Settings{Dataset: survey.Dataset{BlurM: survey.DefaultBlurM}}))
				fmt.Fprintf(&b, "\n`[%s.taxa]` and `[%[1]s.trees]` hold names: %s.\n", survey.DatasetTable, survey.AboutNames)
			default:
				b.WriteString(keyRows(keysOf(table), &defaults))
			}
		}
	}
	return b.String() + "\n"
}

func tableHeading(table string) string {
	switch table {
	case "":
		return ""
	case survey.HarvestTable:
		return "### `[[" + table + "]]`\n"
	case survey.ColumnsTable:
		return "### `[" + table + ".NAME]`\n"
	}
	return "### `[" + table + "]`\n"
}

const tableHead = "| key | default | what it sets |\n|---|---|---|\n"

func keyRows(keys []survey.Key, defaults *survey.Settings) string {
	var b strings.Builder
	b.WriteString(tableHead)
	for _, k := range keys {
		value := "`" + tomlValue(k.At(defaults)) + "`"
		if date, ok := k.At(defaults).(*column.Date); value == "`\"\"`" || value == "`[]`" || ok && !date.Known() {
			value = ""
		}
		fmt.Fprintf(&b, "| `%s` | %s | %s |\n", k.Name, value, k.About+allows(k.Words, k.Bounds))
	}
	return b.String()
}

// harvestRows describe the keys of a scenario, of which some have no default.
func harvestRows() string {
	silent := survey.NewHarvest()
	var b strings.Builder
	b.WriteString(tableHead)
	for _, k := range survey.HarvestKeys {
		value := "required"
		if n, ok := k.At(&silent).(*float64); ok && !k.Required {
			if value = ""; *n != 0 {
				value = "`" + phrase.Decimal(*n) + "`"
			}
		}
		fmt.Fprintf(&b, "| `%s` | %s | %s |\n", k.Name, value, k.About+allows(k.Words, k.Bounds))
	}
	return b.String()
}

// allows says what a setting may be, after what it sets.
func allows(words []string, bounds column.Bounds) string {
	switch {
	case words != nil:
		return " (" + phrase.Either(words) + ")"
	case bounds.Set && bounds.Min >= 1000:
		return "; years " + phrase.Decimal(bounds.Min) + " to " + phrase.Decimal(bounds.Max)
	case bounds.Set:
		return "; " + phrase.Decimal(bounds.Min) + " to " + phrase.Decimal(bounds.Max)
	}
	return ""
}

func keysOf(table string) []survey.Key {
	var list []survey.Key
	for _, k := range survey.Keys {
		if k.Table == table {
			list = append(list, k)
		}
	}
	return list
}

func sentenceCase(s string) string { return strings.ToUpper(s[:1]) + s[1:] }
