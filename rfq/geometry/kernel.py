"""Read a STEP file with the geometry kernel: solids, names, units, volume, boxes.

Runs in the child process only (``kernel_main``). With ``faces``, ``rays``, ``views`` and ``pmi`` it
is all that imports the kernel's binding. One reader pass gives geometry and PMI together.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import OCP.OCP.collections as containers
from OCP.Bnd import Bnd_Box, Bnd_OBB
from OCP.BRep import BRep_Builder, BRep_Tool
from OCP.BRepBndLib import BRepBndLib
from OCP.BRepGProp import BRepGProp
from OCP.GProp import GProp_GProps
from OCP.IFSelect import IFSelect_ReturnStatus
from OCP.STEPCAFControl import STEPCAFControl_Reader
from OCP.TCollection import TCollection_ExtendedString
from OCP.TDataStd import TDataStd_Name
from OCP.TDF import TDF_AttributeIterator, TDF_Label
from OCP.TDocStd import TDocStd_Document
from OCP.TopAbs import TopAbs_ShapeEnum
from OCP.TopExp import TopExp_Explorer
from OCP.TopoDS import TopoDS, TopoDS_Compound, TopoDS_Shape
from OCP.XCAFDoc import XCAFDoc_DocumentTool, XCAFDoc_ShapeTool

from rfq.geometry.shape import Body
from rfq.geometry.vectors import Vector, rounded

MOST_OCCURRENCES = 5000
"""Solids of an assembly looked at; beyond it the file is no part for a request."""


class NotMeasurable(Exception):
    """The file holds nothing that can be measured; carries a problem code and the sentence."""

    def __init__(self, code: str, message: str) -> None:
        super().__init__(message)
        self.code = code


@dataclass(slots=True)
class Loaded:
    """A file as the kernel holds it."""

    shape: TopoDS_Shape
    document: TDocStd_Document
    unit: str
    volume_in_file_mm3: float | None
    faces_lost: int  # faces the file describes that are in no solid
    solids: list[tuple[str, TopoDS_Shape]] = field(default_factory=list)
    bodies: list[tuple[Body, list[TopoDS_Shape]]] = field(default_factory=list)


def attribute(label: TDF_Label, method: str) -> Any:
    """The first attribute of ``label`` that has ``method``, or None.

    The binding's own look-up cannot hand its result back, hence the walk.
    """
    walk = TDF_AttributeIterator(label)
    while walk.More():
        found = walk.Value()
        if hasattr(found, method):
            return found
        walk.Next()
    return None


def labels(sequence: Any) -> list[TDF_Label]:
    """A kernel sequence of labels as a list."""
    return [sequence.Value(place) for place in range(1, sequence.Length() + 1)]


def _name(label: TDF_Label) -> str:
    walk = TDF_AttributeIterator(label)
    while walk.More():
        found = walk.Value()
        if isinstance(found, TDataStd_Name):
            return str(found.Get().ToExtString()).strip()
        walk.Next()
    return ""


def parts_of(shape: TopoDS_Shape, kind: TopAbs_ShapeEnum) -> list[TopoDS_Shape]:
    """All sub-shapes of one kind, instances counted each."""
    found = []
    explorer = TopExp_Explorer(shape, kind)
    while explorer.More():
        found.append(explorer.Current())
        explorer.Next()
        if len(found) > 200_000:
            raise NotMeasurable(
                "G006", "holds more than 200,000 faces or solids; a request needs a single part"
            )
    return found


def pick(loaded: Loaded, number: int) -> TopoDS_Shape:
    """The shape to be measured: one body, or all when ``number`` is 0."""
    if number:
        for body, alike in loaded.bodies:
            if body.number == number:
                return alike[0]
        raise NotMeasurable(
            "G007", f"has no body number {number}; it has 1 to {len(loaded.bodies)}"
        )
    return loaded.solids[0][1] if len(loaded.solids) == 1 else loaded.shape


def volume_mm3(shape: TopoDS_Shape) -> tuple[float, Vector]:
    """Volume and its centre."""
    properties = GProp_GProps()
    BRepGProp.VolumeProperties_s(shape, properties)
    centre = properties.CentreOfMass()
    return properties.Mass(), (centre.X(), centre.Y(), centre.Z())


def area_mm2(shape: TopoDS_Shape) -> float:
    """Area of all faces."""
    properties = GProp_GProps()
    BRepGProp.SurfaceProperties_s(shape, properties)
    return float(properties.Mass())


def box(shape: TopoDS_Shape) -> tuple[Vector, Vector]:
    """Low and high corner of the tight box along the model's axes."""
    bounds = Bnd_Box()
    BRepBndLib.AddOptimal_s(shape, bounds, False, False)
    if bounds.IsVoid():
        raise NotMeasurable("G003", "holds no geometry; export the part as a solid")
    low, high = bounds.CornerMin(), bounds.CornerMax()
    return (low.X(), low.Y(), low.Z()), (high.X(), high.Y(), high.Z())


