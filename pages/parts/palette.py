"""Our colours: paper and ink, with one accent; each text colour reaches 4.5 : 1 on its ground (a test measures it)."""

from __future__ import annotations

from types import MappingProxyType
from typing import Any, Final

LIGHT: Final = MappingProxyType(
    {
        "backgroundColor": "#FAF7F0",
        "secondaryBackgroundColor": "#EFE9DC",
        "textColor": "#24211C",
        "primaryColor": "#6A3552",
        "linkColor": "#6A3552",
        "borderColor": "#CFC6B4",
        "grayTextColor": "#5B5548",
        "redTextColor": "#8C1D18",
        "greenTextColor": "#1E5A34",
        "blueTextColor": "#1D4F7A",
        "orangeTextColor": "#7A4300",
        "yellowTextColor": "#6B5200",
        "violetTextColor": "#5A3577",
        # Grounds of notices: tints of the paper, not the framework's cool ones
        "redBackgroundColor": "#F5E2DA",
        "orangeBackgroundColor": "#F6E8D3",
        "yellowBackgroundColor": "#F4ECD0",
        "blueBackgroundColor": "#E8E7DE",
        "greenBackgroundColor": "#E5EADA",
    }
)
DARK: Final = MappingProxyType(
    {
        "backgroundColor": "#1C1A17",
        "secondaryBackgroundColor": "#29261F",
        "textColor": "#EFE9DC",
        "primaryColor": "#D9A3C2",
        "linkColor": "#E0B4CE",
        "borderColor": "#4A453A",
        "grayTextColor": "#B9B1A0",
        "redTextColor": "#F2A49C",
        "greenTextColor": "#9BD3AC",
        "blueTextColor": "#9CC6EA",
        "orangeTextColor": "#F0B878",
        "yellowTextColor": "#E6CF7A",
        "violetTextColor": "#CDB2E6",
        "redBackgroundColor": "#3A2420",
        "orangeBackgroundColor": "#38291A",
        "yellowBackgroundColor": "#332D18",
        "blueBackgroundColor": "#272B2D",
        "greenBackgroundColor": "#222B22",
    }
)


def theme() -> dict[str, Any]:
    """Both themes as settings of the framework."""
    sections = {"light": LIGHT, "dark": DARK}
    return {f"theme.{name}.{key}": value for name, colours in sections.items() for key, value in colours.items()}
