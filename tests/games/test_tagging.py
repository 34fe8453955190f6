"""Tags of many games at once, against reading them one by one."""

from __future__ import annotations

from hypothesis import example, given, settings
from hypothesis import strategies as st

from linewright.games.api import read_tags
from linewright.games.ingest.columns import UNKNOWN
from linewright.games.ingest.headers import decode
from linewright.games.ingest.splitting import cut
from linewright.games.ingest.tagging import NAMES, read_tag_columns

#: What tag values are made of: everything that a reader could trip over.
values = st.one_of(
    st.sampled_from(
        ["", "?", "-", "1-0", "½-½", "1992.11.04", "4.11.1992", "2400", "1500P", "Amber, Ada", "Club  x", '"', "]",
         '\\"', "\\", '"]', "[", " x ", "\t", "1", "Atomic", "8/8/8/8/8/8/8/K1k5 w - - 0 1"]
    ),
    st.text(st.characters(codec="utf-8", exclude_characters="\n\r\x00"), max_size=12),
)  # fmt: skip
names = st.sampled_from([*NAMES, "FEN", "SetUp", "Variant", "Opening", "WhiteTitle", "white", "E", "Even", "Events"])
lines = st.one_of(
    st.builds('[{} "{}"]'.format, names, values),
    st.builds('[ {}  "{}" ]'.format, names, values),
    st.builds('[{} "{}"'.format, names, values),
    st.builds("[{} {}]".format, names, values),
)


@settings(deadline=None, max_examples=300)
@given(st.lists(st.lists(lines, max_size=8), min_size=1, max_size=4), st.just("utf-8"))
@example([['[Event "\x1b[2J"]', '[White "x\x9by"]'], ['[Site "z"]']], "utf-8")
@example([['[White "a\\"b"]', '[Opening "x\\\\y"]', '[Annotator "z"]']], "utf-8")
@example([['[Date "1/2/2020"]', '[Result "½-½"]', '[White "Bïrch"]', '[FEN "x"]']], "latin-1")
def test_both_ways_give_the_same(games: list[list[str]], codec: str) -> None:
    data = "".join("\n".join(['[Event "x"]', *tags]) + "\n\n1. e4 *\n\n" for tags in games).encode(codec)
    for piece in cut(iter([data])):
        if not len(piece):
            continue
        read = read_tag_columns(piece)
        rows = read.columns.rows()
        for i, (start, end) in enumerate(zip(piece.starts.tolist(), piece.texts.tolist(), strict=True)):
            tags = read_tags(decode(bytes(piece.data[start:end])))
            alone = {name: getattr(tags, name) for name in rows[i] if name != "others"}
            assert {name: rows[i][name] for name in alone} == alone
            assert set(rows[i]["others"].splitlines()) >= {
                line for line in tags.others.splitlines() if "\\" not in line
            }
            assert read.half_points[i] == (UNKNOWN if tags.half_points is None else tags.half_points)
            assert read.apart.get(i) == tags.apart
