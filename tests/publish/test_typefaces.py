"""The typefaces that pages bring along: which font draws what, on a machine that has only DejaVu.

Source of the trouble guarded against: a figurine font that knows the letters K Q R B N drew every such capital in
ordinary words on machines without a book serif. Which font drew a text is asked of the browser itself (Chrome DevTools
Protocol, ``CSS.getPlatformFontsForNode``).
"""

from __future__ import annotations

import base64
import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from linewright.lesson.walk import Walk
from linewright.practice.outputs.practice_page import practice_page
from linewright.publish.course.course_page import course_page
from linewright.publish.html.typefaces import FONTS, MOVES, embedded_css, faces, served_css
from linewright.publish.page.lesson_page import lesson_page
from linewright.publish.page.plan_page import Twig, _page, draw
from linewright.publish.theme import PLAIN, Theme
from tests.browsing import launched, needs_chromium
from tests.publish.samples import doubtful, lesson
from tests.publish.test_course import COURSE
from tests.support import TALKS

WORDS = "Black Knight Queen"
SERIF, FIGURINES = "Linewright Serif", "Linewright Figurines"
DEJAVU = "/usr/share/fonts/truetype/dejavu"
PICTURE = Path(__file__).with_name("black-knight-queen.png")
#: Share of ink by which two pictures of one text may differ: the rasterisers of two systems smooth edges unlike.
UNLIKE = 0.25

#: No text, or one that the browser writes itself (on the hidden button of a file field).
NOT_OURS = "script, style, input[type=file]"

needs_talks = pytest.mark.skipif(not TALKS.is_dir(), reason="needs ../shared/talks beside the project")


@pytest.mark.parametrize(
    ("text", "files"),
    [
        ("<p>Nf3</p>", {"serif.woff2", "serif-italic.woff2", "serif-bold.woff2"}),
        ('<i class="fig">N</i>', {"serif.woff2", "serif-italic.woff2", "serif-bold.woff2", "figurines.woff2"}),
        ("Ruy López", {"serif.woff2", "serif-italic.woff2", "serif-bold.woff2"}),
        ("Dvořák", {face.file for face in faces()} - {"figurines.woff2"}),
        ("⩲", {"figurines.woff2"}),
        ("Алехин阿", set()),
    ],
)
def test_a_page_carries_the_faces_that_draw_its_letters_and_no_other(text: str, files: set[str]) -> None:
    rules = embedded_css(text)
    held = {file.name for file in FONTS.glob("*.woff2") if base64.b64encode(file.read_bytes()).decode() in rules}
    assert held == files


def test_every_rule_has_a_range_and_only_moves_draw_letters_as_pieces() -> None:
    rules = re.findall(r"@font-face \{(.*?)\}", served_css("fonts/"))
    assert len(rules) == len(faces())
    for rule in rules:
        assert "unicode-range: U+" in rule
        if FIGURINES in rule:
            assert not re.search(r"U\+[0-7]\w?\b", rule), "it draws ASCII"
    assert [face.range for face in faces() if face.family == MOVES] == ["U+42, U+4B, U+4E, U+51-52"]


def test_the_licence_lies_beside_the_fonts() -> None:
    """SIL Open Font License 1.1, condition 2: the copyright notice and the licence go with each copy."""
    text = (FONTS / "OFL.txt").read_text(encoding="utf-8")
    assert "SIL OPEN FONT LICENSE Version 1.1" in text and "Philipp H. Poll" in text
    # Condition 3: no modified version may use the reserved name.
    assert all("libertine" not in face.family.lower() for face in faces())


@pytest.fixture(scope="module")
def bare(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Any]:
    """Chromium on a system whose only fonts are DejaVu's."""
    folder = tmp_path_factory.mktemp("fontconfig")
    config = folder / "fonts.conf"
    config.write_text(f"<fontconfig><dir>{DEJAVU}</dir><cachedir>{folder}/cache</cachedir></fontconfig>")
    with launched("--font-render-hinting=none", env={"FONTCONFIG_FILE": str(config)}) as found:
        yield found


def drawn_by(page: Any, selector: str) -> set[str]:
    """The fonts that drew the texts of all elements that a selector finds."""
    session = page.context.new_cdp_session(page)
    session.send("DOM.enable")
    session.send("CSS.enable")
    root = session.send("DOM.getDocument")["root"]["nodeId"]
    found = set()
    for node in session.send("DOM.querySelectorAll", {"nodeId": root, "selector": selector})["nodeIds"]:
        for font in session.send("CSS.getPlatformFontsForNode", {"nodeId": node})["fonts"]:
            found.add(font["familyName"])
    session.detach()
    return found


def lesson_html(theme: Theme = PLAIN) -> str:
    walk, found = lesson("scotch")
    return lesson_page(titled(doubtful(walk)), found, theme=theme)


