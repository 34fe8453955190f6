"""The folder of talks: nothing written here or elsewhere is ever lost, and what isn't edited stays byte for byte."""

from __future__ import annotations

import tempfile
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linewright.desk.files import file_swap as swapping
from linewright.desk.files.encoding import file_bytes, page_text
from linewright.desk.files.file_swap import swapped_in
from linewright.desk.files.folder import Conflict, Folder, NoSuchTalk, Stored
from linewright.desk.files.merging import merge, merged
from linewright.desk.files.versions import MOST, Versions, version_of

TEXT = st.text(st.one_of(st.characters(exclude_categories=("Cc", "Cs")), st.sampled_from("\r\n")), max_size=60)
WORDS = st.lists(st.sampled_from(["e4", "knight", "f3", "and", "then", "\n\n", "we"]), max_size=12).map(" ".join)


@pytest.fixture
def folder(tmp_path: Path) -> Folder:
    root = tmp_path / "talks"
    root.mkdir()
    return Folder(root, Versions(tmp_path / "versions"))


def kept(folder: Folder, name: str) -> set[bytes]:
    """All contents that can still be had: the file's own, and the earlier versions."""
    path = folder.root / name
    store = folder.versions
    held = {store.get(name, v.version) for v in store.all(name)}
    return {data for data in (*held, path.read_bytes() if path.exists() else None) if data is not None}


# -- bytes -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("data", "edited", "after"),
    [
        (b"a\r\nb\r\n", "a\nX\nb\n", b"a\r\nX\r\nb\r\n"),
        (b"a\r\nb\nc\n", "a\nb\nX\nc\n", b"a\r\nb\nX\nc\n"),
        (b"a\rb\r", "a\nb\nc\n", b"a\rb\rc\r"),
        (b"\xef\xbb\xbfe4\n", "e4 e5\n", b"\xef\xbb\xbfe4 e5\n"),
        ("\ufeffé4\r\n".encode("utf-16-le"), "é4 e5\n", "\ufeffé4 e5\r\n".encode("utf-16-le")),
        ("caf\xe9 e4\n".encode("cp1252"), "caf\xe9 e5\n", "caf\xe9 e5\n".encode("cp1252")),
        ("caf\xe9 e4\n".encode("cp1252"), "caf\xe9 ♘f3\n", "caf\xe9 ♘f3\n".encode()),
        (b"", "new\n", b"new\n"),
        (b"no end", "no end at all", b"no end at all"),
    ],
)
def test_line_ends_marks_and_encodings_stay(data: bytes, edited: str, after: bytes) -> None:
    assert file_bytes(edited, data) == after


@given(st.lists(st.tuples(st.sampled_from(["e4", "we play", ""]), st.sampled_from(["\n", "\r\n", "\r"])), max_size=8))
@settings(deadline=None)
def test_text_that_is_not_edited_makes_the_same_bytes(lines: list[tuple[str, str]]) -> None:
    data = "".join(line + end for line, end in lines).encode()
    assert file_bytes(page_text(data, "x")[0], data) == data


# -- saving ----------------------------------------------------------------------------------------------------


def test_a_talk_is_saved_when_nobody_else_changed_it(folder: Folder) -> None:
    made = folder.save("new.md", "# New\n", "")
    assert isinstance(made, Stored)
    again = folder.save("new.md", "# New\n\ne4\n", made.version)
    assert isinstance(again, Stored)
    assert folder.load("new.md").text == "# New\n\ne4\n"


@pytest.mark.parametrize("theirs", [b"# Theirs\n", b"", None])
def test_a_change_on_the_disk_is_never_overwritten(folder: Folder, theirs: bytes | None) -> None:
    made = folder.save("talk.md", "# Common\n", "")
    assert isinstance(made, Stored)
    path = folder.root / "talk.md"
    path.unlink()
    if theirs is not None:
        path.write_bytes(theirs)
    found = folder.save("talk.md", "# Mine\n", made.version)
    assert isinstance(found, Conflict)
    assert found.common == "# Common\n"
    assert found.theirs.text.encode() == (theirs or b"")
    assert (path.read_bytes() if path.exists() else None) == theirs


def test_a_new_talk_never_replaces_one(folder: Folder) -> None:
    (folder.root / "there.md").write_text("# There\n")
    assert isinstance(folder.save("there.md", "# New\n", ""), Conflict)
    assert (folder.root / "there.md").read_text() == "# There\n"


def test_saving_the_same_text_touches_nothing(folder: Folder) -> None:
    (folder.root / "a.md").write_bytes(b"e4\r\ne5\n")
    loaded = folder.load("a.md")
    before = (folder.root / "a.md").stat().st_mtime_ns
    assert folder.save("a.md", loaded.text, loaded.version) == loaded
    assert (folder.root / "a.md").stat().st_mtime_ns == before


@given(st.lists(st.tuples(st.booleans(), TEXT), max_size=8))
@settings(deadline=None, max_examples=40)
def test_no_order_of_writes_loses_anything(writes: list[tuple[bool, str]]) -> None:
    """Here (with whatever version the page began with) or on the disk: each text stays in the file or its versions."""
    with tempfile.TemporaryDirectory() as held:
        root = Path(held) / "talks"
        root.mkdir()
        folder = Folder(root, Versions(Path(held) / "versions"))
        base, seen = "", set[str]()
        for here, text in writes:
            path = root / "t.md"
            if here:
                done = folder.save("t.md", text, base)
                if isinstance(done, Conflict):
                    assert done.theirs.version == (version_of(path.read_bytes()) if path.exists() else "")
                    base = done.theirs.version
                else:
                    base = done.version
                    seen.add(folder.load("t.md").text)
            else:
                path.write_bytes(text.encode())
                seen.add(page_text(text.encode(), "t.md")[0] if text.strip() else page_text(b" ", "")[0])
                folder.load("t.md")  # the watcher looks at each change
        texts = {page_text(data, "t.md")[0] for data in kept(folder, "t.md")}
        assert {text for text in seen if text.strip()} <= texts


