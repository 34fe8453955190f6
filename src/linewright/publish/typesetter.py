"""Setting pages with ``typst``: tagged PDF for paper, PNG for films; the same input gives the same bytes."""

from __future__ import annotations

import json
import re
from functools import cache
from importlib import resources
from typing import Any, Literal

import typst

#: PDF/UA-1 is ISO 14289-1: tagged for accessibility. Old readers open it as PDF 1.7.
STANDARD: Literal["ua-1"] = "ua-1"

_CONTROL = re.compile(r"[\x00-\x1f\x7f-\x9f\ud800-\udfff]+")


def set_pdf(package: str, template: str, data: dict[str, Any]) -> bytes:
    """A tagged PDF.

    Words in a script that our fonts lack are set with the machine's, then without a claim to PDF/UA, which asks that
    every character can be shown.

    :param package: the package whose file ``template`` is.
    :param data: what the template sets, as JSON values.
    """
    try:
        return _compiled(package, template, data, fonts(), format="pdf", pdf_standards=[STANDARD])[0]
    except typst.TypstError as error:
        if "could not be displayed" not in error.message:
            raise
    return _compiled(package, template, data, fonts(system=True), format="pdf")[0]


def set_pictures(package: str, template: str, data: dict[str, Any], dots: float) -> tuple[bytes, ...]:
    """The pages as PNG.

    :param dots: per inch; see :func:`set_pdf` for the others.
    """
    return _compiled(package, template, data, fonts(), format="png", ppi=dots)


def _compiled(
    package: str, template: str, data: dict[str, Any], found: typst.Fonts, **options: Any
) -> tuple[bytes, ...]:
    """The files that the typesetter makes: one for a PDF, one a page for pictures."""
    made = typst.compile(
        resources.files(package).joinpath(template).read_bytes(),
        sys_inputs={"data": json.dumps(printable(data), ensure_ascii=False)},
        font_paths=found,
        **options,
    )
    return tuple(made) if isinstance(made, list) else (made,)


def printable(data: Any) -> Any:
    """JSON values with control characters taken out of their texts."""
    if isinstance(data, str):
        return _CONTROL.sub(" ", data)
    if isinstance(data, dict):
        return {key: printable(value) for key, value in data.items()}
    return [printable(value) for value in data] if isinstance(data, list) else data


@cache
def fonts(system: bool = False) -> typst.Fonts:
    """The typesetter's own fonts and our figurines; without the machine's all machines set alike."""
    with resources.as_file(resources.files("linewright.publish.html").joinpath("figurines.ttf")) as path:
        return typst.Fonts(include_system_fonts=system, font_paths=[str(path.parent)])
