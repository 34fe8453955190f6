"""Makes ``publish/fonts/``: a small book serif for all pages, and our figurines for the web.

The serif is cut from Linux Libertine 5.3 (SIL Open Font License 1.1), the forebear of the typeface that the hand-out's
typesetter brings along, so that page and paper look alike. Its licence reserves its names, so the cut-down fonts are
called "Linewright Serif". Each face comes in two files: ``NAME`` has ASCII, punctuation and the trade's signs,
``NAME-more`` the accented letters of Latin-1 and Latin Extended-A; a page that shows none of these carries one file
less.

    pip install fonttools brotli
    apt-get download fonts-linuxlibertine && dpkg -x fonts-linuxlibertine_*.deb libertine
    python tools/fonts/serif.py libertine
"""

from __future__ import annotations

import io
import json
import sys
from pathlib import Path
from typing import Any

from fontTools import subset
from fontTools.pens.cu2quPen import Cu2QuPen
from fontTools.pens.ttGlyphPen import TTGlyphPen
from fontTools.ttLib import TTFont, newTable

PUBLISH = Path(__file__).resolve().parents[2] / "src" / "linewright" / "publish" / "html"
FONTS = PUBLISH / "fonts"
FAMILY = "Linewright Serif"

#: What every page may show: ASCII, punctuation, fractions, arrows, the trade's signs that are no letters, and the
#: accented letters that openings and labels have (Grünfeld, López, Alapín).
BASE = [
    *range(0x20, 0x7F),
    *map(ord, "äöüßéèáíóúñçàêâÄÖÜÉ"),
    *(0xA0, 0xA7, 0xAB, 0xB0, 0xB1, 0xB7, 0xBB, 0xBC, 0xBD, 0xBE, 0xD7, 0x2009, 0x2010, 0x2011, 0x2013, 0x2014),
    *(0x2018, 0x2019, 0x201A, 0x201C, 0x201D, 0x201E, 0x2022, 0x2026, 0x202F, 0x2032, 0x2033, 0x2039, 0x203A, 0x20AC),
    *(0x2190, 0x2191, 0x2192, 0x2193, 0x2212, 0x2213, 0x221E, 0x2260, 0x2264, 0x2265, 0x25A1, 0x25CF),
]
#: The other letters and signs of Latin-1 and Latin Extended-A, Romanian's commas below, the capital sharp s.
MORE = sorted({*range(0xA1, 0x180), 0x218, 0x219, 0x21A, 0x21B, 0x1E9E} - {0xAD, *BASE})

#: Name, source, slant, weights it stands for, features beside kerning. Small capitals are cut where they are used.
FACES = (
    ("serif", "LinLibertine_R.otf", "normal", "400", ("liga", "tnum", "smcp")),
    ("serif-italic", "LinLibertine_RI.otf", "italic", "400", ("liga",)),
    ("serif-bold", "LinLibertine_RZ.otf", "normal", "600 700", ("liga", "tnum")),
)
#: How far a curve may stray when cubics become quadratics, in thousandths of an em: a fortieth of a pixel in a text.
STRAY = 1.0


def cut(source: Path, letters: list[int], features: tuple[str, ...], name: str) -> TTFont:
    """The font's part that draws some letters, as TrueType: WOFF2 packs that a quarter smaller than CFF."""
    options = subset.Options(layout_features=["kern", *features], hinting=False, name_IDs=[], notdef_outline=False)
    font = subset.load_font(str(source), options)
    cutter = subset.Subsetter(options)
    cutter.populate(unicodes=[letter for letter in letters if letter in font.getBestCmap()])
    cutter.subset(font)
    whole = io.BytesIO()
    font.save(whole)
    found = to_truetype(TTFont(whole))
    rename(found, name)
    return found


