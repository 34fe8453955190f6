from __future__ import annotations

import types
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from linewright.hear import models
from linewright.hear.models import NEEDED, VARIABLE, model_folder
from linewright.support.errors import UnusableInput


@pytest.fixture(autouse=True)
def own_home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.setenv("LINEWRIGHT_HOME", str(tmp_path / "home"))
    monkeypatch.delenv(VARIABLE, raising=False)
    monkeypatch.chdir(tmp_path)
    yield


class Library:
    """Stands for faster-whisper's fetching; the network answers as told."""

    def __init__(self, cached: dict[str, Path] | None = None, answer: BaseException | None = None) -> None:
        self.cached, self.answer = cached or {}, answer
        self.fetched: list[str] = []

    def download_model(self, name: str, output_dir: str = "", local_files_only: bool = False) -> str:
        if local_files_only:
            return str(self.cached[name])
        self.fetched.append(name)
        make(Path(output_dir), NEEDED[:1])
        if self.answer:
            raise self.answer
        make(Path(output_dir))
        return output_dir


@pytest.fixture
def library(monkeypatch: pytest.MonkeyPatch) -> Library:
    double = Library()
    put(monkeypatch, double)
    return double


def put(monkeypatch: pytest.MonkeyPatch, double: Library) -> None:
    fake: Any = types.SimpleNamespace(download_model=double.download_model)
    monkeypatch.setattr(models, "extra", lambda *names: fake)


def make(folder: Path, names: tuple[str, ...] = NEEDED) -> Path:
    folder.mkdir(parents=True, exist_ok=True)
    for name in names:
        (folder / name).write_text("x")
    return folder


def refused(*args: Any) -> str:
    with pytest.raises(UnusableInput) as caught:
        model_folder(*args)
    assert "\n" not in str(caught.value)
    return str(caught.value)


def test_a_folder_is_taken_as_it_is(tmp_path: Path, library: Library) -> None:
    folder = make(tmp_path / "mine")
    assert model_folder(str(folder)) == folder
    assert model_folder("mine") == Path("mine")
    assert "no such folder" in refused("./other")
    (folder / "tokenizer.json").unlink()  # without it the library would ask the network
    assert "tokenizer.json is missing" in refused(str(folder))


def test_the_default_is_the_variable_then_the_home(
    tmp_path: Path, library: Library, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert str(tmp_path / "home" / "model") in refused(None)
    own = make(tmp_path / "home" / "model")
    assert model_folder(None) == own
    other = make(tmp_path / "other")
    monkeypatch.setenv(VARIABLE, str(other))
    assert model_folder(None) == other
    assert library.fetched == []


def test_a_name_is_looked_for_in_the_home_then_in_the_cache(tmp_path: Path, library: Library) -> None:
    assert "--model small --download" in refused("small")
    assert "“maker/large”" in refused("maker/large")
    library.cached["small"] = make(tmp_path / "cache")
    assert model_folder("small") == tmp_path / "cache"
    own = make(tmp_path / "home" / "models" / "small")
    assert model_folder("small") == own
    assert library.fetched == []


def test_it_is_fetched_only_when_asked_and_only_once(tmp_path: Path, library: Library) -> None:
    lines: list[str] = []
    assert model_folder(None, True, lines.append) == tmp_path / "home" / "model"
    assert model_folder("maker/large", True, lines.append) == tmp_path / "home" / "models" / "maker--large"
    model_folder(None, True, lines.append)
    assert library.fetched == ["base", "maker/large"]
    assert len(lines) == 2 and "“base”" in lines[0]


@pytest.mark.parametrize("answer", [ConnectionError("no network\nat all"), ValueError("Invalid model size")])
def test_a_fetch_that_fails_leaves_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, answer: Exception) -> None:
    put(monkeypatch, Library(answer=answer))
    assert str(answer).splitlines()[0] in refused("small", True)
    assert list((tmp_path / "home" / "models").iterdir()) == []


def test_a_fetch_that_is_stopped_leaves_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    put(monkeypatch, Library(answer=KeyboardInterrupt()))
    with pytest.raises(KeyboardInterrupt):
        model_folder(None, True)
    assert list((tmp_path / "home").iterdir()) == []
