"""Dimensions and tolerances written in the file as meaning (AP242), as candidates for callouts.

Skipped without a word: dimensions that are only drawn, and placeholders without a type or value.
Everything else that is not understood is counted and named.
"""

from __future__ import annotations

import re
from math import isfinite
from typing import Any, Literal

import OCP.OCP.collections as containers
from OCP.BRepAdaptor import BRepAdaptor_Surface
from OCP.BRepTools import BRepTools
from OCP.GeomAbs import GeomAbs_SurfaceType
from OCP.TDF import TDF_Label
from OCP.TDocStd import TDocStd_Document
from OCP.TopAbs import TopAbs_Orientation, TopAbs_ShapeEnum
from OCP.TopoDS import TopoDS
from OCP.XCAFDoc import XCAFDoc_DimTolTool, XCAFDoc_DocumentTool, XCAFDoc_ShapeTool

from rfq.geometry.kernel import attribute, labels, parts_of
from rfq.geometry.pins import toward_eye
from rfq.geometry.rays import surface_normal
from rfq.geometry.shape import Pmi, PmiCandidate
from rfq.geometry.vectors import Vector, rounded

_SKIPPED = ("Location_None", "DimensionPresentation", "CommonLabel")
_DIGITS = 6


def _words(name: str, prefix: str) -> str:
    """``ProfileOfSurface`` as ``profile of surface``."""
    core = name.rsplit("_", 1)[-1] if prefix == "" else name.removeprefix(prefix)
    return re.sub(r"(?<=[a-z])(?=[A-Z])", " ", core.replace("_", " ")).lower().strip()


def _sequence(values: Any) -> list[Any]:
    return [values.Value(place) for place in range(1, values.Length() + 1)]


def _text(handle: Any) -> str:
    return str(handle.ToCString()) if handle is not None else ""


def _faces_of(label: TDF_Label) -> tuple[int, Vector | None, Vector | None]:
    """How many faces a label speaks of, a point of the first and from where it is looked at."""
    first, second = containers.Sequence_TDF_Label(), containers.Sequence_TDF_Label()
    XCAFDoc_DimTolTool.GetRefShapeLabel_s(label, first, second)
    faces = []
    for owner in [*labels(first), *labels(second)]:
        shape = XCAFDoc_ShapeTool.GetShape_s(owner)
        if shape is not None and not shape.IsNull():
            faces.extend(parts_of(shape, TopAbs_ShapeEnum.TopAbs_FACE))
    if not faces:
        return 0, None, None
    face = TopoDS.Face(faces[0])
    low_u, high_u, low_v, high_v = BRepTools.UVBounds_s(face)
    surface = BRepAdaptor_Surface(face, False)
    flipped = face.Orientation() == TopAbs_Orientation.TopAbs_REVERSED
    middle = (low_u + high_u) / 2, (low_v + high_v) / 2
    point, normal = surface_normal(surface, *middle, flipped)
    if surface.GetType() == GeomAbs_SurfaceType.GeomAbs_Cylinder:
        along = surface.Cylinder().Axis().Direction()
        normal = toward_eye((along.X(), along.Y(), along.Z()))
    return len(faces), rounded(point, 3), rounded(normal, 6)


def _dimension(label: TDF_Label) -> PmiCandidate | str | None:
    held = attribute(label, "GetObject")
    dimension = held.GetObject() if held is not None else None
    if dimension is None:
        return "a dimension without content"
    full = dimension.GetType().name.rsplit("DimensionType_", 1)[-1]
    if full in _SKIPPED:
        return None
    angle = "Ang" in full
    value = float(dimension.GetValue())
    lower = upper = plus = minus = None
    fit = ""
    if dimension.IsDimWithRange():
        lower, upper = sorted((dimension.GetLowerBound(), dimension.GetUpperBound()))
    elif dimension.IsDimWithPlusMinusTolerance():
        plus = float(dimension.GetUpperTolValue())
        minus = -float(dimension.GetLowerTolValue())  # the file stores the amount below
    elif dimension.IsDimWithClassOfTolerance():
        fit = _fit_class(dimension)
    figures = [f for f in (value, lower, upper, plus, minus) if f is not None]
    if not all(isfinite(f) and abs(f) < 1e7 for f in figures) or value <= 0:
        return f"a dimension of type {_words(full, '')} with the value {value:g}"
    kind = _words(full.removeprefix("Size_").removeprefix("Location_"), " ")
    count, position, direction = _faces_of(label)
    return PmiCandidate(
        family="dimension",
        kind="angle" if angle else kind,
        value=round(value, _DIGITS),
        unit="deg" if angle else "mm",
        plus=_rounded(plus),
        minus=_rounded(minus),
        lower=_rounded(lower),
        upper=_rounded(upper),
        fit=fit,
        modifiers=tuple(
            _words(m.name.split("DimensionModif_")[-1], " ")
            for m in _sequence(dimension.GetModifiers())
        ),
        faces=count,
        position=position,
        direction=direction,
        name=_text(dimension.GetSemanticName()),
    )


