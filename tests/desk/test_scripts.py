"""The desk's scripts without a browser: rows of input and output, run by Node where it is installed."""

from __future__ import annotations

import json
import random
import shutil
import subprocess
from itertools import pairwise
from typing import Any

import pytest

from linewright.desk.pages import STATIC

NODE = shutil.which("node") or shutil.which("nodejs")
pytestmark = pytest.mark.skipif(NODE is None, reason="needs node on PATH")


def run(module: str, expression: str) -> Any:
    """The value of an expression over a module's exports (``m``)."""
    assert NODE is not None
    script = f"import * as m from {json.dumps((STATIC / module).as_uri())};\nconsole.log(JSON.stringify({expression}));"
    done = subprocess.run([NODE, "--input-type=module", "-e", script], capture_output=True, text=True, timeout=20)
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


@pytest.mark.parametrize(
    ("before", "after", "edit"),
    [
        ("abc", "abXc", {"at": 2, "removed": 0, "inserted": 1}),
        ("abc", "ac", {"at": 1, "removed": 1, "inserted": 0}),
        ("abc", "abc", None),
        ("", "e4", {"at": 0, "removed": 0, "inserted": 2}),
        ("aaa", "aaaa", {"at": 3, "removed": 0, "inserted": 1}),
        ("we play e4", "we played e4", {"at": 7, "removed": 0, "inserted": 2}),
    ],
)
def test_the_one_edit_between_two_texts(before: str, after: str, edit: dict[str, int] | None) -> None:
    assert run("spans.js", f"m.editBetween({json.dumps(before)}, {json.dumps(after)})") == edit


def test_spans_keep_their_words_through_any_edits() -> None:
    """Whatever is edited, a span that is left holds the words that it held."""
    law = """(() => {
      let seed = 7;
      const chance = (n) => (seed = (seed * 1103515245 + 12345) % 2147483648) % n;
      for (let round = 0; round < 3000; round += 1) {
        let text = "we play e4 and then knight f3, he takes on d4".slice(0, chance(46));
        let spans = Array.from({ length: 4 }, () => chance(text.length + 1));
        spans = spans.map((a) => ({ a, z: a + chance(text.length - a + 1) }));
        spans = spans.map((s) => ({ ...s, words: text.slice(s.a, s.z) }));
        for (let i = 0; i < 4; i += 1) {
          const from = chance(text.length + 1);
          const to = from + chance(text.length - from + 1);
          const now = text.slice(0, from) + "xyz".slice(0, chance(4)) + text.slice(to);
          const edit = m.editBetween(text, now);
          if (edit) spans = m.movedAll(spans, [edit]);
          text = now;
          for (const s of spans) if (text.slice(s.a, s.z) !== s.words) return [text, s];
        }
      }
      return "holds";
    })()"""
    assert run("spans.js", law) == "holds"


HERE = "We play e4, hitting d5. Then knight f3 comes."
#: The moment after "e4": from its end up to "knight".
FROM, TO = 10, 29


@pytest.mark.parametrize(
    ("text", "cursor", "shape", "squares", "after"),
    [
        (HERE, 15, "ring", ["d5"], "We play e4, hitting d5. {ring: d5} Then knight f3 comes."),
        (HERE, 10, "dot", ["e4"], "We play e4, hitting d5. {dot: e4} Then knight f3 comes."),
        (HERE, 26, "ring", ["d5"], "We play e4, {ring: d5} hitting d5. Then knight f3 comes."),
        (HERE, 12, "path", ["e4", "d5"], "We play e4, hitting d5. {path: e4-d5} Then knight f3 comes."),
    ],
)
def test_a_mark_stands_by_its_sentence(text: str, cursor: int, shape: str, squares: list[str], after: str) -> None:
    assert marked(text, FROM, TO, cursor, shape, squares) == after


@pytest.mark.parametrize(
    ("text", "shape", "squares", "after"),
    [
        ("e4. {ring: d5} Then", "ring", ["e5"], "e4. {ring: d5 e5} Then"),
        ("e4. {ring: d5 e5} Then", "ring", ["d5"], "e4. {ring: e5} Then"),
        ("e4. {ring: d5} Then", "ring", ["d5"], "e4. Then"),
        ("e4. {Ring d5,e5} Then", "ring", ["d5"], "e4. {ring: e5} Then"),
        ("e4. {ring: d5} Then", "cross", ["d5"], "e4. {cross: d5} {ring: d5} Then"),
        ("e4", "cross", ["d5"], "e4 {cross: d5}"),
        ("e4\n\nThen", "cross", ["d5"], "e4 {cross: d5}\n\nThen"),
    ],
)
def test_marks_are_gathered_and_taken_away(text: str, shape: str, squares: list[str], after: str) -> None:
    assert marked(text, 2, len(text), 2, shape, squares) == after


