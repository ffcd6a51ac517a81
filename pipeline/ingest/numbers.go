package ingest

import (
	"cmp"
	"errors"
	"math"
	"strconv"
	"strings"
	"unicode"

	"ashtally/pipeline/column"
	"ashtally/pipeline/phrase"
)

// marks notes which signs a file writes its decimals with: a file with both
// may mean thousands by one of them.
type marks struct {
	allowComma   bool // the file is not divided by commas
	comma, point int64
}

// note is told of a number that was read, and on which line.
func (m *marks) note(mark byte, line int64) {
	switch {
	case mark == ',' && m.comma == 0:
		m.comma = line
	case mark == '.' && m.point == 0:
		m.point = line
	}
}

// join adds what was noted of later rows.
func (m *marks) join(later marks) {
	m.comma, m.point = cmp.Or(m.comma, later.comma), cmp.Or(m.point, later.point)
}

const (
	numberRemedy = "write the figure alone, or leave the cell empty if it was not recorded"
	commaRemedy  = "write a point before the decimals and nothing between thousands"
)

// parseNumber reads a decimal number: digits with an optional sign, decimals
// and exponent. It reads no hexadecimal figures, no underscores, no NaN and no
// infinity, which strconv would. mark is the decimal sign, 0 for none.
func parseNumber(s string, allowComma bool) (v float64, mark byte, problem, remedy string) {
	if v, mark, ok := shortNumber(s); ok {
		return v, mark, "", ""
	}
	at, ok := scanNumber(s)
	if !ok {
		problem, remedy := noNumber(s)
		return 0, 0, problem, remedy
	}
	if at >= 0 {
		mark = s[at]
	}
	var err error
	switch {
	case mark != ',':
		v, err = strconv.ParseFloat(s, 64)
	case !allowComma:
		return 0, 0, phrase.Quote(s) + " has a comma, which is no decimal sign in a file divided by commas", commaRemedy
	default:
		var room [32]byte
		text := append(room[:0], s...)
		text[at] = '.'
		v, err = strconv.ParseFloat(string(text), 64)
	}
	if err != nil { // out of range: scanNumber leaves nothing else
		return 0, 0, phrase.Quote(s) + " is too large a number", "check it"
	}
	return v, mark, "", ""
}

// shortDigits is how many digits a whole number may have and still be a float
// without rounding, whatever the digits: 10^15 < 2^53.
const shortDigits = 15

// tens are the powers of ten up to that many decimals, all exact.
var tens = [shortDigits + 1]float64{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15}

// shortNumber reads what nearly every cell is: a few digits, perhaps with a
// point. Digits and power of ten are exact, so that their quotient is rounded
// once, to the same float that strconv gives.
func shortNumber(s string) (v float64, mark byte, ok bool) {
	digits, decimals, whole := 0, 0, uint64(0)
	for i := range len(s) {
		switch c := s[i]; {
		case c >= '0' && c <= '9':
			whole = 10*whole + uint64(c-'0')
			digits++
		case c == '.' && mark == 0:
			mark, decimals = c, len(s)-1-i
		default:
			return 0, 0, false
		}
		if digits > shortDigits {
			return 0, 0, false
		}
	}
	if digits == 0 || decimals > digits {
		return 0, 0, false
	}
	return float64(whole) / tens[decimals], mark, true
}

// scanNumber reports whether s is a decimal number, and where its decimal sign
// stands; -1 for none.
func scanNumber(s string) (mark int, ok bool) {
	i, digits := 0, 0
	mark = -1
	if i < len(s) && (s[i] == '+' || s[i] == '-') {
		i++
	}
	for ; i < len(s); i++ {
		switch c := s[i]; {
		case c >= '0' && c <= '9':
			digits++
		case (c == '.' || c == ',') && mark < 0:
			mark = i
		default:
			return mark, digits > 0 && isExponent(s[i:])
		}
	}
	return mark, digits > 0
}

func isExponent(s string) bool {
	if s[0] != 'e' && s[0] != 'E' {
		return false
	}
	s = s[1:]
	if s != "" && (s[0] == '+' || s[0] == '-') {
		s = s[1:]
	}
	return s != "" && strings.Trim(s, "0123456789") == ""
}

// noNumber says what a text is instead of a number.
func noNumber(s string) (problem, remedy string) {
	switch {
	case strings.Trim(s, "+-0123456789.,") == "" && strings.Contains(s, ",") && strings.ContainsAny(s, "0123456789"):
		return phrase.Quote(s) + " could be read in more than one way", commaRemedy
	case s[0] >= '0' && s[0] <= '9' && isWord(strings.TrimLeft(s, "+-0123456789.,")):
		return phrase.Quote(s) + " is not a number", "write the figure alone: the header names the unit"
	}
	return phrase.Quote(s) + " is not a number", numberRemedy
}

// isWord reports whether a text could be a unit: letters, or a sign like %.
func isWord(s string) bool {
	s = strings.TrimSpace(s)
	return s != "" && !strings.ContainsFunc(s, func(r rune) bool { return unicode.IsDigit(r) || r == '_' })
}

// setNumber returns the setter of a Number column.
func setNumber(p *column.Float, f column.Field, c conversion, m *marks, line *int64) setter {
	return func(text string) (problem, remedy string) {
		*p = column.Float{}
		v, mark, problem, remedy := parseNumber(text, m.allowComma)
		if problem != "" {
			return problem, remedy
		}
		if mark != 0 {
			m.note(mark, *line)
		}
		v = c.apply(v)
		if !f.Bounds.Hold(v) {
			return phrase.Outside(asConverted(text, v, c, f.Unit), v, f.Bounds, f.Unit), outsideRemedy(f.Name, v)
		}
		*p = column.Float{Value: v, Known: true}
		return "", ""
	}
}

// outsideRemedy says what to do about a figure out of its bounds.
func outsideRemedy(name string, v float64) string {
	if name == "latitude" && math.Abs(v) <= 180 {
		return "did latitude and longitude change places? check both"
	}
	return "check the figure and its unit"
}

// asConverted shows a cell's text and, where the header is in another unit,
// what it comes to.
func asConverted(text string, v float64, c conversion, unit string) string {
	if c.from == "" {
		return phrase.Quote(text)
	}
	return phrase.Quote(text) + " " + c.from + ", " + phrase.Decimal(toDigits(v, 9)) + " " + unit + ","
}

// setWhole returns the setter of a Whole column. Spreadsheets write 3 as 3.0,
// so a number without a fraction is read as whole.
func setWhole(p *column.Int, f column.Field, m *marks) setter {
	return func(text string) (problem, remedy string) {
		*p = column.Int{}
		v, err := strconv.ParseInt(text, 10, 64)
		if err != nil {
			var x float64
			x, _, problem, remedy = parseNumber(text, m.allowComma)
			switch {
			case problem != "":
				return problem, remedy
			case errors.Is(err, strconv.ErrRange) || math.Abs(x) > 1<<53:
				return phrase.Quote(text) + " is too large a number", "check it"
			case x != math.Trunc(x):
				return phrase.Quote(text) + " is not a whole number", "check the figure"
			}
			v = int64(x)
		}
		if !f.Bounds.Hold(float64(v)) {
			return phrase.Outside(phrase.Quote(text), float64(v), f.Bounds, ""), "check the figure"
		}
		*p = column.Int{Value: v, Known: true}
		return "", ""
	}
}
