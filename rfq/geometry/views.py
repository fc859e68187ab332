"""Drawings of the part: hidden lines removed, as plain polylines in millimetres."""

from __future__ import annotations

from math import hypot, sqrt
from typing import Literal

from OCP.BRepAdaptor import BRepAdaptor_Curve
from OCP.BRepLib import BRepLib
from OCP.GCPnts import GCPnts_TangentialDeflection
from OCP.GeomAbs import GeomAbs_CurveType
from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt
from OCP.HLRAlgo import HLRAlgo_Projector
from OCP.HLRBRep import HLRBRep_Algo, HLRBRep_HLRToShape
from OCP.TopAbs import TopAbs_ShapeEnum
from OCP.TopoDS import TopoDS, TopoDS_Shape

from rfq.geometry.kernel import parts_of
from rfq.geometry.shape import Point2, View
from rfq.geometry.vectors import Vector, cross, rounded

Name = Literal["top", "front", "side", "isometric"]
Line = tuple[Point2, ...]

DIRECTIONS: tuple[tuple[Name, Vector, Vector], ...] = (
    ("top", (0.0, 0.0, 1.0), (1.0, 0.0, 0.0)),
    ("front", (0.0, -1.0, 0.0), (1.0, 0.0, 0.0)),
    ("side", (1.0, 0.0, 0.0), (0.0, 1.0, 0.0)),
    ("isometric", (1 / sqrt(3), -1 / sqrt(3), 1 / sqrt(3)), (1 / sqrt(2), 1 / sqrt(2), 0.0)),
)
"""Name, direction from the part to the eye, and the drawing's x axis."""

MOST_FACES = 4000
"""Beyond it hidden-line removal takes longer than a request is worth; the views stay empty."""


def draw_views(shape: TopoDS_Shape, faces: int, diagonal_mm: float) -> tuple[View, ...]:
    """The four views, or none where the part has too many faces.

    Args:
        shape: the part.
        faces: how many it has.
        diagonal_mm: of its box; curves are followed to a fraction of it.
    """
    if faces > MOST_FACES:
        return ()
    return tuple(_view(shape, *direction, diagonal_mm) for direction in DIRECTIONS)


def _view(shape: TopoDS_Shape, name: Name, eye: Vector, x_axis: Vector, diagonal_mm: float) -> View:
    remover = HLRBRep_Algo()
    remover.Add(shape)
    frame = gp_Ax2(gp_Pnt(0.0, 0.0, 0.0), gp_Dir(*eye), gp_Dir(*x_axis))
    remover.Projector(HLRAlgo_Projector(frame))
    remover.Update()
    remover.Hide()
    result = HLRBRep_HLRToShape(remover)
    sag = max(diagonal_mm / 2000, 1e-3)
    visible = _lines([result.VCompound(), result.OutLineVCompound()], sag)
    # seams of closed faces are among the kernel's "N" lines: not edges of the part, left out
    smooth = _lines([result.Rg1LineVCompound()], sag)
    hidden = _lines([result.HCompound(), result.OutLineHCompound()], sag)
    drawn = [point for line in (*visible, *hidden) for point in line] or [(0.0, 0.0)]
    return View(
        name=name,
        x_axis=rounded(x_axis, 9),
        y_axis=rounded(cross(eye, x_axis), 9),
        low=(min(p[0] for p in drawn), min(p[1] for p in drawn)),
        high=(max(p[0] for p in drawn), max(p[1] for p in drawn)),
        visible=visible,
        smooth=smooth,
        hidden=hidden,
    )


def _lines(compounds: list[TopoDS_Shape | None], sag: float) -> tuple[Line, ...]:
    lines: dict[Line, None] = {}
    for compound in compounds:
        if compound is None or compound.IsNull():
            continue
        BRepLib.BuildCurves3d_s(compound)
        for edge in parts_of(compound, TopAbs_ShapeEnum.TopAbs_EDGE):
            line = _polyline(BRepAdaptor_Curve(TopoDS.Edge(edge)), sag)
            if len(line) > 1 and line not in lines and line[::-1] not in lines:
                lines[line] = None
    return tuple(sorted(lines))


def _polyline(curve: BRepAdaptor_Curve, sag: float) -> Line:
    first, last = curve.FirstParameter(), curve.LastParameter()
    if curve.GetType() == GeomAbs_CurveType.GeomAbs_Line:
        spots = [curve.Value(first), curve.Value(last)]
    else:
        followed = GCPnts_TangentialDeflection(curve, first, last, 0.25, sag)
        spots = [followed.Value(place) for place in range(1, followed.NbPoints() + 1)]
    line: list[Point2] = []
    for spot in spots:
        point = (round(spot.X(), 3) + 0.0, round(spot.Y(), 3) + 0.0)
        if not line or hypot(point[0] - line[-1][0], point[1] - line[-1][1]) > 1e-3:
            line.append(point)
    return tuple(line)
