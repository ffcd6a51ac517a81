#!/usr/bin/python3
"""Make the web fonts of the figures from Liberation Sans 2.

Usage: subset.py FOLDER, where FOLDER holds LiberationSans-Regular.ttf and
LiberationSans-Bold.ttf. Needs fonttools and brotli (Debian: python3-fonttools
python3-brotli). The licence reserves the name Liberation for unchanged fonts,
so the subsets have another.
"""
import sys
from fontTools import subset

FAMILY = "Ashtally Sans"
LATIN = (  # Latin, punctuation, arrows and the signs of formulas
    list(range(0x20, 0x7F)) + list(range(0xA0, 0x180)) + [0x394, 0x3B8, 0x3BA, 0x3BB, 0x3BC, 0x3C3]
    + list(range(0x2010, 0x2016)) + list(range(0x2018, 0x201F)) + [0x2020, 0x2021, 0x2022, 0x2026, 0x2030, 0x2032, 0x2033]
    + list(range(0x2070, 0x208A)) + [0x20AC, 0x2190, 0x2191, 0x2192, 0x2193, 0x2206, 0x2212, 0x221E, 0x2248, 0x2260, 0x2264, 0x2265, 0x25A1, 0xFFFD]
)


def make(source, target, style):
    options = subset.Options()
    options.hinting = False
    options.layout_features = []
    options.legacy_kern = False
    options.flavor = "woff2"
    options.drop_tables += ["FFTM", "kern", "GPOS", "GSUB", "GDEF"]
    options.recalc_timestamp = False
    font = subset.load_font(source, options)
    subsetter = subset.Subsetter(options)
    subsetter.populate(unicodes=LATIN)
    subsetter.subset(font)
    names = {1: FAMILY, 2: style, 3: f"{FAMILY} {style}", 4: f"{FAMILY} {style}", 6: f"{FAMILY.replace(' ', '')}-{style}", 16: FAMILY, 17: style}
    for record in font["name"].names:
        if record.nameID in names:
            record.string = names[record.nameID]
    subset.save_font(font, target, options)


if __name__ == "__main__":
    folder = sys.argv[1]
    for style in ("Regular", "Bold"):
        make(f"{folder}/LiberationSans-{style}.ttf", f"sans-{style.lower()}.woff2", style)
