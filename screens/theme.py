"""Two looks of our own: lamp light on slate, and ink on paper."""

from __future__ import annotations

from textual.theme import Theme

DARK = Theme(
    name="bench-dark",
    dark=True,
    primary="#8fb0a9",
    secondary="#b9a98c",
    accent="#e3b05f",
    foreground="#dedad2",
    background="#15181a",
    surface="#1b1f22",
    panel="#262c30",
    success="#9cc07f",
    warning="#e8a24a",
    error="#f08a72",
    variables={"footer-key-foreground": "#e3b05f", "input-cursor-background": "#dedad2"},
)

LIGHT = Theme(
    name="bench-light",
    dark=False,
    primary="#2d5f59",
    secondary="#6b5836",
    accent="#804c00",
    foreground="#1d2124",
    background="#faf7f0",
    surface="#f2eee4",
    panel="#e4ded0",
    success="#3b6b1f",
    warning="#8a4b00",
    error="#a32413",
    variables={"footer-key-foreground": "#804c00", "input-cursor-background": "#1d2124"},
)


def other(name: str) -> str:
    """The name of the theme that is not this one."""
    return LIGHT.name if name == DARK.name else DARK.name