def to_truetype(font: TTFont) -> TTFont:
    """The font with quadratic outlines."""
    shapes, order = font.getGlyphSet(), font.getGlyphOrder()
    table: Any = newTable("glyf")
    table.glyphOrder, table.glyphs = order, {}
    for name in order:
        pen = TTGlyphPen(None)
        shapes[name].draw(Cu2QuPen(pen, max_err=STRAY, reverse_direction=True))
        table.glyphs[name] = pen.glyph()
    font["glyf"], font["loca"] = table, newTable("loca")
    for name in order:
        table[name].recalcBounds(table)
        font["hmtx"][name] = (font["hmtx"][name][0], getattr(table[name], "xMin", 0))
    sizes = font["maxp"]
    sizes.tableVersion = 0x00010000
    for field in (
        "maxZones maxTwilightPoints maxStorage maxFunctionDefs maxInstructionDefs maxStackElements "
        "maxSizeOfInstructions maxComponentElements maxPoints maxContours maxCompositePoints maxCompositeContours "
        "maxComponentDepth"
    ).split():
        setattr(sizes, field, 1 if field == "maxZones" else 0)
    font["post"].formatType = 3.0
    del font["CFF "]
    font.sfntVersion = "\0\1\0\0"
    return font


def rename(font: TTFont, name: str) -> None:
    """Our own name, with the makers' notice and licence."""
    names = newTable("name")
    names.names = []
    notice = (
        'Copyright (c) 2003-2012, Philipp H. Poll, with Reserved Font Name "Linux Libertine". '
        "Cut down and renamed for Linewright."
    )
    texts = {0: notice, 1: FAMILY, 2: "Regular", 4: f"{FAMILY} {name}", 6: f"LinewrightSerif-{name}"}
    texts |= {13: "SIL Open Font License, Version 1.1", 14: "http://scripts.sil.org/OFL"}
    for number, text in texts.items():
        names.setName(text, number, 3, 1, 0x409)
    font["name"] = names


def packed(font: TTFont) -> bytes:
    """The font as WOFF2; the same outlines give the same file."""
    font.flavor, font.recalcTimestamp = "woff2", False
    out = io.BytesIO()
    font.save(out)
    return out.getvalue()


def ranges(letters: list[int]) -> str:
    """Code points as CSS writes a ``unicode-range``."""
    found: list[list[int]] = []
    for letter in sorted(letters):
        if found and letter == found[-1][1] + 1:
            found[-1][1] = letter
        else:
            found.append([letter, letter])
    return ", ".join(f"U+{a:X}" if a == b else f"U+{a:X}-{b:X}" for a, b in found)


def main(folder: Path) -> None:
    FONTS.mkdir(exist_ok=True)
    faces = []
    for name, file, style, weight, features in FACES:
        (source,) = folder.rglob(file)
        for suffix, letters, with_features in (("", BASE, features), ("-more", MORE, ())):
            font = cut(source, letters, with_features, name + suffix)
            (FONTS / f"{name}{suffix}.woff2").write_bytes(packed(font))
            face = {"file": f"{name}{suffix}.woff2", "family": FAMILY, "style": style, "weight": weight}
            faces.append(face | {"range": ranges(list(font.getBestCmap()))})
    figurines = TTFont(PUBLISH / "figurines.ttf")
    (FONTS / "figurines.woff2").write_bytes(packed(figurines))
    signs = [letter for letter in figurines.getBestCmap() if letter > 0x7F]
    pieces = [letter for letter in figurines.getBestCmap() if 0x41 <= letter <= 0x5A]
    face = {"file": "figurines.woff2", "style": "normal", "weight": "400 700"}
    faces.append({**face, "family": "Linewright Figurines", "range": ranges(signs)})
    faces.append({**face, "family": "Linewright Moves", "range": ranges(pieces)})
    (FONTS / "faces.json").write_text(json.dumps(faces, indent=1) + "\n", encoding="utf-8")
    for path in sorted(FONTS.glob("*.woff2")):
        print(path.name, path.stat().st_size)


if __name__ == "__main__":
    main(Path(sys.argv[1]))
