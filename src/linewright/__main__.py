"""``python -m linewright`` is ``linewright``."""

from __future__ import annotations

from linewright.cli import main

if __name__ == "__main__":
    main()
