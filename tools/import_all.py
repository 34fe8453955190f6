"""Import every module of the installed package, and say which can't be.

Without the extras their modules can't be imported; those that belong to an extra are named in ``EXTRAS``, and every
other must be importable with the core alone, so that nothing breaks before it is asked for.
"""

from __future__ import annotations

import importlib
import pkgutil
import sys
from importlib.util import find_spec

import linewright

#: The modules of an extra, and the package without which they can't be imported.
EXTRAS = {"linewright.publish.film.encoding": "av"}
#: Run by a tool that sets the scene for them; they can't be imported by themselves.
RUN = ("linewright.__main__", "linewright.practice.classes.migrations.env")


def main() -> None:
    failed = []
    names = [module.name for module in pkgutil.walk_packages(linewright.__path__, "linewright.")]
    for name in names:
        if name in RUN or (name in EXTRAS and find_spec(EXTRAS[name]) is None):
            continue
        try:
            importlib.import_module(name)
        except Exception as error:  # whatever a module does on import
            failed.append(f"{name}: {type(error).__name__}: {error}")
    print(f"{len(names)} modules in {linewright.__path__[0]}, {len(failed)} can't be imported", *failed, sep="\n")
    sys.exit(bool(failed))


if __name__ == "__main__":
    main()
