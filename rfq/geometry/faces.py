"""The faces and edges of a solid, from the kernel into plain values (``facts``)."""

from __future__ import annotations

from math import atan2, degrees

import OCP.OCP.collections as containers
from OCP.BOPTools import BOPTools_AlgoTools3D
from OCP.BRep import BRep_Tool
from OCP.BRepAdaptor import BRepAdaptor_Curve, BRepAdaptor_Curve2d, BRepAdaptor_Surface
from OCP.BRepClass import BRepClass_FaceClassifier
from OCP.BRepTools import BRepTools
from OCP.GCPnts import GCPnts_AbscissaPoint
from OCP.GeomAbs import GeomAbs_CurveType, GeomAbs_SurfaceType
from OCP.gp import gp_Ax1, gp_Pnt, gp_Pnt2d, gp_Vec
from OCP.IntTools import IntTools_Context
from OCP.TopAbs import TopAbs_Orientation, TopAbs_ShapeEnum, TopAbs_State
from OCP.TopoDS import TopoDS, TopoDS_Edge, TopoDS_Face, TopoDS_Shape

from rfq.geometry.facts import Edge, Face
from rfq.geometry.kernel import area_mm2, parts_of
from rfq.geometry.rays import surface_normal
from rfq.geometry.shape import SurfaceKind
from rfq.geometry.vectors import (
    Vector,
    across,
    cross,
    dot,
    foot,
    length,
    line_direction,
    subtract,
    unit,
)

_KINDS: dict[GeomAbs_SurfaceType, SurfaceKind] = {
    GeomAbs_SurfaceType.GeomAbs_Plane: "plane",
    GeomAbs_SurfaceType.GeomAbs_Cylinder: "cylinder",
    GeomAbs_SurfaceType.GeomAbs_Cone: "cone",
    GeomAbs_SurfaceType.GeomAbs_Torus: "torus",
    GeomAbs_SurfaceType.GeomAbs_Sphere: "sphere",
    GeomAbs_SurfaceType.GeomAbs_BSplineSurface: "free-form",
    GeomAbs_SurfaceType.GeomAbs_BezierSurface: "free-form",
}
_SMOOTH = 0.017
"""Sine of the angle (1 degree) below which two faces meet without an edge."""

_SPOTS = (
    (0.5, 0.5),
    *((u, v) for near in (0.17, 0.34, 0.06) for u in (near, 1 - near) for v in (near, 1 - near)),
)
"""Where in a patch's parameters samples are tried: its middle, then towards its corners."""

_MOST_SAMPLES = 4


def _triple(point: gp_Pnt | gp_Vec) -> Vector:
    return (point.X(), point.Y(), point.Z())


def read_faces(shape: TopoDS_Shape) -> tuple[list[Face], int]:
    """Every face of the shape with its edges, and how many edges border only one face.

    A face's index is its place in the list. A closed solid has no edge with one face.
    """
    kernel_faces = [TopoDS.Face(s) for s in parts_of(shape, TopAbs_ShapeEnum.TopAbs_FACE)]
    faces = [_face(index, face) for index, face in enumerate(kernel_faces)]
    return faces, _join(kernel_faces, faces)


def _face(index: int, face: TopoDS_Face) -> Face:
    surface = BRepAdaptor_Surface(face, False)
    kind = _KINDS.get(surface.GetType(), "other")
    flipped = face.Orientation() == TopAbs_Orientation.TopAbs_REVERSED
    bounds = BRepTools.UVBounds_s(face)
    fact = Face(index, kind, area_mm2(face), _samples(face, surface, bounds, flipped))
    if not fact.samples:
        return fact
    point, normal = fact.samples[0]
    if kind == "plane":
        fact.normal = normal
    elif kind == "sphere":
        sphere = surface.Sphere()
        fact.axis_point, fact.radius_mm = _triple(sphere.Location()), sphere.Radius()
        fact.concave = dot(normal, subtract(point, fact.axis_point)) < 0
    elif kind in ("cylinder", "cone", "torus"):
        _round_face(fact, surface, bounds)
    return fact


def _round_face(
    fact: Face, surface: BRepAdaptor_Surface, bounds: tuple[float, float, float, float]
) -> None:
    point, normal = fact.samples[0]
    if fact.kind == "cylinder":
        body = surface.Cylinder()
        fact.radius_mm = body.Radius()
    elif fact.kind == "cone":
        body = surface.Cone()
        fact.radius_mm = body.RefRadius()
    else:
        body = surface.Torus()
        fact.radius_mm, fact.minor_radius_mm = body.MajorRadius(), body.MinorRadius()
    axis: gp_Ax1 = body.Axis()
    location = _triple(axis.Location())
    own = axis.Direction()
    own_axis: Vector = (own.X(), own.Y(), own.Z())
    fact.axis = line_direction(own_axis)
    fact.axis_point = foot(location, fact.axis) if fact.kind != "torus" else location
    arm = subtract(point, location)
    radial = subtract(arm, tuple(c * dot(arm, fact.axis) for c in fact.axis))  # type: ignore[arg-type]
    if fact.kind == "torus":  # against the middle of the tube
        outward = unit(radial)
        tube = tuple(c * fact.radius_mm for c in outward)
        fact.concave = dot(normal, subtract(arm, tube)) < 0  # type: ignore[arg-type]
    else:
        fact.concave = dot(normal, radial) < 0
    span = degrees(bounds[1] - bounds[0])
    middle, _ = surface_normal(surface, (bounds[0] + bounds[1]) / 2, bounds[2], False)
    first, second = across(fact.axis)
    offset = subtract(middle, location)
    fact.turn_deg = span
    fact.turn_start_deg = degrees(atan2(dot(offset, second), dot(offset, first))) - span / 2
    if fact.kind == "cylinder":
        start = dot(location, fact.axis)
        sign = 1.0 if dot(own_axis, fact.axis) > 0 else -1.0
        ends = sorted((start + sign * bounds[2], start + sign * bounds[3]))
        fact.along = (ends[0], ends[1])


