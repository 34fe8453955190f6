"""A page with the board element, served from memory under the desk's strict content policy."""

from __future__ import annotations

import mimetypes
from typing import Any

from linewright.publish.html.board_element import ELEMENT

HOST = "http://board.test"
POLICY = "default-src 'none'; script-src 'self'; style-src 'self'; connect-src 'self'; base-uri 'none'"
STYLE = "body { margin: 0 } lw-board { width: 400px } "
HEAR = """
import * as Linewright from "/element/index.js";
window.Linewright = Linewright;
window.heard = [];
for (const name of ["lw-move", "lw-mark"]) addEventListener(name, (event) => heard.push([name, event.detail]));
"""


def serve(page: Any, body: str, style: str = STYLE) -> None:
    """Open a page with this body; whatever it asks for besides its own files fails."""
    html = (
        '<!doctype html><html lang="en"><head><title>Board</title><meta name="viewport" content="width=device-width">'
        '<link rel="stylesheet" href="/style.css"><script type="module" src="/hear.js"></script></head>'
        f"<body><main><h1>Board</h1>{body}</main></body></html>"
    )

    def answer(route: Any) -> None:
        path = route.request.url.removeprefix(HOST)
        headers = {"content-security-policy": POLICY}
        if path == "/":
            route.fulfill(body=html, content_type="text/html", headers=headers)
        elif path == "/hear.js":
            route.fulfill(body=HEAR, content_type="text/javascript", headers=headers)
        elif path == "/style.css":
            route.fulfill(body=style, content_type="text/css", headers=headers)
        elif path.startswith("/element/") and (file := ELEMENT / path.removeprefix("/element/")).is_file():
            kind = mimetypes.guess_type(file.name)[0] or "text/javascript"
            route.fulfill(body=file.read_text(encoding="utf-8"), content_type=kind, headers=headers)
        else:
            route.abort()

    page.route("**/*", answer)
    page.goto(HOST + "/")
    page.locator("lw-board .men").first.wait_for(state="attached")