def oriented_box(shape: TopoDS_Shape) -> Vector:
    """Edges of the smallest box the kernel finds in any attitude, long to short."""
    bounds = Bnd_OBB()
    BRepBndLib.AddOBB_s(shape, bounds, False, True, False)
    sizes = sorted((2 * bounds.XHSize(), 2 * bounds.YHSize(), 2 * bounds.ZHSize()), reverse=True)
    return (sizes[0], sizes[1], sizes[2])


def load(path: Path, *, pmi: bool = True) -> Loaded:
    """Read and transfer a STEP file, millimetres whatever its unit.

    Args:
        path: the file.
        pmi: whether its dimensions and tolerances are wanted too.

    Raises:
        NotMeasurable: no STEP structure, nothing in it, or only a mesh or open surfaces.
    """
    reader = STEPCAFControl_Reader()
    reader.SetGDTMode(pmi)
    reader.SetNameMode(True)
    reader.SetColorMode(False)
    reader.SetLayerMode(False)
    document = TDocStd_Document(TCollection_ExtendedString("XmlXCAF"))
    if reader.ReadFile(str(path)) != IFSelect_ReturnStatus.IFSelect_RetDone:
        raise NotMeasurable(
            "G001", "cannot be read as STEP (ISO 10303-21); export it again from the modeller"
        )
    units = containers.Sequence_TCollection_AsciiString()
    angles = containers.Sequence_TCollection_AsciiString()
    solid_angles = containers.Sequence_TCollection_AsciiString()
    reader.ChangeReader().FileUnits(units, angles, solid_angles)
    unit = units.Value(1).ToCString().lower() if units.Length() else ""
    reader.Transfer(document)
    tool = XCAFDoc_DocumentTool.ShapeTool_s(document.Main())
    free = containers.Sequence_TDF_Label()
    tool.GetFreeShapes(free)
    compound = TopoDS_Compound()
    builder = BRep_Builder()
    builder.MakeCompound(compound)
    solids: list[tuple[str, TopoDS_Shape]] = []
    for label in labels(free):
        shape = XCAFDoc_ShapeTool.GetShape_s(label)
        if shape is None or shape.IsNull():
            continue
        builder.Add(compound, shape)
        solids.extend(_named_solids(label, shape))
    text = path.read_text(encoding="latin-1")
    if not solids:
        raise _without_solid(compound, text)
    faces = parts_of(compound, TopAbs_ShapeEnum.TopAbs_FACE)
    if any(_is_mesh(face) for face in faces):
        raise NotMeasurable("G004", _MESH)
    in_solids = sum(len(parts_of(s, TopAbs_ShapeEnum.TopAbs_FACE)) for _, s in solids)
    lost = max(0, len(_FACE.findall(text)) - in_solids)
    loaded = Loaded(compound, document, unit, _volume_in_file(text, unit), lost, solids)
    loaded.bodies = _bodies(solids)
    if any(body.volume_mm3 <= 0 for body, _ in loaded.bodies):
        raise NotMeasurable(
            "G004",
            "encloses no positive volume: a mesh, or a solid turned inside out;"
            " export it again as a closed solid",
        )
    return loaded


def _named_solids(label: TDF_Label, shape: TopoDS_Shape) -> list[tuple[str, TopoDS_Shape]]:
    """Every solid under a label with its part's name, instances at their places."""
    found: list[tuple[str, TopoDS_Shape]] = []
    if XCAFDoc_ShapeTool.IsAssembly_s(label):
        _walk(label, [], found)
    whole = parts_of(shape, TopAbs_ShapeEnum.TopAbs_SOLID)
    if len(found) == len(whole):
        return found
    name = _name(label)  # not an assembly, or one the walk did not see whole
    return [(name, solid) for solid in whole]


