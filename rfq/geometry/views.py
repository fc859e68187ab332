"""Drawings of the part: hidden lines removed, as plain polylines in millimetres."""

from __future__ import annotations

from collections import defaultdict
from math import hypot, sqrt
from typing import Any, Literal

from OCP.BRepAdaptor import BRepAdaptor_Curve
from OCP.BRepLib import BRepLib
from OCP.BRepMesh import BRepMesh_IncrementalMesh
from OCP.GCPnts import GCPnts_TangentialDeflection
from OCP.GeomAbs import GeomAbs_CurveType
from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt
from OCP.HLRAlgo import HLRAlgo_Projector
from OCP.HLRBRep import (
    HLRBRep_Algo,
    HLRBRep_HLRToShape,
    HLRBRep_PolyAlgo,
    HLRBRep_PolyHLRToShape,
)
from OCP.TopAbs import TopAbs_ShapeEnum
from OCP.TopoDS import TopoDS, TopoDS_Shape

from rfq.geometry.kernel import box, parts_of
from rfq.geometry.shape import Point2, View
from rfq.geometry.vectors import Vector, cross, dot, length, rounded, subtract

Name = Literal["top", "front", "side", "isometric"]
Line = tuple[Point2, ...]

DIRECTIONS: tuple[tuple[Name, Vector, Vector], ...] = (
    ("top", (0.0, 0.0, 1.0), (1.0, 0.0, 0.0)),
    ("front", (0.0, -1.0, 0.0), (1.0, 0.0, 0.0)),
    ("side", (1.0, 0.0, 0.0), (0.0, 1.0, 0.0)),
    ("isometric", (1 / sqrt(3), -1 / sqrt(3), 1 / sqrt(3)), (1 / sqrt(2), 1 / sqrt(2), 0.0)),
)
"""Name, direction from the part to the eye, and the drawing's x axis."""

EXACT_FACES = 250
"""Up to here hidden lines are removed exactly; beyond it, where that takes time with the square of
the number of faces, from a fine mesh of the same surfaces."""

MOST_FACES = 20_000
"""Beyond it a drawing this size shows nothing any more; the views stay empty."""


def draw_views(shape: TopoDS_Shape) -> tuple[View, ...]:
    """The four views, or none where the part has too many faces."""
    faces = len(parts_of(shape, TopAbs_ShapeEnum.TopAbs_FACE))
    if faces > MOST_FACES:
        return ()
    low, high = box(shape)
    sag = max(length(subtract(high, low)) / 2000, 1e-3)
    if faces > EXACT_FACES:
        BRepMesh_IncrementalMesh(shape, 2 * sag, False, 0.4, True)
    exact = faces <= EXACT_FACES
    return tuple(_view(shape, *direction, sag, exact, (low, high)) for direction in DIRECTIONS)


def _view(
    shape: TopoDS_Shape,
    name: Name,
    eye: Vector,
    x_axis: Vector,
    sag: float,
    exact: bool,
    bounds: tuple[Vector, Vector],
) -> View:
    frame = gp_Ax2(gp_Pnt(0.0, 0.0, 0.0), gp_Dir(*eye), gp_Dir(*x_axis))
    result = _removed(shape, HLRAlgo_Projector(frame), exact)
    visible = _lines([result.VCompound(), result.OutLineVCompound()], sag)
    # seams of closed faces are among the kernel's "N" lines: not edges of the part, left out
    smooth = _lines([result.Rg1LineVCompound()], sag)
    hidden = _lines([result.HCompound(), result.OutLineHCompound()], sag)
    drawn = [point for line in (*visible, *hidden) for point in line] or [(0.0, 0.0)]
    if name != "isometric":  # chords of a circle stop short of it; the dimension must not
        y_axis = cross(eye, x_axis)
        drawn = [
            (round(dot(corner, x_axis), 4) + 0.0, round(dot(corner, y_axis), 4) + 0.0)
            for corner in bounds
        ]
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


def _removed(shape: TopoDS_Shape, projector: HLRAlgo_Projector, exact: bool) -> Any:
    """The kernel's result of hidden-line removal, exact or from the mesh."""
    if exact:
        remover = HLRBRep_Algo()
        remover.Add(shape)
        remover.Projector(projector)
        remover.Update()
        remover.Hide()
        return HLRBRep_HLRToShape(remover)
    from_mesh = HLRBRep_PolyAlgo()
    from_mesh.Load(shape)
    from_mesh.Projector(projector)
    from_mesh.Update()
    result = HLRBRep_PolyHLRToShape()
    result.Update(from_mesh)
    return result


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
    return tuple(sorted(_chained(list(lines))))


def _chained(lines: list[Line]) -> list[Line]:
    """Lines joined where exactly two end: a curve comes in many pieces, above all from a mesh."""
    at: dict[Point2, list[int]] = defaultdict(list)
    for place, line in enumerate(lines):
        at[line[0]].append(place)
        at[line[-1]].append(place)
    used: set[int] = set()

    def follow(start: Point2, place: int) -> Line:
        chain = [start]
        while place not in used:
            used.add(place)
            line = lines[place] if lines[place][0] == chain[-1] else lines[place][::-1]
            chain.extend(line[1:])
            ends = at[chain[-1]]
            if len(ends) != 2:
                break
            place = ends[0] if ends[1] == place else ends[1]
        return tuple(chain)

    chains = []
    for point in sorted(at):
        if len(at[point]) != 2:
            chains += [follow(point, place) for place in at[point] if place not in used]
    chains += [follow(lines[n][0], n) for n in range(len(lines)) if n not in used]  # closed ones
    return chains


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
