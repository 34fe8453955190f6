"""The desk's scripts without a browser: rows of input and output, run by Node where it is installed."""

from __future__ import annotations

import json
import shutil
import subprocess
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


@pytest.mark.parametrize(
    ("rows", "fixed", "tops"),
    [
        ([(0, 50), (100, 50)], 0, [0, 100]),
        ([(0, 50), (10, 50)], 0, [0, 60]),
        ([(0, 40), (100, 50), (110, 80)], 2, [0, 50, 110]),
        ([(0, 50), (10, 50), (20, 80)], 2, [0, 60, 120]),
        ([(200, 50), (210, 50)], 1, [150, 210]),
    ],
)
def test_notes_never_overlap_and_the_evidence_keeps_its_place(
    rows: list[tuple[int, int]], fixed: int, tops: list[int]
) -> None:
    given = json.dumps([{"wanted": wanted, "height": height} for wanted, height in rows])
    source = "globalThis.matchMedia ??= () => ({})"
    expression = f"(() => {{ const r = {given}; m.placed(r, {fixed}); return r.map((x) => x.top); }})()"
    assert NODE is not None
    script = (
        f"{source};\nconst m = await import({json.dumps((STATIC / 'margin.js').as_uri())});\n"
        f"console.log(JSON.stringify({expression}));"
    )
    done = subprocess.run([NODE, "--input-type=module", "-e", script], capture_output=True, text=True, timeout=20)
    assert json.loads(done.stdout) == tops, done.stderr


TSC = shutil.which("tsc")


@pytest.mark.skipif(TSC is None, reason="needs tsc on PATH (apt install node-typescript)")
def test_the_scripts_types_hold() -> None:
    assert TSC is not None
    config = str(STATIC / "jsconfig.json")
    done = subprocess.run([TSC, "-p", config, "--pretty", "false"], capture_output=True, text=True, timeout=120)
    assert (done.stdout, done.returncode) == ("", 0)
