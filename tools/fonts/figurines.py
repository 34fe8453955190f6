"""Makes ``publish/figurines.ttf``: our own drawn pieces as the chess figurines of Unicode (U+2654-2659).

Beside them stand the trade's signs that few typefaces have: ⩲ ⩱ ⨀, and ✓ ✗.

Pages, hand-outs and films set moves with it, so that a move stays text that can be copied, searched and read aloud.

    pip install fonttools skia-pathops
    python tools/fonts/figurines.py        # then serif.py beside it, which packs them for the web
"""

from __future__ import annotations

import re
from pathlib import Path

import pathops
from fontTools.fontBuilder import FontBuilder
from fontTools.pens.cu2quPen import Cu2QuPen
from fontTools.pens.transformPen import TransformPen
from fontTools.pens.ttGlyphPen import TTGlyphPen
from fontTools.svgLib.path import parse_path

PUBLISH = Path(__file__).resolve().parents[2] / "src" / "linewright" / "publish" / "html"
PIECES = "KQRBNP"
FIRST = 0x2654
EM = 1000
#: Font units for a unit of the drawings: pieces stand a little taller than capitals, as in printed books.
SCALE = 9.2
#: Drawing's y of the baseline, and white left of the piece's left edge and right of its right one, drawing units.
BASE, LEFT, RIGHT = 88.0, 5.0, 5.0
OUTLINE, INNER = 6.5, 5.0

#: Signs by code point: name, width, pen and path, in font units over the baseline.
SIGNS = {
    0x2713: ("tick", 560, 70, "M60 250L200 80L490 560"),
    0x2717: ("cross", 520, 70, "M70 60L450 560M450 60L70 560"),
    0x2A00: ("zugzwang", 660, 42, "M330 530A250 250 0 0 1 330 30A250 250 0 0 1 330 530ZM330 305V255"),
    0x2A71: ("black-slightly", 580, 46, "M65 560H515M65 430H515M290 330V10M130 170H450"),
    0x2A72: ("white-slightly", 580, 46, "M65 50H515M65 180H515M290 600V280M130 440H450"),
}


def strokes(text: str, width: float) -> pathops.Path:
    """The outline of an SVG path drawn with a round pen."""
    path = pathops.Path()
    parse_path(text, path.getPen(glyphSet=None))
    path.stroke(width, pathops.LineCap.ROUND_CAP, pathops.LineJoin.ROUND_JOIN, 4.0)
    path.convertConicsToQuads()
    path.simplify(fix_winding=True, keep_starting_points=False)
    return path


def drawing(svg: str, name: str) -> list[str]:
    group = re.search(rf'<g id="{name}">(.*?)</g>', svg, re.S)
    assert group, name
    return re.findall(r'\sd="([^"]+)"', group[1])


def main() -> None:
    svg = (PUBLISH / "pieces.svg").read_text(encoding="utf-8")
    glyphs, widths = {".notdef": TTGlyphPen(None).glyph(), "space": TTGlyphPen(None).glyph()}, {}
    widths[".notdef"] = widths["space"] = (300, 0)
    for piece in PIECES:
        whole = pathops.Path()
        for text in drawing(svg, f"s{piece}"):
            whole = pathops.op(whole, strokes(text, OUTLINE), pathops.PathOp.UNION)
        for text in drawing(svg, f"i{piece}"):
            whole = pathops.op(whole, strokes(text, INNER), pathops.PathOp.UNION)
        left, _, right, _ = whole.bounds
        pen = TTGlyphPen(None)
        shift = (SCALE, 0, 0, -SCALE, (LEFT - left) * SCALE, BASE * SCALE)
        whole.draw(TransformPen(Cu2QuPen(pen, max_err=1.0, reverse_direction=False), shift))
        glyphs[piece] = pen.glyph()
        widths[piece] = (round((right - left + LEFT + RIGHT) * SCALE), round(LEFT * SCALE))
    for name, width, pen_width, text in SIGNS.values():
        pen = TTGlyphPen(None)
        path = strokes(text, pen_width)
        path.draw(Cu2QuPen(pen, max_err=1.0, reverse_direction=False))
        glyphs[name] = pen.glyph()
        widths[name] = (width, round(path.bounds[0]))
    builder = FontBuilder(EM, isTTF=True)
    builder.setupGlyphOrder(list(glyphs))
    # The English piece letters too: on the page moves keep their letters in the text and look like figurines.
    letters = {ord(piece): piece for piece in PIECES if piece != "P"}
    signs = {code: name for code, (name, *_) in SIGNS.items()}
    builder.setupCharacterMap({0x20: "space"} | {FIRST + i: piece for i, piece in enumerate(PIECES)} | letters | signs)
    builder.setupGlyf(glyphs)
    builder.setupHorizontalMetrics(widths)
    builder.setupHorizontalHeader(ascent=900, descent=-200)
    builder.setupNameTable(
        {
            "familyName": "Linewright Figurines",
            "styleName": "Regular",
            "fullName": "Linewright Figurines",
            "psName": "LinewrightFigurines",
            "version": "Version 1.0",
            "licenseDescription": "GPL-3.0-or-later, with the exception that documents may embed this font.",
        }
    )
    builder.setupOS2(sTypoAscender=900, sTypoDescender=-200, usWinAscent=900, usWinDescent=200, fsType=0)
    builder.setupPost()
    # The first of January 2026 in seconds since 1904: the same drawings give the same file.
    builder.updateHead(created=3_850_070_400, modified=3_850_070_400)
    builder.font.recalcTimestamp = False
    builder.save(PUBLISH / "figurines.ttf")


if __name__ == "__main__":
    main()