def _walk(label: TDF_Label, places: list[Any], found: list[tuple[str, TopoDS_Shape]]) -> None:
    components = containers.Sequence_TDF_Label()
    XCAFDoc_ShapeTool.GetComponents_s(label, components)
    for component in labels(components):
        if len(found) > MOST_OCCURRENCES or len(places) > 50:
            raise NotMeasurable(
                "G006", f"holds more than {MOST_OCCURRENCES} parts; export the one to be made"
            )
        referred = TDF_Label()
        if not XCAFDoc_ShapeTool.GetReferredShape_s(component, referred):
            continue
        inner = [*places, XCAFDoc_ShapeTool.GetLocation_s(component)]
        if XCAFDoc_ShapeTool.IsAssembly_s(referred):
            _walk(referred, inner, found)
            continue
        shape = XCAFDoc_ShapeTool.GetShape_s(referred)
        for place in reversed(inner):
            shape = shape.Moved(place)
        name = _name(referred) or _name(component)
        found.extend((name, solid) for solid in parts_of(shape, TopAbs_ShapeEnum.TopAbs_SOLID))


_MESH = "holds only a tessellated mesh; export it as a solid (boundary representation)"


def _is_mesh(face: TopoDS_Shape) -> bool:
    """Whether a face is nothing but triangles."""
    return BRep_Tool.Surface_s(TopoDS.Face(face)) is None


def _without_solid(shape: TopoDS_Shape, text: str) -> NotMeasurable:
    """Why there is nothing to measure."""
    if "TESSELLATED" in text or "TRIANGULATED" in text or "COORDINATES_LIST" in text:
        return NotMeasurable("G004", _MESH)
    if parts_of(shape, TopAbs_ShapeEnum.TopAbs_FACE):
        return NotMeasurable(
            "G003", "holds surfaces but no closed solid; knit them into a solid and export again"
        )
    return NotMeasurable("G003", "holds no solid; export the part itself, not a drawing or a link")


_FACE = re.compile(r"\b(?:ADVANCED_FACE|FACE_SURFACE)\s*\(")
_VOLUME = re.compile(r"'volume measure'\s*,\s*VOLUME_MEASURE\s*\(\s*([0-9.Ee+-]+)\s*\)", re.I)
_CUBED = {"inch": 25.4**3, "metre": 1e9, "centimetre": 1e3, "foot": 304.8**3}


def _volume_in_file(text: str, unit: str) -> float | None:
    """The file's own validation volume (ISO 10303-59), if it gives one and the same throughout."""
    figures = {round(float(number), 6) for number in _VOLUME.findall(text)}
    return figures.pop() * _CUBED.get(unit, 1.0) if len(figures) == 1 else None


_RUNNING_NUMBER = re.compile(r"[\s_:.\-]*\d*$")


def _bodies(solids: list[tuple[str, TopoDS_Shape]]) -> list[tuple[Body, list[TopoDS_Shape]]]:
    """Solids that are alike (volume, area, faces, name) are one body with a count.

    The name keeps a left part from its mirrored right one; a running number after it does not.
    """
    kinds: dict[tuple[str, str, str, int], tuple[list[float], list[TopoDS_Shape]]] = {}
    for name, solid in solids:
        faces = len(parts_of(solid, TopAbs_ShapeEnum.TopAbs_FACE))
        figures = [volume_mm3(solid)[0], area_mm2(solid)]
        core = _RUNNING_NUMBER.sub("", name)
        key = (core, f"{figures[0]:.6g}", f"{figures[1]:.6g}", faces)
        kinds.setdefault(key, (figures, []))[1].append(solid)
    bodies = []
    for number, (key, (figures, alike)) in enumerate(kinds.items(), start=1):
        low, high = box(alike[0])
        body = Body(
            number=number,
            name=key[0] or f"body {number}",
            count=len(alike),
            volume_mm3=round(figures[0], 3),
            area_mm2=round(figures[1], 3),
            box_mm=rounded((high[0] - low[0], high[1] - low[1], high[2] - low[2])),
        )
        bodies.append((body, alike))
    return bodies
