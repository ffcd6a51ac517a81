package spreadsheet

import (
	"fmt"
	"strings"
)

// The fixed parts of the package, and those that name its sheets.
const (
	declaration   = `<?xml version="1.0" encoding="UTF-8" standalone="yes"?>` + "\n"
	mainNamespace = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"

	relations     = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
	relationsPart = "http://schemas.openxmlformats.org/package/2006/relationships"
	contentPrefix = "application/vnd.openxmlformats-officedocument.spreadsheetml."

	packageRelations = `<Relationships xmlns="` + relationsPart + `"><Relationship Id="rId1" Type="` + relations + `/officeDocument" Target="xl/workbook.xml"/></Relationships>`

	// The formats of cells, in the order of the styles.
	styles = `<styleSheet xmlns="` + mainNamespace + `">` +
		`<numFmts count="1"><numFmt numFmtId="164" formatCode="yyyy\-mm\-dd"/></numFmts>` +
		`<fonts count="4"><font><sz val="11"/><name val="Calibri"/></font>` +
		`<font><b/><sz val="13"/><name val="Calibri"/></font>` +
		`<font><b/><sz val="11"/><name val="Calibri"/></font>` +
		`<font><i/><sz val="11"/><name val="Calibri"/></font></fonts>` +
		`<fills count="2"><fill><patternFill patternType="none"/></fill><fill><patternFill patternType="gray125"/></fill></fills>` +
		`<borders count="1"><border><left/><right/><top/><bottom/><diagonal/></border></borders>` +
		`<cellStyleXfs count="1"><xf numFmtId="0" fontId="0" fillId="0" borderId="0"/></cellStyleXfs>` +
		`<cellXfs count="6">` +
		`<xf numFmtId="0" fontId="0" fillId="0" borderId="0" xfId="0"/>` +
		`<xf numFmtId="0" fontId="1" fillId="0" borderId="0" xfId="0" applyFont="1"/>` +
		`<xf numFmtId="0" fontId="2" fillId="0" borderId="0" xfId="0" applyFont="1"/>` +
		`<xf numFmtId="0" fontId="3" fillId="0" borderId="0" xfId="0" applyFont="1"/>` +
		`<xf numFmtId="1" fontId="0" fillId="0" borderId="0" xfId="0" applyNumberFormat="1"/>` +
		`<xf numFmtId="164" fontId="0" fillId="0" borderId="0" xfId="0" applyNumberFormat="1"/>` +
		`</cellXfs><cellStyles count="1"><cellStyle name="Normal" xfId="0" builtinId="0"/></cellStyles></styleSheet>`
)

// sheetPart is the part of the i-th sheet, from 0.
func sheetPart(i int) string { return fmt.Sprintf("xl/worksheets/sheet%d.xml", i+1) }

func contentTypes(sheets int) string {
	var b strings.Builder
	b.WriteString(`<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">` +
		`<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>` +
		`<Default Extension="xml" ContentType="application/xml"/>` +
		`<Override PartName="/xl/workbook.xml" ContentType="` + contentPrefix + `sheet.main+xml"/>` +
		`<Override PartName="/xl/styles.xml" ContentType="` + contentPrefix + `styles+xml"/>`)
	for i := range sheets {
		fmt.Fprintf(&b, `<Override PartName="/%s" ContentType="%sworksheet+xml"/>`, sheetPart(i), contentPrefix)
	}
	return b.String() + "</Types>"
}

func workbookPart(sheets []sheetOf) string {
	var b strings.Builder
	fmt.Fprintf(&b, `<workbook xmlns="%s" xmlns:r="%s"><sheets>`, mainNamespace, relations)
	for i, s := range sheets {
		fmt.Fprintf(&b, `<sheet name="%s" sheetId="%d" r:id="rId%d"/>`, escape(s.name), i+1, i+1)
	}
	return b.String() + "</sheets></workbook>"
}

func workbookRelations(sheets int) string {
	var b strings.Builder
	b.WriteString(`<Relationships xmlns="` + relationsPart + `">`)
	for i := range sheets {
		fmt.Fprintf(&b, `<Relationship Id="rId%d" Type="%s/worksheet" Target="worksheets/sheet%d.xml"/>`, i+1, relations, i+1)
	}
	fmt.Fprintf(&b, `<Relationship Id="rId%d" Type="%s/styles" Target="styles.xml"/></Relationships>`, sheets+1, relations)
	return b.String()
}
