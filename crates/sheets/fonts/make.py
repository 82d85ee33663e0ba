"""Makes NotoSans-Regular.ttf and NotoSans-Bold.ttf from the full fonts (see README.md).

Run once by hand: python3 make.py FOLDER_WITH_THE_FULL_FONTS
"""

import sys
import tempfile
from pathlib import Path

from fontTools import merge, subset
from fontTools.ttLib import TTFont

SOURCE = Path(sys.argv[1])
HERE = Path(__file__).parent

TEXT = [
    *range(0x20, 0x7F), *range(0xA0, 0x180), 0x192, *range(0x218, 0x21C), 0x2C6, 0x2C7, *range(0x2D8, 0x2DE),
    *range(0x300, 0x305), *range(0x306, 0x30D), 0x327, 0x328, *range(0x386, 0x3CF), *range(0x400, 0x460),
    0x490, 0x491, 0x1E9E, 0x2009, 0x200A, *range(0x2010, 0x2016), 0x2018, 0x2019, 0x201A, 0x201C, 0x201D, 0x201E,
    0x2020, 0x2021, 0x2022, 0x2026, 0x202F, 0x2030, 0x2032, 0x2033, 0x2039, 0x203A, 0x2044, 0x2070,
    *range(0x2074, 0x207A), *range(0x2080, 0x208A), 0x20AC, 0x2116, 0x2122, 0x2126, 0x2153, 0x2154,
    *range(0x215B, 0x215F), 0xFB01, 0xFB02,
]
SYMBOLS = [
    *range(0x2190, 0x219A), 0x21BA, 0x21BB, 0x2212, 0x221A, 0x221E, 0x2220, 0x2248, 0x2260, 0x2264, 0x2265, 0x22A5,
    0x2300, 0x25A0, 0x25A1, 0x25B2, 0x25B3, 0x25B6, 0x25B7, 0x25BC, 0x25BD, 0x25C0, 0x25C1, 0x25CB, 0x25CF, 0x2702,
    0x2713, 0x2717,
]


def cut(path, codes):
    options = subset.Options()
    # Advance widths alone place the glyphs: no kerning, no ligatures, no hinting.
    options.layout_features = []
    options.hinting = False
    options.glyph_names = False
    options.notdef_outline = True
    options.name_IDs = [0, 1, 2, 3, 4, 5, 6, 13, 14]
    options.drop_tables += ["GSUB", "GPOS", "GDEF", "kern", "DSIG", "MATH", "STAT", "meta"]
    font = TTFont(path, recalcTimestamp=False)
    known = font.getBestCmap()
    worker = subset.Subsetter(options)
    worker.populate(unicodes=[code for code in codes if code in known])
    worker.subset(font)
    return font


for weight in ("Regular", "Bold"):
    with tempfile.TemporaryDirectory() as folder:
        first = cut(SOURCE / f"NotoSans-{weight}.ttf", TEXT + SYMBOLS)
        parts = [Path(folder) / "0.ttf"]
        first.save(parts[0])
        have = set(first.getBestCmap())
        # The first font that has a symbol gives it.
        for name in ("NotoSansMath-Regular", f"NotoSansSymbols-{weight}", "NotoSansSymbols2-Regular"):
            path = SOURCE / f"{name}.ttf"
            known = set(TTFont(path).getBestCmap())
            need = [code for code in SYMBOLS if code in known and code not in have]
            if need:
                have.update(need)
                parts.append(Path(folder) / f"{len(parts)}.ttf")
                cut(path, need).save(parts[-1])
        made = merge.Merger().merge([str(part) for part in parts])
        # Merging takes the largest of each vertical measure; the text's own are wanted.
        first = TTFont(parts[0])
        for name in ("ascent", "descent", "lineGap"):
            setattr(made["hhea"], name, getattr(first["hhea"], name))
        for name in (
            "sTypoAscender", "sTypoDescender", "sTypoLineGap", "usWinAscent", "usWinDescent", "sCapHeight",
            "sxHeight", "usWeightClass", "fsSelection",
        ):
            setattr(made["OS/2"], name, getattr(first["OS/2"], name))
        made["name"] = first["name"]
        for name in ("macStyle", "created", "modified"):
            setattr(made["head"], name, getattr(first["head"], name))
        made.recalcTimestamp = False
        made.save(HERE / f"NotoSans-{weight}.ttf")
