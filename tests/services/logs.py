"""Scan tools' logs of one invented warm-up, written in the ways tools write them."""

from __future__ import annotations

import math
from collections.abc import Iterator
from pathlib import Path


def warming(seconds: int = 600, step: int = 2) -> Iterator[tuple[int, float]]:
    """Give (second, °C) of a unit that warms from 22 °C towards 60 °C with a time constant of 15 minutes."""
    for second in range(0, seconds, step):
        yield second, round(60 - 38 * math.exp(-second / 900), 1)


def celsius(file: Path) -> Path:
    """Write elapsed seconds and °C with points and commas between, without a unit in the cells."""
    rows = [f"{second},{degrees:.1f}" for second, degrees in warming()]
    file.write_text("\n".join(["Elapsed (s),Trans fluid temp (°C)", *rows, ""]), encoding="utf-8")
    return file


def fahrenheit(file: Path) -> Path:
    """Write the same in °F: semicolons, decimal commas, clock times, another column first, cp1252."""
    rows = []
    for second, degrees in warming():
        clock = f"09:{40 + second // 60:02d}:{second % 60:02d}"
        shown = f"{degrees * 9 / 5 + 32:.2f}".replace(".", ",")
        rows.append(f"{clock};812;{shown}")
    content = "\r\n".join(["Time;Engine speed;Transmission fluid (°F)", *rows, ""])
    file.write_bytes(content.encode("cp1252"))
    return file
