"""Writes a lesson's files into a folder, and nothing over what is not Linewright's own."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence
from pathlib import Path

from linewright.captions.corrected import CorrectedCaptions
from linewright.lesson.finding import Finding
from linewright.lesson.walk import Walk
from linewright.publish.outputs import USUAL, Order, OutputPart, lesson_files
from linewright.support.atomic_write import write
from linewright.support.errors import UnusableInput
from linewright.support.slug import slug_of

#: Lists what was made in a folder: ``{"made": {file name: [SHA-256 in hex, …]}}``. A file whose content has
#: none of its hashes was changed by hand. Two hashes stand there only while a build is under way, so that one
#: that was cut off is taken up again by the next.
MANIFEST = "linewright-build.json"

ELSEWHERE = "Choose another folder with -o, or add --force to overwrite"


def build(
    walk: Walk,
    findings: Sequence[Finding],
    out: Path,
    force: bool = False,
    captions: CorrectedCaptions | None = None,
    order: Order | None = None,
) -> tuple[Path, ...]:
    """Writes the lesson's files into ``out``, which is made if need be; returns their paths.

    :param captions: a timed talk's corrected captions, written beside the usual parts.
    :param findings: shown in the page's margin; those that fail stand in the PGN's comments too.
    :param force: also write into a folder that holds other files, and over files that were changed by hand.
    :param order: what to make; None for the page, the PGN and the captions.
    :raises UnusableInput: when the folder can't be written to, when it holds files and Linewright has never
        built there, or when a file to be written is not Linewright's or was changed since. Nothing has been
        written then.
    """
    order = order or Order(USUAL | {OutputPart.CAPTIONS}, captions=captions)
    slug = slug_of(walk.title)
    contents = {f"{slug}{suffix}": content for suffix, content in lesson_files(walk, findings, order).items()}
    return write_files(contents, out, force)


def write_files(contents: Mapping[str, bytes], out: Path, force: bool = False) -> tuple[Path, ...]:
    """Writes files by name into a folder of Linewright's own; see :func:`build`."""
    try:
        out.mkdir(parents=True, exist_ok=True)
        made = read_manifest(out)
        if not force:
            refuse_foreign(out, contents, made)
        write_all(out, contents, made or {})
    except OSError as error:
        reason = error.strerror or str(error)
        raise UnusableInput(
            f"cannot write to {out}: {reason}", "Choose another folder with -o, or make this one writable"
        ) from error
    return tuple(out / name for name in contents)


def read_manifest(out: Path) -> dict[str, list[str]] | None:
    """What was made in the folder before: names and hashes; None when there is no readable manifest."""
    try:
        made = json.loads((out / MANIFEST).read_text(encoding="utf-8"))["made"]
        return {str(name): [str(digest) for digest in digests] for name, digests in made.items()}
    except (FileNotFoundError, ValueError, KeyError, TypeError, AttributeError):
        return None


def refuse_foreign(out: Path, contents: Mapping[str, bytes], made: Mapping[str, Sequence[str]] | None) -> None:
    """Raises for a folder of someone else's files, and for a file that is not ours to overwrite.

    Hidden files (a file manager's or a version control's) don't make a folder someone else's.
    """
    if made is None:
        others = sorted(
            path.name for path in out.iterdir() if path.name not in contents and not path.name.startswith(".")
        )
        others = [name for name in others if name != MANIFEST]
        if others:
            more = f" and {len(others) - 1} more" if len(others) > 1 else ""
            raise UnusableInput(f"{out} already holds other files: {others[0]}{more}", ELSEWHERE)
    for name, content in contents.items():
        path = out / name
        if not path.exists():
            continue
        found = digest(path.read_bytes())
        known = (made or {}).get(name)
        if found == digest(content) or (known and found in known):
            continue
        what = "was changed since Linewright wrote it" if known else "was not written by Linewright"
        raise UnusableInput(f"{path} {what}", f"Move or rename it to keep it. {ELSEWHERE}")


def write_all(out: Path, contents: Mapping[str, bytes], made: Mapping[str, Sequence[str]]) -> None:
    """Writes the files; the manifest knows their hashes before and after, so that a cut-off build can go on."""
    after = {name: [digest(content)] for name, content in contents.items()}
    meanwhile = {name: [*made.get(name, ()), *after[name]] for name in contents}
    # What is rebuilt has a new file's permissions, whatever stood there.
    write(out / MANIFEST, manifest({**made, **meanwhile}), keep_mode=False)
    for name, content in contents.items():
        write(out / name, content, keep_mode=False)
    write(out / MANIFEST, manifest({**made, **after}), keep_mode=False)


def manifest(made: Mapping[str, Sequence[str]]) -> bytes:
    listed = {name: list(digests) for name, digests in sorted(made.items())}
    return (json.dumps({"made": listed}, indent=1) + "\n").encode()


def digest(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()
