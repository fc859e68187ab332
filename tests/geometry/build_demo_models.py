"""Build the demo's three STEP models: ``python tests/geometry/build_demo_models.py [FOLDER]``.

Our own parts, small, with figures the tests know: a housing end cap (SB-110), a gimbal yoke
(SB-120) and a hinge pin (SB-130). Written into demo_project/models by default, the same bytes every
time with one version of the kernel.
"""

from __future__ import annotations

import sys
from math import cos, pi, sin
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parent))

from shapes_made import (
    box,
    chamfer,
    cone,
    cut,
    cylinder,
    fillet,
    fuse,
    ring_at,
    upright,
    write_step,
)

UP = (0.0, 0.0, 1.0)
DOWN = (0.0, 0.0, -1.0)


def on_circle(diameter: float, count: int, start_deg: float = 0.0) -> list[tuple[float, float]]:
    angles = [start_deg * pi / 180 + 2 * pi * k / count for k in range(count)]
    return [(diameter / 2 * cos(a), diameter / 2 * sin(a)) for a in angles]


def ring(z: float, outer: float, inner: float, height: float) -> Any:
    """A ring by its diameters, standing on z."""
    return cut(
        cylinder((0, 0, z), UP, outer / 2, height),
        cylinder((0, 0, z - 1), UP, inner / 2, height + 2),
    )


def end_cap() -> Any:
    """SB-110: flange Ø120 x 12, spigot Ø95 x 20, seat Ø42, shaft hole Ø25, gland Ø95/Ø88."""
    body = fuse(cylinder((0, 0, 0), UP, 60, 12), cylinder((0, 0, 12), UP, 47.5, 20))
    tools = [
        cylinder((0, 0, 18), UP, 21, 20),  # bearing seat Ø42, 14 deep
        cylinder((0, 0, -1), UP, 12.5, 40),  # shaft hole Ø25
        ring(20, 97, 88.6, 3.6),  # gland for an O-ring of 2.62, in the spigot
        ring(-1, 80, 60, 5),  # relief in the outer face
    ]
    tools += [cylinder((x, y, -1), UP, 2.75, 20) for x, y in on_circle(108, 6)]
    for x, y in on_circle(66, 4, 45.0):  # M4, core hole 3.3, 12 deep, from the inner face
        tools.append(cylinder((x, y, 20), UP, 1.65, 13))
        tools.append(cone((x, y, 20), DOWN, 1.65, 0.0, 1.65 / 1.7))
    return chamfer(chamfer(cut(body, *tools), 1.0, ring_at(0, 60)), 1.0, ring_at(12, 60))


def yoke() -> Any:
    """SB-120: a U of 140 x 90 x 70, arms 14 thick, base 16, bores Ø16, R5 inside."""
    body = box((-70, -45, 0), (140, 90, 70))
    body = fillet(body, 12.0, upright)
    body = cut(body, box((-56, -46, 16), (112, 92, 60)))
    body = fillet(
        body,
        5.0,
        lambda a, b: (
            abs(abs(a[0]) - 56) < 1e-6
            and abs(a[0] - b[0]) < 1e-6
            and abs(a[2] - 16) < 1e-6
            and abs(b[2] - 16) < 1e-6
        ),
    )
    tools = [
        cylinder((-71, 0, 48), (1.0, 0.0, 0.0), 8, 142),
        cut(box((-46, -35, -1), (40, 70, 11)), *corners(-46, -35, 40, 70)),
        cut(box((6, -35, -1), (40, 70, 11)), *corners(6, -35, 40, 70)),
    ]
    tools += [cylinder((0, y, -1), UP, 3.3, 30) for y in (-30.0, 30.0)]
    return cut(body, *tools)


def corners(x: float, y: float, length: float, width: float, radius: float = 4.0) -> list[Any]:
    """What rounds the four upright corners of a pocket tool that starts below z = 0."""
    made = []
    for cx, sx in ((x, 1), (x + length, -1)):
        for cy, sy in ((y, 1), (y + width, -1)):
            low = (min(cx, cx + sx * radius), min(cy, cy + sy * radius), -2.0)
            square = box(low, (radius, radius, 13.0))
            centre = (cx + sx * radius, cy + sy * radius, -3.0)
            made.append(cut(square, cylinder(centre, UP, radius, 15.0)))
    return made


def hinge_pin() -> Any:
    """SB-130: Ø12 x 68, groove Ø10.5 x 1.1 at 4 from one end, chamfers 1 x 45°."""
    pin = cut(cylinder((0, 0, 0), UP, 6, 68), ring(4, 14, 10.5, 1.1))
    return chamfer(chamfer(pin, 1.0, ring_at(0, 6)), 1.0, ring_at(68, 6))


MODELS = {
    "SB-110_B": (end_cap, "SB-110 housing end cap"),
    "SB-120_A": (yoke, "SB-120 gimbal yoke"),
    "SB-130_C": (hinge_pin, "SB-130 hinge pin"),
}


def build(folder: Path) -> list[Path]:
    """Write all models into a folder."""
    folder.mkdir(parents=True, exist_ok=True)
    return [
        write_step(folder / f"{stem}.step", make(), name=name)
        for stem, (make, name) in MODELS.items()
    ]


if __name__ == "__main__":
    default = Path(__file__).resolve().parents[2] / "demo_project" / "models"
    for path in build(Path(sys.argv[1]) if len(sys.argv) > 1 else default):
        print(path.name, path.stat().st_size)
