"""Plain, native English: phrases that read as translated stay out of what users and newcomers read."""

from __future__ import annotations

import re

import pytest

from tests.test_house import PACKAGE

#: What was said, and what is said now. None of the former may come back, in messages, pages, comments or docstrings.
PHRASES = {
    "for the 3. time": "for the third time in this line",
    ". time in its line": "for the third time in this line",
    "pupils don't see them else": "hidden from pupils otherwise",
    "that the page plays and the film sounds": "to play on the page and use as the film's sound",
    "recording's moment at which the run began": "when the run starts in the recording",
    "others than this machine see it then": "makes it reachable from other machines",
    "Go on counting from the last check": "Don't save this check as the new baseline",
    "remember nothing of today": "Don't save this check as the new baseline",
    "How sure things are to be known": "Target chance of recall",
    "how sure things are to be known": "target chance of recall",
    "Print the version and end": "Print the version and exit",
    "reading by the rules and by sense alone": "using only the rules and the built-in move model",
    "Mend what is told above": "Fix the problems listed above",
    "Practise on, and fit later": "Try again after more practice",
    "is no FEN": "is not a valid FEN",
    "is no JSON": "is not valid JSON",
    "” is no name": "is not a valid name",
    "is no name for": "is not a valid name for",
    "See to it and do the same again": "Fix that, then rerun the command",
    'no permission", "Allow it': "Check the file's permissions",
    "Allow reading it": "Make it readable",
    "or play it once": "or check that it plays",
    "told that a game could be known by": "too little to identify a game",
    "asks nothing of the board": "contains no condition",
    "shows nothing told": "contains no steps",
    "It is no backup of ours": "Not a Linewright backup",
    "said with reserve": "the speaker hedges",
    "; taken for {": "probably misheard; it fits",
    "is for the moves to tell": "depends on the moves that follow",
    "asking goes on meanwhile": "queries keep working while games are added",
    "Kept of a pupil": "What is stored about a pupil",
    "parted by": "separated by",
    "made anew": "rebuilt",
    "has a talk read": "reads a talk",
    "Mend the": "Fix the, or correct the",
    "is there already": "already exists",
    "Write over": "Overwrite",
    "(?)": "* for what is unsure: “?” calls a move bad",
    "stay open": "stay undecided: “open” is said of files",
    "left open": "left undecided",
}
#: Where these words are right: SQL's placeholder, a window that stays open, what is heard in talks.
FINE = {
    "(?)": re.compile(r"read_parquet\(\?\)"),
    "left open": re.compile(r"what is left open may be anything|words are left open|it is left open\."),
}
SUFFIXES = {".py", ".js", ".j2", ".typ", ".css", ".toml", ".md"}

TEXTS = {
    path.relative_to(PACKAGE): path.read_text(encoding="utf-8")
    for path in sorted(PACKAGE.rglob("*"))
    if path.suffix in SUFFIXES
}


def test_there_is_something_to_read() -> None:
    assert len(TEXTS) > 300 and any("Overwrite files" in text for text in TEXTS.values())


@pytest.mark.parametrize("phrase", PHRASES)
def test_no_translated_phrase(phrase: str) -> None:
    fine = FINE.get(phrase)
    for path, text in TEXTS.items():
        for number, line in enumerate(text.splitlines(), 1):
            found = phrase in line and not (fine and fine.search(line))
            assert not found, f"{path}:{number}: say it as “{PHRASES[phrase]}”: {line.strip()}"
