package main

import (
	"bytes"
	"fmt"
	"strings"
)

// doi is the digital object identifier of an article that comments cite, found by the
// name that begins the citation and by volume and first page. All are from memory.
type doi struct{ author, place, doi string }

var dois = []doi{
	{"Alho", "46: 623", "10.2307/2532083"},
	{"Anscombe", "37: 358", "10.1093/biomet/37.3-4.358"},
	{"Benjamini", "57: 289", "10.1111/j.2517-6161.1995.tb02031.x"},
	{"Binder", "51: 279", "10.2307/1402588"},
	{"Bliss", "9: 176", "10.2307/3001850"},
	{"Borchers", "62: 372", "10.1111/j.1541-0420.2005.00493.x"},
	{"Chao", "43: 783", "10.2307/2531532"},
	{"Chung", "41: 484", "10.1214/13-AOS1090"},
	{"Clopper", "26: 404", "10.1093/biomet/26.4.404"},
	{"Cohen", "20: 37", "10.1177/001316446002000104"},
	{"Donner", "21: 347", "10.1177/0962280210383082"},
	{"Fewster", "65: 225", "10.1111/j.1541-0420.2008.01018.x"},
	{"Fieller", "16: 175", "10.1111/j.2517-6161.1954.tb00159.x"},
	{"Fisher", "9: 325", "10.1111/j.1744-7348.1922.tb05962.x"},
	{"Fleiss", "72: 323", "10.1037/h0028106"},
	{"Grafström", "68: 514", "10.1111/j.1541-0420.2011.01699.x"},
	{"Hemerik", "82: 841", "10.1111/rssb.12369"},
	{"Huggins", "76: 133", "10.1093/biomet/76.1.133"},
	{"Imbens", "72: 1845", "10.1111/j.1468-0262.2004.00555.x"},
	{"Janssen", "36: 9", "10.1016/S0167-7152(97)00043-6"},
	{"Kaplan", "53: 457", "10.1080/01621459.1958.10501452"},
	{"Lancaster", "56: 223", "10.1080/01621459.1961.10482105"},
	{"Lawless", "15: 209", "10.2307/3314912"},
	{"MacKinnon", "32: 233", "10.1002/jae.2508"},
	{"Mantel", "22: 719", "10.1093/jnci/22.4.719"},
	{"Marques", "59: 924", "10.1111/j.0006-341X.2003.00107.x"},
	{"Neyman", "97: 558", "10.2307/2342192"},
	{"Nichols", "117: 393", "10.1093/auk/117.2.393"},
	{"Prentice", "61: 539", "10.1093/biomet/61.3.539"},
	{"Pustejovsky", "36: 672", "10.1080/07350015.2016.1247004"},
	{"Rao", "12: 46", "10.1214/aos/1176346391"},
	{"Satterthwaite", "2: 110", "10.2307/3002019"},
	{"Stevens", "14: 593", "10.1002/env.606"},
	{"Stevens", "99: 262", "10.1198/016214504000000250"},
	{"Thompson", "85: 1050", "10.1080/01621459.1990.10474975"},
	{"Zhu", "33: 376", "10.1002/sim.5947"},
	{"Zou", "27: 1693", "10.1002/sim.3095"},
}

// citedIn is the list of those that a page cites; empty if it cites none.
func citedIn(page []byte) string {
	text := strings.Join(strings.Fields(string(page)), " ")
	var b bytes.Buffer
	for _, d := range dois {
		if d.citedIn(text) {
			fmt.Fprintf(&b, "- %s, %s: [%s](https://doi.org/%s)\n", d.author, d.place, d.doi, strings.NewReplacer("(", "%28", ")", "%29").Replace(d.doi))
		}
	}
	if b.Len() == 0 {
		return ""
	}
	return "\n## DOIs\n\nOf the articles cited above, by first author, volume and first page; from memory.\n\n" + b.String()
}

// farthest is how many bytes there are at most between the name that begins a citation
// and its first page.
const farthest = 160

// citedIn reports whether volume and page follow soon after the name.
func (d doi) citedIn(text string) bool {
	for from := 0; ; {
		at := strings.Index(text[from:], " "+d.place)
		if at < 0 {
			return false
		}
		at += from
		before := text[max(0, at-farthest):at]
		after := text[at+len(d.place)+1:]
		if strings.Contains(before, d.author) && (after == "" || after[0] < '0' || after[0] > '9') {
			return true
		}
		from = at + 1
	}
}