def marked(text: str, first: int, last: int, cursor: int, shape: str, squares: list[str]) -> str:
    mark = json.dumps({"shape": shape, "squares": squares})
    change = run("marks.js", f"m.toggled({json.dumps(text)}, {first}, {last}, {cursor}, {mark})")
    return text[: change["from"]] + str(change["insert"]) + text[change["to"] :]


def test_a_mark_made_twice_leaves_the_text_as_it_was() -> None:
    once = marked(HERE, FROM, TO, 12, "cross", ["h7"])
    assert marked(once, FROM, TO + len(once) - len(HERE), 12, "cross", ["h7"]) == HERE


def test_wiping_takes_every_mark_and_nothing_else() -> None:
    text = "e4. {ring: d5} Then {path: e4-e5} more."
    change = run("marks.js", f"m.cleared({json.dumps(text)}, 2, {len(text)})")
    assert text[: change["from"]] + change["insert"] + text[change["to"] :] == "e4. Then more."


def rows(*given: tuple[int, int]) -> list[dict[str, int]]:
    """Margin rows of where they want to be and how tall they are."""
    return [{"wanted": wanted, "height": height} for wanted, height in given]


def margin(notes: list[dict[str, int]], card: tuple[int, int]) -> tuple[list[int], int]:
    found = run("stacking.js", f"m.filled({json.dumps(notes)}, {json.dumps(rows(card)[0])})")
    return found["notes"], found["card"]


@pytest.mark.parametrize(
    ("notes", "card", "tops", "at"),
    [
        ([], (100, 300), [], 100),
        ([(0, 50), (500, 50)], (100, 300), [0, 500], 100),
        ([(0, 50), (70, 50), (400, 50)], (70, 250), [0, 65, 400], 125),
        ([(100, 50), (400, 50)], (380, 230), [100, 393], 453),
        ([(0, 40), (10, 40)], (900, 300), [0, 50], 900),
    ],
    ids=["alone", "room", "behind its own note", "behind the next note", "notes apart"],
)
def test_the_evidence_stands_where_it_moves_the_notes_least(
    notes: list[tuple[int, int]], card: tuple[int, int], tops: list[int], at: int
) -> None:
    assert margin(rows(*notes), card) == (tops, at)


def test_nothing_in_the_margin_overlaps() -> None:
    chance = random.Random(4)
    for _ in range(12):
        wanted = sorted(chance.randrange(2000) for _ in range(chance.randrange(1, 25)))
        notes = rows(*((at, chance.randrange(30, 200)) for at in wanted))
        card = (chance.randrange(2000), chance.randrange(100, 500))
        tops, at = margin(notes, card)
        placed = sorted([*zip(tops, (note["height"] for note in notes), strict=True), (at, card[1])])
        assert placed[0][0] >= 0
        assert all(low + tall + 9 <= high for (low, tall), (high, _) in pairwise(placed))
        assert tops == sorted(tops), "the notes keep their order"


def test_rows_are_stacked_as_isotonic_regression_places_them() -> None:
    """Worked out by hand: three that want one place stand around it, the middle one on it."""
    notes = rows((100, 90), (100, 90), (100, 90), (900, 40))
    assert run("stacking.js", f"m.stacked({json.dumps(notes)})") == [0, 100, 200, 900]


def test_a_phrase_is_corrected_once_it_is_read_and_unless_it_was_edited() -> None:
    """Two phrases; the first is asked about when a reading has them, the second was edited meanwhile."""
    told = "{ ask: (...said) => log.push(['ask', ...said]), replace: (...said) => log.push(['replace', ...said]) }"
    doing = """
      corrections.heard(10, 20, "rook e won", 4);
      corrections.heard(30, 36, "be five", 5);
      corrections.read(3);
      corrections.edited({ at: 0, removed: 0, inserted: 2 });
      corrections.read(4);
      corrections.edited({ at: 34, removed: 1, inserted: 1 });
      corrections.read(9);
      corrections.corrected({ number: 1, words: "rook e1" });
      corrections.corrected({ number: 1, words: "rook e2" });
    """
    making = f"const log = []; const corrections = new m.Corrections({told});"
    found = run("corrections.js", f"(() => {{ {making} {doing} return log; }})()")
    assert found == [["ask", 1, "rook e won", 12], ["replace", 12, 22, "rook e1"]]
