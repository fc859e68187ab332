"""Straight lines through the solid: what is hit first, and how its surface lies there.

The kernel's own search looks at every face for every ray, 0.8 ms on 1,600 faces. Here the faces'
boxes are sifted as arrays first and only the few along the ray are cut exactly, nearest box first.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from OCP.Bnd import Bnd_Box
from OCP.BRepAdaptor import BRepAdaptor_Surface
from OCP.BRepBndLib import BRepBndLib
from OCP.gp import gp_Dir, gp_Lin, gp_Pnt, gp_Vec
from OCP.IntCurvesFace import IntCurvesFace_Intersector
from OCP.TopAbs import TopAbs_Orientation, TopAbs_ShapeEnum
from OCP.TopExp import TopExp_Explorer
from OCP.TopoDS import TopoDS, TopoDS_Face, TopoDS_Shape

from rfq.geometry.vectors import Vector, negative, unit

_MARGIN_MM = 1e-3


@dataclass(frozen=True, slots=True)
class Hit:
    """The first face a ray meets: how far, and the outward normal there."""

    distance: float
    normal: Vector


class Rays:
    """Exact rays against one shape."""

    def __init__(self, shape: TopoDS_Shape, reach: float) -> None:
        self._reach = reach
        self._faces: list[TopoDS_Face] = []
        self._cutters: dict[int, IntCurvesFace_Intersector] = {}
        lows, highs = [], []
        explorer = TopExp_Explorer(shape, TopAbs_ShapeEnum.TopAbs_FACE)
        while explorer.More():
            face = TopoDS.Face(explorer.Current())
            bounds = Bnd_Box()
            BRepBndLib.Add_s(face, bounds, False)
            if not bounds.IsVoid():
                low, high = bounds.CornerMin(), bounds.CornerMax()
                self._faces.append(face)
                lows.append((low.X(), low.Y(), low.Z()))
                highs.append((high.X(), high.Y(), high.Z()))
            explorer.Next()
        self._low = np.array(lows, dtype=float).reshape(-1, 3) - _MARGIN_MM
        self._high = np.array(highs, dtype=float).reshape(-1, 3) + _MARGIN_MM
        self.shot = 0

    def first(self, origin: Vector, direction: Vector, start: float = 1e-4) -> Hit | None:
        """What a ray meets first beyond ``start`` mm, or None when it leaves the part."""
        self.shot += 1
        line = gp_Lin(gp_Pnt(*origin), gp_Dir(*direction))
        best, best_place = self._reach, -1
        for entry, place in self._along(origin, direction, start):
            if entry > best:
                break
            cutter = self._cutter(place)
            cutter.Perform(line, start, best)
            if not cutter.IsDone():
                continue
            for k in range(1, cutter.NbPnt() + 1):
                if start <= cutter.WParameter(k) < best:
                    best, best_place = cutter.WParameter(k), place
                    u, v = cutter.UParameter(k), cutter.VParameter(k)
        if best_place < 0:
            return None
        return Hit(best, outward_normal(self._faces[best_place], u, v))

    def blocked(self, origin: Vector, direction: Vector, start: float = 1e-4) -> bool:
        """Whether a ray meets anything beyond ``start`` mm; quicker than asking for the first."""
        self.shot += 1
        line = gp_Lin(gp_Pnt(*origin), gp_Dir(*direction))
        for _, place in self._along(origin, direction, start):
            cutter = self._cutter(place)
            cutter.Perform(line, start, self._reach)
            if cutter.IsDone() and cutter.NbPnt():
                return True
        return False

    def _cutter(self, place: int) -> IntCurvesFace_Intersector:
        """The exact intersection with one face, prepared when first needed."""
        cutter = self._cutters.get(place)
        if cutter is None:
            cutter = self._cutters[place] = IntCurvesFace_Intersector(self._faces[place], 1e-7)
        return cutter

    def _along(self, origin: Vector, direction: Vector, start: float) -> list[tuple[float, int]]:
        """Faces whose box the ray enters, with the distance at which it does, nearest first."""
        near = np.full(len(self._faces), start)
        far = np.full(len(self._faces), self._reach)
        for axis in range(3):
            low, high = self._low[:, axis], self._high[:, axis]
            step = direction[axis]
            if abs(step) < 1e-12:
                outside = (origin[axis] < low) | (origin[axis] > high)
                far[outside] = -1.0
                continue
            one, two = (low - origin[axis]) / step, (high - origin[axis]) / step
            np.maximum(near, np.minimum(one, two), out=near)
            np.minimum(far, np.maximum(one, two), out=far)
        places = np.flatnonzero(near <= far)
        return sorted(zip(near[places].tolist(), places.tolist(), strict=True))


def outward_normal(face: TopoDS_Face, u: float, v: float) -> Vector:
    """Normal out of the material; null where the surface has none."""
    return surface_normal(
        BRepAdaptor_Surface(face, False),
        u,
        v,
        face.Orientation() == TopAbs_Orientation.TopAbs_REVERSED,
    )[1]


def surface_normal(
    surface: BRepAdaptor_Surface, u: float, v: float, flipped: bool
) -> tuple[Vector, Vector]:
    """Point and outward normal of a surface; ``flipped`` for a reversed face.

    From the derivatives, so that a left-handed axis system needs no special case.
    """
    point, along_u, along_v = gp_Pnt(), gp_Vec(), gp_Vec()
    surface.D1(u, v, point, along_u, along_v)
    across = along_u.Crossed(along_v)
    normal = unit((across.X(), across.Y(), across.Z()))
    return (point.X(), point.Y(), point.Z()), (negative(normal) if flipped else normal)