def _samples(
    face: TopoDS_Face,
    surface: BRepAdaptor_Surface,
    bounds: tuple[float, float, float, float],
    flipped: bool,
) -> tuple[tuple[Vector, Vector], ...]:
    """A few points inside the trimmed patch, its middle first where that is inside."""
    low_u, high_u, low_v, high_v = bounds
    found = []
    for share_u, share_v in _SPOTS:
        u = low_u + share_u * (high_u - low_u)
        v = low_v + share_v * (high_v - low_v)
        state = BRepClass_FaceClassifier(face, gp_Pnt2d(u, v), 1e-6).State()
        if state == TopAbs_State.TopAbs_IN:
            point, normal = surface_normal(surface, u, v, flipped)
            if length(normal) > 0.5:
                found.append((point, normal))
        if len(found) == _MOST_SAMPLES:
            break
    if found:
        return tuple(found)
    spot, on_surface = gp_Pnt(), gp_Pnt2d()  # a narrow ring or crescent: let the kernel hatch it
    BOPTools_AlgoTools3D.PointInFace_s(face, spot, on_surface, IntTools_Context())
    point, normal = surface_normal(surface, on_surface.X(), on_surface.Y(), flipped)
    return ((point, normal),) if length(normal) > 0.5 else ()


def _join(kernel_faces: list[TopoDS_Face], faces: list[Face]) -> int:
    """Find the edges between faces and how they turn; returns how many have only one face."""
    known = containers.IndexedMap_TopoDS_Shape_TopTools_ShapeMapHasher()
    edges: list[TopoDS_Edge] = []
    owners: list[list[tuple[int, bool]]] = []  # of each edge: face, and whether it runs backwards
    for index, face in enumerate(kernel_faces):
        for found in parts_of(face, TopAbs_ShapeEnum.TopAbs_EDGE):
            place = known.Add(found) - 1
            if place == len(edges):
                edges.append(TopoDS.Edge(found))
                owners.append([])
            # the explorer composes the face's own orientation into the edge's
            backwards = found.Orientation() == TopAbs_Orientation.TopAbs_REVERSED
            owners[place].append((index, backwards))
    open_edges = 0
    surfaces: dict[int, BRepAdaptor_Surface] = {}
    outlines: dict[int, list[Vector]] = {}
    for edge, at in zip(edges, owners, strict=True):
        if BRep_Tool.Degenerated_s(edge):
            continue
        curve = BRepAdaptor_Curve(edge)
        first, last = curve.FirstParameter(), curve.LastParameter()
        pieces = 2 if curve.GetType() == GeomAbs_CurveType.GeomAbs_Line else 16
        step = (last - first) / pieces
        spots = [_triple(curve.Value(first + k * step)) for k in range(pieces + 1)]
        for index, _ in at:
            outlines.setdefault(index, []).extend(spots)
        if len(at) == 1:
            open_edges += 1
        if len(at) != 2 or at[0][0] == at[1][0]:  # a seam of one face, or an open border
            continue
        normals = []
        for index, _ in at:
            if faces[index].kind == "plane" and faces[index].samples:
                normals.append(faces[index].normal)  # as everywhere on it
                continue
            owner = kernel_faces[index]
            if index not in surfaces:
                surfaces[index] = BRepAdaptor_Surface(owner, False)
            on_face = BRepAdaptor_Curve2d(edge, owner)
            spot = on_face.Value((on_face.FirstParameter() + on_face.LastParameter()) / 2)
            flipped = owner.Orientation() == TopAbs_Orientation.TopAbs_REVERSED
            normals.append(surface_normal(surfaces[index], spot.X(), spot.Y(), flipped)[1])
        joint = Edge(
            faces=(at[0][0], at[1][0]),
            length_mm=GCPnts_AbscissaPoint.Length_s(curve, 1e-6),
            middle=spots[pieces // 2],
            normals=(normals[0], normals[1]),
            turn="smooth",
        )
        turn = cross(normals[0], normals[1])
        if length(turn) > _SMOOTH:
            # along the edge with the first face's material on the left, the turn shows its side
            point, tangent = gp_Pnt(), gp_Vec()
            curve.D1((first + last) / 2, point, tangent)
            side = dot(turn, _triple(tangent)) * (-1.0 if at[0][1] else 1.0)
            joint.turn = "convex" if side > 0 else "concave"
        for index in joint.faces:
            faces[index].edges.append(joint)
    for index, spots in outlines.items():
        faces[index].outline = tuple(spots)
    return open_edges
