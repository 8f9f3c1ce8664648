"""An HTML page that needs nothing from elsewhere."""

from __future__ import annotations

from collections.abc import Iterable

from diag.model.clean import html_text

POLICY = "default-src 'none'; style-src 'unsafe-inline'"
"""Nothing is fetched or run, whatever a text might smuggle in."""


def page(title: str, style: str, body: Iterable[str]) -> str:
    """The whole page, ending in a line end.

    Args:
        title: what the page is called, as plain text.
        style: the style sheet.
        body: the lines of the body, marked up already.
    """
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{POLICY}">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{html_text(title)}</title>\n<style>{style}</style>\n</head>\n<body>\n"
        + "\n".join(body)
        + "\n</body>\n</html>\n"
    )
