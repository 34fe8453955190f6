"""``python -m linewright`` is ``linewright``."""

from __future__ import annotations

from linewright.cli.main import main

if __name__ == "__main__":
    main()
