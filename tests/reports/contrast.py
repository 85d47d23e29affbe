"""Contrast of two colours as the Web Content Accessibility Guidelines define it."""

import re

AA_TEXT, AA_LARGE, AA_GRAPHIC = 4.5, 3.0, 3.0
"""WCAG 2.2, success criteria 1.4.3 (text; from 24 px, or 18.66 px bold) and 1.4.11 (graphical objects)."""


def colour(text: str) -> tuple[float, float, float]:
    """Red, green and blue 0-255 of '#1c2320', '#fff' or 'rgb(28, 35, 32)'."""
    if text.startswith("#"):
        digits = text[1:] if len(text) == 7 else "".join(2 * c for c in text[1:])
        return tuple(int(digits[i : i + 2], 16) for i in (0, 2, 4))  # type: ignore[return-value]
    return tuple(float(v) for v in re.findall(r"[\d.]+", text)[:3])  # type: ignore[return-value]


def luminance(rgb: tuple[float, float, float]) -> float:
    """Relative luminance [1], WCAG 2.2 "relative luminance"."""
    shares = [v / 255 for v in rgb]
    linear = [v / 12.92 if v <= 0.04045 else ((v + 0.055) / 1.055) ** 2.4 for v in shares]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    """Contrast ratio, 1 to 21, WCAG 2.2 "contrast ratio"."""
    a, b = sorted((luminance(colour(one)), luminance(colour(other))), reverse=True)
    return (a + 0.05) / (b + 0.05)