def titled(walk: Walk) -> Walk:
    return replace(walk, talk=replace(walk.talk, title=WORDS))


def plan_html() -> str:
    twig = Twig((), ("e4", "Nf3"), (1.0, 0.5), "2.Nf3", False)
    return _page(WORDS, [WORDS], [draw([twig], WORDS)], PLAIN)


PAGES = {
    "lesson": lesson_html,
    "course": lambda: course_page(COURSE, WORDS),
    "plan": plan_html,
    "practice": lambda: practice_page((), WORDS, "Odile Brandt"),
}


@needs_chromium
@needs_talks
@pytest.mark.parametrize("kind", PAGES)
def test_only_our_own_fonts_draw_a_page(bare: Any, tmp_path: Path, kind: str) -> None:
    file = tmp_path / "page.html"
    file.write_text(PAGES[kind](), encoding="utf-8")
    page = bare.new_page(viewport={"width": 1280, "height": 900})
    page.goto(file.as_uri())
    page.evaluate("document.fonts.ready")
    assert drawn_by(page, "h1") == {SERIF}
    assert drawn_by(page, f"body *:not({NOT_OURS})") <= {SERIF, FIGURINES}
    if kind == "lesson":
        assert drawn_by(page, "#talk .fig") == {FIGURINES}
        assert drawn_by(page, "#talk p > span[data-s]") == {SERIF}
        assert drawn_by(page, ".note .why") <= {SERIF, FIGURINES}
    if kind == "plan":
        assert drawn_by(page, "svg .name") == {SERIF, FIGURINES}
        assert page.locator("svg .name").first.evaluate("text => getComputedStyle(text).fontStyle") == "normal"
    page.close()


@needs_chromium
@needs_talks
def test_piece_letters_need_no_figurines(bare: Any, tmp_path: Path) -> None:
    file = tmp_path / "page.html"
    file.write_text(lesson_html(Theme(pieces="letters")), encoding="utf-8")
    page = bare.new_page()
    page.goto(file.as_uri())
    assert drawn_by(page, "#talk .mv span:first-child") == {SERIF}
    page.close()


#: In the browser: how much of the ink of two pictures of one size lies where the other has none, 0-1.
COMPARE = """async ([one, other]) => {
  const load = async (data) => {
    const image = new Image();
    image.src = "data:image/png;base64," + data;
    await image.decode();
    // At half the size: how edges are smoothed, and sub-pixels coloured, is the system's affair.
    const sheet = new OffscreenCanvas(image.width / 2, image.height / 2).getContext("2d");
    sheet.imageSmoothingQuality = "high";
    sheet.drawImage(image, 0, 0, image.width / 2, image.height / 2);
    return sheet.getImageData(0, 0, image.width / 2, image.height / 2);
  };
  const [a, b] = [await load(one), await load(other)];
  if (a.width !== b.width || a.height !== b.height) return 1;
  let [apart, ink] = [0, 0];
  const grey = (data, i) => (data[i] + data[i + 1] + data[i + 2]) / 3;
  for (let i = 0; i < a.data.length; i += 4) {
    apart += Math.abs(grey(a.data, i) - grey(b.data, i));
    ink += 255 - Math.min(grey(a.data, i), grey(b.data, i));
  }
  return apart / ink;
}"""

SHEET = (
    "<!DOCTYPE html><meta charset=utf-8><style>{rules} "
    "body {{ margin: 0; background: #fff; color: #000; text-rendering: geometricPrecision; }} "
    "p {{ margin: 0; width: 360px; height: 56px; font: 36px/56px {family}; }}</style><p>" + WORDS
)


@needs_chromium
def test_words_look_like_words(bare: Any) -> None:
    """The picture, kept beside this file, shows letters; the font of old, before the serif, showed pieces."""
    page = bare.new_page(viewport={"width": 360, "height": 56})

    def picture(family: str, rules: str) -> str:
        page.set_content(SHEET.format(rules=rules, family=family))
        page.evaluate("document.fonts.ready")
        return base64.b64encode(page.screenshot()).decode()

    serif = re.search(r"--serif: ([^;]+);", (FONTS.parents[1] / "page" / "page.css").read_text(encoding="utf-8"))
    assert serif is not None
    kept = base64.b64encode(PICTURE.read_bytes()).decode()
    shown = picture(serif[1], embedded_css(WORDS + ' class="fig"'))
    assert page.evaluate(COMPARE, [kept, shown]) < UNLIKE
    as_it_was = picture(f'"{MOVES}", {serif[1]}', embedded_css(WORDS + ' class="fig"'))
    assert page.evaluate(COMPARE, [kept, as_it_was]) > 2 * UNLIKE, "this check can't tell letters from pieces"
    system = picture("serif", "")
    assert page.evaluate(COMPARE, [kept, system]) > 2 * UNLIKE, "this check can't tell our serif from DejaVu's"
    page.close()