def _rounded(value: float | None) -> float | None:
    return None if value is None else round(float(value), _DIGITS) + 0.0


def _fit_class(dimension: Any) -> str:
    """The tolerance class of ISO 286 such as ``H7``; empty where the file's is not one."""
    try:
        found = dimension.GetClassOfTolerance()
    except TypeError:  # the binding hands the class back in more than one way
        return ""
    if not isinstance(found, tuple) or len(found) < 3:
        return ""
    hole, deviation, grade = found[-3:]
    letters = deviation.name.rsplit("_", 1)[-1]
    number = grade.name.rsplit("IT", 1)[-1].lstrip("0") or "0"
    return f"{letters.upper() if hole else letters.lower()}{number}"


def _tolerance(label: TDF_Label, tool: XCAFDoc_DimTolTool) -> PmiCandidate | str | None:
    held = attribute(label, "GetObject")
    tolerance = held.GetObject() if held is not None else None
    if tolerance is None:
        return "a geometrical tolerance without content"
    kind = _words(tolerance.GetType().name.rsplit("GeomToleranceType_", 1)[-1], " ")
    value = float(tolerance.GetValue())
    if kind == "none" or not isfinite(value) or not 0 < value < 1e6:
        return f"a geometrical tolerance of type {kind} with the value {value:g}"
    material = tolerance.GetMaterialRequirementModifier().name.rsplit("_", 1)[-1]
    condition: Literal["", "M", "L"] = "M" if material == "M" else "L" if material == "L" else ""
    count, position, direction = _faces_of(label)
    return PmiCandidate(
        family="tolerance",
        kind=kind,
        value=round(value, _DIGITS),
        unit="mm",
        diameter_zone="Diameter" in tolerance.GetTypeOfValue().name,
        material_condition=condition,
        modifiers=tuple(
            _words(m.name.split("GeomToleranceModif_")[-1], " ")
            for m in _sequence(tolerance.GetModifiers())
        ),
        datums=_datums_of(label, tool),
        faces=count,
        position=position,
        direction=direction,
        name=_text(tolerance.GetPresentationName()),
    )


def _datums_of(label: TDF_Label, tool: XCAFDoc_DimTolTool) -> tuple[str, ...]:
    found = containers.Sequence_TDF_Label()
    tool.GetDatumOfTolerLabels_s(label, found)
    placed: dict[int, str] = {}
    for owner in labels(found):
        held = attribute(owner, "GetObject")
        datum = held.GetObject() if held is not None else None
        if datum is None:
            continue
        name = _text(datum.GetName())
        marks = {m.name.rsplit("_", 1)[-1] for m in _sequence(datum.GetModifiers())}
        if "MaximumMaterialRequirement" in marks:
            name += "(M)"
        elif "LeastMaterialRequirement" in marks:
            name += "(L)"
        place = int(datum.GetPosition())
        # two datums at one place are a common datum, ISO 5459: A-B
        placed[place] = f"{placed[place]}-{name}" if place in placed else name
    return tuple(placed[place] for place in sorted(placed))


def read_pmi(document: TDocStd_Document) -> Pmi:
    """Candidates, datum letters and an honest count of what was left aside."""
    tool = XCAFDoc_DocumentTool.DimTolTool_s(document.Main())
    dimensions, tolerances = containers.Sequence_TDF_Label(), containers.Sequence_TDF_Label()
    datums = containers.Sequence_TDF_Label()
    tool.GetDimensionLabels(dimensions)
    tool.GetGeomToleranceLabels(tolerances)
    tool.GetDatumLabels(datums)
    candidates: list[PmiCandidate] = []
    missed: list[str] = []
    results = [_dimension(label) for label in labels(dimensions)]
    results += [_tolerance(label, tool) for label in labels(tolerances)]
    for result in results:
        if isinstance(result, str):
            missed.append(result)
        elif result is not None:
            candidates.append(result)
    letters = set()
    for label in labels(datums):
        held = attribute(label, "GetObject")
        datum = held.GetObject() if held is not None else None
        if datum is not None:
            letters.add(_text(datum.GetName()))
    return Pmi(tuple(candidates), tuple(sorted(letters - {""})), datums.Length(), tuple(missed))
