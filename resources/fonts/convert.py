"""Makes the TrueType files beside this script from the packaged OpenType originals.

Run once by hand, on a system with the Debian packages ``fonts-inter`` and ``fonts-cabin`` and the
Python package ``fonttools``: ``python resources/fonts/convert.py [FOLDER OF THE OTF FILES]``.
The program itself never runs it.

Why convert: the PDF writer embeds only TrueType outlines (table ``glyf``), the packages carry cubic
outlines (``CFF``). Why bake tabular figures: the PDF writer knows no OpenType features, so the
digits themselves must be the ones that stand in columns.
"""

import sys
from pathlib import Path

from fontTools import subset
from fontTools.pens.cu2quPen import Cu2QuPen
from fontTools.pens.ttGlyphPen import TTGlyphPen
from fontTools.ttLib import TTFont, newTable

HERE = Path(__file__).parent
MAX_ERROR_EM = 0.0005
RANGES = (
    (0x0020, 0x007E), (0x00A0, 0x024F),  # Latin, Latin Extended
    (0x02B0, 0x036F),  # spacing and combining accents
    (0x0370, 0x03FF), (0x0400, 0x052F), (0x1E00, 0x1EFF), (0x1F00, 0x1FFF),  # Greek, Cyrillic
    (0x2000, 0x206F), (0x2070, 0x209F), (0x20A0, 0x20BF), (0x2100, 0x214F), (0x2150, 0x218F),
    (0x2190, 0x21FF), (0x2200, 0x22FF), (0x2300, 0x23FF),  # arrows, signs
    (0x2500, 0x25FF), (0x2600, 0x26FF), (0x2700, 0x27BF), (0xFB00, 0xFB04), (0xFFFD, 0xFFFD),
)  # fmt: skip
# (original, file, family, style, weight)
FACES = (
    ("inter/Inter-Regular.otf", "Inter-Regular.ttf", "Inter", "Regular", 400),
    ("inter/Inter-Medium.otf", "Inter-Medium.ttf", "Inter", "Medium", 500),
    ("inter/Inter-SemiBold.otf", "Inter-SemiBold.ttf", "Inter", "SemiBold", 600),
    ("cabin/Cabin-Regular.otf", "OnsiteTitle-Regular.ttf", "Onsite Title", "Regular", 400),
    ("cabin/Cabin-SemiBold.otf", "OnsiteTitle-SemiBold.ttf", "Onsite Title", "SemiBold", 600),
)


def main() -> None:
    """Writes every face of `FACES` beside this script."""
    folder = Path(sys.argv[1] if len(sys.argv) > 1 else "/usr/share/fonts/opentype")
    for source, target, family, style, weight in FACES:
        font = _subset(TTFont(folder / source))
        _bake_tabular_figures(font)
        _quadratic(font)
        _name(font, family, style, weight)
        font.save(HERE / target)


def _subset(font: TTFont) -> TTFont:
    options = subset.Options()
    options.layout_features = ["tnum", "kern", "mark", "mkmk", "ccmp", "locl"]
    options.name_IDs = ["*"]
    options.notdef_outline = True
    options.hinting = False
    options.desubroutinize = True
    options.legacy_kern = True
    options.glyph_names = False
    worker = subset.Subsetter(options)
    worker.populate(unicodes=[code for a, b in RANGES for code in range(a, b + 1)])
    worker.subset(font)
    return font


def _bake_tabular_figures(font: TTFont) -> None:
    """Digits are those of feature `tnum`; the feature stays and then changes nothing."""
    if "GSUB" not in font:
        return
    table = font["GSUB"].table
    wide: dict[str, str] = {}
    for record in table.FeatureList.FeatureRecord:
        if record.FeatureTag == "tnum":
            for index in record.Feature.LookupListIndex:
                for part in table.LookupList.Lookup[index].SubTable:
                    wide |= getattr(part, "ExtSubTable", part).mapping
    for cmap in font["cmap"].tables:
        for code in range(ord("0"), ord("9") + 1):
            if code in cmap.cmap:
                cmap.cmap[code] = wide.get(cmap.cmap[code], cmap.cmap[code])
    if not wide:
        return
    metrics, chosen = font["hmtx"], font.getBestCmap()
    width = metrics[chosen[ord("0")]][0]
    for code in range(ord("0"), ord("9") + 1):  # the original's 4 is 1 per mille narrower
        metrics[chosen[code]] = (width, metrics[chosen[code]][1])


def _quadratic(font: TTFont) -> None:
    """Outlines become quadratic (table ``glyf``), within half a thousandth of the em."""
    glyphs = font.getGlyphSet()
    max_error = font["head"].unitsPerEm * MAX_ERROR_EM
    outlines = {}
    for name in font.getGlyphOrder():
        pen = TTGlyphPen(glyphs)
        glyphs[name].draw(Cu2QuPen(pen, max_error, reverse_direction=True))
        outlines[name] = pen.glyph()
    font["loca"] = newTable("loca")
    font["glyf"] = glyf = newTable("glyf")
    glyf.glyphOrder = font.getGlyphOrder()
    glyf.glyphs = outlines
    del font["CFF "]
    if "VORG" in font:
        del font["VORG"]
    glyf.compile(font)
    for name, (width, _) in list(font["hmtx"].metrics.items()):
        font["hmtx"][name] = (width, getattr(glyf[name], "xMin", 0))
    maxp = font["maxp"]
    maxp.tableVersion = 0x00010000
    maxp.maxZones = 1
    for field in (
        "maxTwilightPoints", "maxStorage", "maxFunctionDefs", "maxInstructionDefs",
        "maxStackElements", "maxSizeOfInstructions", "maxComponentElements",
    ):  # fmt: skip
        setattr(maxp, field, 0)
    font["post"].formatType = 3.0
    font.sfntVersion = "\x00\x01\x00\x00"


def _name(font: TTFont, family: str, style: str, weight: int) -> None:
    """One typographic family; weights other than 400 also as a family of their own, as usual."""
    names = font["name"]
    full = f"{family} {style}"
    plain = style == "Regular"
    post_script = full.replace(" ", "", family.count(" ")).replace(" ", "-")
    new = {1: family if plain else full, 2: "Regular", 3: f"2.000;{post_script}", 4: full}
    new |= {6: post_script} | ({} if plain else {16: family, 17: style})
    for name_id in (1, 2, 3, 4, 6, 16, 17, 18, 20, 21, 22, 25):
        names.removeNames(nameID=name_id)
    if family != "Inter":  # the trademark sentence speaks of the original's name
        names.removeNames(nameID=7)
    for name_id, text in new.items():
        names.setName(text, name_id, 3, 1, 0x409)
        names.setName(text, name_id, 1, 0, 0)
    font["OS/2"].usWeightClass = weight


if __name__ == "__main__":
    main()
