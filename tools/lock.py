"""Write the lock files in ``locks/`` again: every version that is installed, with the hashes of its files.

One resolution for all of them, for every Python from the lowest that ``pyproject.toml`` allows and for every system.
Each pin stands in one file only, in the first of the layers that wants it; a later layer includes those before it.
Plain pip installs them: ``pip install --require-hashes --no-deps -r locks/dev.txt``.

``make lock`` runs this with uv, the resolver, in a virtual environment of its own.
"""

from __future__ import annotations

import re
import subprocess
import sys
import tempfile
import tomllib
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]

#: What builds the project and those of its dependencies that come as source only (``chess``), so that nothing is
#: fetched that isn't locked. pip must find it installed: it is a layer by itself.
BUILD = ("hatchling>=1.26", "editables>=0.5", "setuptools>=77")

#: Each layer's file, the extras that it has beyond the core, and the layer that it builds on.
LAYERS: tuple[tuple[str, tuple[str, ...], str], ...] = (
    ("core", (), ""),
    ("dev", ("dev",), "core"),
    ("hear", ("dev", "hear"), "dev"),
)

#: What a package of the core declares and doesn't need: the PGN reader takes games as plain texts too, and Arrow weighs
#: 170 MB. The extra ``cluster`` has it.
NOT_IN_CORE = ("pyarrow ; python_version < '3'",)

#: A pin with its marker, and the hashes below it.
_PIN = re.compile(r"^(?P<pin>[A-Za-z0-9._-]+==[^\n\\]*?) *\\?\n(?P<hashes>(?:    --hash=\S+(?: \\)?\n)+)", re.MULTILINE)


def main() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    lowest = project["requires-python"].removeprefix(">=")
    with tempfile.TemporaryDirectory() as folder:
        build, everything = Path(folder) / "build.in", Path(folder) / "all.txt"
        build.write_text("\n".join(BUILD) + "\n", encoding="utf-8")
        whole = resolve([ROOT / "pyproject.toml", build], lowest, "--all-extras")
        everything.write_text(whole, encoding="utf-8")
        agreed = ("--constraints", str(everything))
        write("build", resolve([build], lowest, *agreed), {}, "")
        known: dict[str, str] = {}
        left_out = Path(folder) / "left-out.txt"
        left_out.write_text("\n".join(NOT_IN_CORE) + "\n", encoding="utf-8")
        for name, extras, below in LAYERS:
            wanted = [word for extra in extras for word in ("--extra", extra)]
            wanted += [] if extras else ["--overrides", str(left_out)]
            known |= write(name, resolve([ROOT / "pyproject.toml"], lowest, *wanted, *agreed), known, below)


def resolve(sources: list[Path], lowest: str, *options: str) -> str:
    """The pins that the sources come to; where packages come from is never written down."""
    command = ["uv", "pip", "compile", "--quiet", "--system-certs", "--universal", "--python-version", lowest]
    command += ["--fork-strategy", "fewest", "--generate-hashes", "--no-header", "--no-annotate", "--upgrade"]
    return subprocess.run(
        [*command, *options, *map(str, sources)], check=True, stdout=subprocess.PIPE, text=True
    ).stdout


def write(name: str, text: str, known: dict[str, str], below: str) -> dict[str, str]:
    """Write a layer's file of those pins that no layer below has; they are returned."""
    pins = {match["pin"]: match["hashes"] for match in _PIN.finditer(text)}
    if not pins:
        sys.exit(f"nothing to lock for {name}: {text[:200]}")
    own = {pin: hashes for pin, hashes in pins.items() if known.get(pin) != hashes}
    lines = ["# Made by make lock; change pyproject.toml instead.\n"]
    lines += [f"-r {below}.txt\n"] if below else []
    lines += [f"{pin} \\\n{hashes}" for pin, hashes in own.items()]
    path = ROOT / "locks" / f"{name}.txt"
    part = path.with_suffix(".part")
    part.write_text("".join(lines), encoding="utf-8")
    part.replace(path)
    print(f"{path.relative_to(ROOT)}: {len(own)} packages")
    return own


if __name__ == "__main__":
    main()
