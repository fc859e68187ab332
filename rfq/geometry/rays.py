"""Straight lines through the solid: what is hit first, and how its surface lies there."""

from __future__ import annotations

from dataclasses import dataclass

from OCP.BRepAdaptor import BRepAdaptor_Surface
from OCP.gp import gp_Dir, gp_Lin, gp_Pnt, gp_Vec
from OCP.IntCurvesFace import IntCurvesFace_ShapeIntersector
from OCP.TopAbs import TopAbs_Orientation
from OCP.TopoDS import TopoDS_Face, TopoDS_Shape

from rfq.geometry.vectors import Vector, negative, unit


@dataclass(frozen=True, slots=True)
class Hit:
    """The first face a ray meets: how far, and the outward normal there."""

    distance: float
    normal: Vector


class Rays:
    """Exact rays against one shape."""

    def __init__(self, shape: TopoDS_Shape, reach: float) -> None:
        self._shooter = IntCurvesFace_ShapeIntersector()
        self._shooter.Load(shape, 1e-7)
        self._reach = reach
        self.shot = 0

    def first(self, origin: Vector, direction: Vector, start: float = 1e-4) -> Hit | None:
        """What a ray meets first beyond ``start`` mm, or None when it leaves the part."""
        self.shot += 1
        line = gp_Lin(gp_Pnt(*origin), gp_Dir(*direction))
        self._shooter.PerformNearest(line, start, self._reach)
        if not self._shooter.NbPnt():
            return None
        face = self._shooter.Face(1)
        normal = outward_normal(face, self._shooter.UParameter(1), self._shooter.VParameter(1))
        return Hit(self._shooter.WParameter(1), normal)


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
