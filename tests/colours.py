"""Colours as eyes tell them apart: contrast, difference, and how colour-blind eyes see them.

Contrast: WCAG 2.2, "relative luminance" and "contrast ratio". Difference: CIEDE2000 (Sharma, Wu and Dalal, Color Res.
Appl. 2005;30:21-30). Colour-blind eyes: Machado, Oliveira and Fernandes, IEEE TVCG 2009;15:1291-1298, severity 1.0.
"""

from __future__ import annotations

import math

Rgb = tuple[int, int, int]
Lab = tuple[float, float, float]
_WHITE = (0.95047, 1.0, 1.08883)  # D65
_XYZ = (
    (0.4124564, 0.3575761, 0.1804375),
    (0.2126729, 0.7151522, 0.0721750),
    (0.0193339, 0.1191920, 0.9503041),
)
SEEN_BY = {
    "everyone": ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)),
    "protan": (
        (0.152286, 1.052583, -0.204868),
        (0.114503, 0.786281, 0.099216),
        (-0.003882, -0.048116, 1.051998),
    ),
    "deutan": (
        (0.367322, 0.860646, -0.227968),
        (0.280085, 0.672501, 0.047413),
        (-0.011820, 0.042940, 0.968881),
    ),
    "tritan": (
        (1.255528, -0.076749, -0.178779),
        (-0.078411, 0.930809, 0.147602),
        (0.004733, 0.691367, 0.303900),
    ),
}


def _linear(channel: int) -> float:
    part = channel / 255
    return part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4


def luminance(colour: Rgb) -> float:
    """Relative luminance: 0 is black, 1 is white."""
    red, green, blue = (_linear(channel) for channel in colour)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: Rgb, other: Rgb) -> float:
    """Contrast ratio, 1 to 21."""
    darker, lighter = sorted((luminance(one), luminance(other)))
    return (lighter + 0.05) / (darker + 0.05)


def lab_seen_by(colour: Rgb, eyes: str) -> Lab:
    """CIELAB of what some eyes see, a name in SEEN_BY."""
    plain = [_linear(channel) for channel in colour]
    seen = [min(1.0, max(0.0, _dot(row, plain))) for row in SEEN_BY[eyes]]
    x, y, z = (_cube_root(_dot(row, seen) / white) for row, white in zip(_XYZ, _WHITE, strict=True))
    return 116 * y - 16, 500 * (x - y), 200 * (y - z)


def _dot(row: tuple[float, ...], values: list[float]) -> float:
    return sum(one * other for one, other in zip(row, values, strict=True))


def _cube_root(value: float) -> float:
    return math.cbrt(value) if value > 216 / 24389 else (24389 / 27 * value + 16) / 116


def delta_e(one: Lab, other: Lab) -> float:
    """CIEDE2000 with all weights 1; the names are those of the paper."""
    l1, a1, b1 = one
    l2, a2, b2 = other
    mean = (math.hypot(a1, b1) + math.hypot(a2, b2)) / 2
    g = 0.5 * (1 - math.sqrt(mean**7 / (mean**7 + 25**7)))
    c1, c2 = math.hypot((1 + g) * a1, b1), math.hypot((1 + g) * a2, b2)
    h1, h2 = math.atan2(b1, (1 + g) * a1) % math.tau, math.atan2(b2, (1 + g) * a2) % math.tau
    turn = h2 - h1 if c1 * c2 else 0.0
    turn -= math.copysign(math.tau, turn) if abs(turn) > math.pi else 0.0
    d_l, d_c, d_h = l2 - l1, c2 - c1, 2 * math.sqrt(c1 * c2) * math.sin(turn / 2)
    l_mean, c_mean = (l1 + l2) / 2, (c1 + c2) / 2
    h_mean = h1 + turn / 2 if c1 * c2 else h1 + h2
    t = (
        1
        - 0.17 * math.cos(h_mean - math.radians(30))
        + 0.24 * math.cos(2 * h_mean)
        + 0.32 * math.cos(3 * h_mean + math.radians(6))
        - 0.20 * math.cos(4 * h_mean - math.radians(63))
    )
    far = (math.degrees(h_mean) % 360 - 275) / 25
    s_l = 1 + 0.015 * (l_mean - 50) ** 2 / math.sqrt(20 + (l_mean - 50) ** 2)
    s_c, s_h = 1 + 0.045 * c_mean, 1 + 0.015 * c_mean * t
    r_c = 2 * math.sqrt(c_mean**7 / (c_mean**7 + 25**7))
    r_t = -math.sin(math.radians(60) * math.exp(-(far**2))) * r_c
    parts = d_l / s_l, d_c / s_c, d_h / s_h
    return math.sqrt(sum(part**2 for part in parts) + r_t * parts[1] * parts[2])