@pytest.mark.parametrize("exchange", [True, False])
def test_a_write_in_the_last_moment_is_seen(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, exchange: bool) -> None:
    path = tmp_path / "talk.md"
    path.write_bytes(b"theirs")
    if not exchange:
        monkeypatch.setattr(swapping, "_exchange", lambda one, two: False)
    assert swapped_in(path, b"mine", b"common") == b"theirs"
    assert path.read_bytes() == b"theirs"
    assert swapped_in(path, b"mine", b"theirs") is None
    assert path.read_bytes() == b"mine"
    assert swapped_in(tmp_path / "new.md", b"new", None) is None
    assert swapped_in(tmp_path / "new.md", b"newer", None) == b"new"
    assert sorted(p.name for p in tmp_path.iterdir()) == ["new.md", "talk.md"]


def test_links_to_files_inside_are_saved_where_they_lead(folder: Folder) -> None:
    (folder.root / "real.md").write_text("# Real\n")
    (folder.root / "alias.md").symlink_to("real.md")
    loaded = folder.load("alias.md")
    assert isinstance(folder.save("alias.md", "# Changed\n", loaded.version), Stored)
    assert (folder.root / "alias.md").is_symlink()
    assert (folder.root / "real.md").read_text() == "# Changed\n"


# -- names -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "name",
    [
        "",
        ".",
        "..",
        "/etc/passwd",
        "../x.md",
        "a/../../x.md",
        ".git/x.md",
        "a\\b.md",
        "x.md\0",
        "out/x.md",
        "x.py",
        "C:x.md",
    ],
)
def test_names_that_are_none(folder: Folder, name: str) -> None:
    (folder.root / "out").symlink_to(folder.root.parent)
    with pytest.raises(NoSuchTalk):
        folder.talk_path(name)


def test_the_list_holds_talks_with_their_recordings_and_nothing_built(folder: Folder) -> None:
    for name in ("b.md", "a.vtt", "a.mp3", "part/c.txt", "x.py", ".secret.md", "lessons/b/page.md"):
        (folder.root / name).parent.mkdir(parents=True, exist_ok=True)
        (folder.root / name).write_text("x")
    (folder.root / "lessons/b/linewright-build.json").write_text("{}")
    (folder.root / "away.md").symlink_to("/etc/hostname")
    found = {talk.name: talk.recording for talk in folder.talks()}
    assert found == {"a.vtt": "a.mp3", "b.md": "", "part/c.txt": ""}


# -- versions --------------------------------------------------------------------------------------------------


def test_versions_are_kept_and_the_oldest_go(tmp_path: Path) -> None:
    store = Versions(tmp_path)
    for number in range(MOST + 5):
        store.keep("a.md", str(number).encode(), "saved")
    held = store.all("a.md")
    assert len(held) == MOST
    assert store.get("a.md", held[-1].version) == str(MOST + 4).encode()
    assert store.get("a.md", version_of(b"0")) is None
    assert store.get("a.md", "../../x") is None
    store.keep("a.md", str(MOST + 4).encode(), "saved")
    assert len(store.all("a.md")) == MOST


def test_a_damaged_list_of_versions_loses_only_what_is_damaged(tmp_path: Path) -> None:
    store = Versions(tmp_path)
    store.keep("a.md", b"one", "saved")
    log = next(tmp_path.rglob("log.jsonl"))
    log.write_text("nonsense\n" + log.read_text())
    assert [v.why for v in store.all("a.md")] == ["saved"]


# -- merging ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("common", "mine", "theirs", "after"),
    [
        ("We play e4. He takes.", "We play d4. He takes.", "We play e4. He takes back.", "We play d4. He takes back."),
        ("a b c", "a b c", "a x c", "a x c"),
        ("a b c", "a x c", "a x c", "a x c"),
        ("one\n\ntwo\n", "one\n\nmid\n\ntwo\n", "one\n\ntwo\n\nthree\n", "one\n\nmid\n\ntwo\n\nthree\n"),
        ("a b c", "a x c", "a y c", None),
        ("", "mine", "theirs", None),
    ],
)
def test_merging(common: str, mine: str, theirs: str, after: str | None) -> None:
    assert merged(merge(common, mine, theirs)) == after


@given(WORDS, WORDS, WORDS)
@settings(deadline=None)
def test_each_side_alone_gives_its_own_text(common: str, mine: str, theirs: str) -> None:
    pieces = merge(common, mine, theirs)
    assert merged(merge(common, mine, common)) == mine
    assert merged(merge(common, common, theirs)) == theirs
    assert merged(merge(common, mine, mine)) == mine
    # Words that one side added are in the merged text, on that side of a clash at least.
    held = " ".join(piece.mine + " " + piece.theirs for piece in pieces).split()
    assert {w for w in mine.split() if w not in common.split()} <= set(held)
    assert {w for w in theirs.split() if w not in common.split()} <= set(held)
