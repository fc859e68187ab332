"""Shapes with known answers, built by the same kernel the measuring uses; see test_made_shapes."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any


def kernel() -> Any:
    """The names of the kernel used here, in one place; loaded only when a test runs."""
    from types import SimpleNamespace

    from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut, BRepAlgoAPI_Fuse
    from OCP.BRepFilletAPI import BRepFilletAPI_MakeFillet
    from OCP.BRepPrimAPI import BRepPrimAPI_MakeBox, BRepPrimAPI_MakeCone, BRepPrimAPI_MakeCylinder
    from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt

    return SimpleNamespace(
        cut=BRepAlgoAPI_Cut,
        fuse=BRepAlgoAPI_Fuse,
        fillet=BRepFilletAPI_MakeFillet,
        box=BRepPrimAPI_MakeBox,
        cone=BRepPrimAPI_MakeCone,
        cylinder=BRepPrimAPI_MakeCylinder,
        ax2=gp_Ax2,
        dir=gp_Dir,
        pnt=gp_Pnt,
    )


def box(low: tuple[float, ...], size: tuple[float, ...]) -> Any:
    k = kernel()
    high = [a + b for a, b in zip(low, size, strict=True)]
    return k.box(k.pnt(*low), k.pnt(*high)).Shape()


def cylinder(at: tuple[float, ...], along: tuple[float, ...], radius: float, height: float) -> Any:
    k = kernel()
    return k.cylinder(k.ax2(k.pnt(*at), k.dir(*along)), radius, height).Shape()


def cone(
    at: tuple[float, ...], along: tuple[float, ...], low: float, high: float, height: float
) -> Any:
    k = kernel()
    return k.cone(k.ax2(k.pnt(*at), k.dir(*along)), low, high, height).Shape()


def cut(shape: Any, *tools: Any) -> Any:
    for tool in tools:
        shape = kernel().cut(shape, tool).Shape()
    return shape


def fuse(shape: Any, *others: Any) -> Any:
    from OCP.ShapeUpgrade import ShapeUpgrade_UnifySameDomain

    for other in others:
        shape = kernel().fuse(shape, other).Shape()
    merged = ShapeUpgrade_UnifySameDomain(shape, True, True, False)
    merged.Build()
    return merged.Shape()


def edges_where(shape: Any, wanted: Any) -> list[Any]:
    """Edges whose two end points satisfy ``wanted(a, b)``, each once."""
    import OCP.OCP.collections as containers
    from OCP.BRepAdaptor import BRepAdaptor_Curve
    from OCP.TopAbs import TopAbs_ShapeEnum
    from OCP.TopExp import TopExp
    from OCP.TopoDS import TopoDS

    found = containers.IndexedMap_TopoDS_Shape_TopTools_ShapeMapHasher()
    TopExp.MapShapes_s(shape, TopAbs_ShapeEnum.TopAbs_EDGE, found)
    picked = []
    for place in range(1, found.Extent() + 1):
        edge = TopoDS.Edge(found.FindKey(place))
        curve = BRepAdaptor_Curve(edge)
        ends = [curve.Value(curve.FirstParameter()), curve.Value(curve.LastParameter())]
        a, b = [(p.X(), p.Y(), p.Z()) for p in ends]
        if wanted(a, b):
            picked.append(edge)
    return picked


def fillet(shape: Any, radius: float, wanted: Any) -> Any:
    rounding = kernel().fillet(shape)
    for edge in edges_where(shape, wanted):
        rounding.Add(radius, edge)
    return rounding.Shape()


def chamfer(shape: Any, leg: float, wanted: Any) -> Any:
    from OCP.BRepFilletAPI import BRepFilletAPI_MakeChamfer

    breaking = BRepFilletAPI_MakeChamfer(shape)
    for edge in edges_where(shape, wanted):
        breaking.Add(leg, edge)
    return breaking.Shape()


def ring_at(z: float, radius: float) -> Any:
    """Picks closed edges (circles about z) of one radius at one height."""

    def wanted(a: tuple[float, ...], b: tuple[float, ...]) -> bool:
        closed = max(abs(x - y) for x, y in zip(a, b, strict=True)) < 1e-6
        return (
            closed and abs(a[2] - z) < 1e-6 and abs((a[0] ** 2 + a[1] ** 2) ** 0.5 - radius) < 1e-6
        )

    return wanted


def upright(a: tuple[float, ...], b: tuple[float, ...]) -> bool:
    """Whether an edge runs along z."""
    return abs(a[0] - b[0]) < 1e-6 and abs(a[1] - b[1]) < 1e-6 and abs(a[2] - b[2]) > 1e-6


def write_step(
    path: Path, shape: Any, *, name: str, moment: str = "2026-01-05T08:00:00", unit: str = "MM"
) -> Path:
    """A STEP file whose header names nobody and whose bytes depend on the shape alone."""
    from OCP.APIHeaderSection import APIHeaderSection_MakeHeader
    from OCP.Interface import Interface_Static
    from OCP.STEPControl import STEPControl_StepModelType, STEPControl_Writer
    from OCP.TCollection import TCollection_HAsciiString

    writer = STEPControl_Writer()
    Interface_Static.SetCVal_s("write.step.schema", "AP242DIS")
    Interface_Static.SetCVal_s("write.step.product.name", name)
    Interface_Static.SetCVal_s("write.step.unit", unit)
    writer.Transfer(shape, STEPControl_StepModelType.STEPControl_AsIs)
    header = APIHeaderSection_MakeHeader(writer.Model())
    text = TCollection_HAsciiString
    header.SetName(text(name))
    header.SetTimeStamp(text(moment))
    header.SetAuthorValue(1, text(""))
    header.SetOrganizationValue(1, text(""))
    header.SetDescriptionValue(1, text(name))
    header.SetAuthorisation(text(""))
    header.SetOriginatingSystem(text(""))
    header.SetPreprocessorVersion(text(""))
    writer.Write(str(path))
    # the writer numbers its products through one process; a part's name ends where it ends
    text_ = path.read_text(encoding="ascii")
    path.write_text(re.sub(rf"'{re.escape(name)} \d+'", f"'{name}'", text_), encoding="ascii")
    return path


def write_assembly(path: Path) -> Path:
    """A plate of 60 x 40 x 5 on four pins of diameter 6, 12 long, as parts with names."""
    from OCP.gp import gp_Trsf, gp_Vec
    from OCP.STEPCAFControl import STEPCAFControl_Writer
    from OCP.TCollection import TCollection_ExtendedString
    from OCP.TDataStd import TDataStd_Name
    from OCP.TDocStd import TDocStd_Document
    from OCP.TopLoc import TopLoc_Location
    from OCP.XCAFDoc import XCAFDoc_DocumentTool

    document = TDocStd_Document(TCollection_ExtendedString("XmlXCAF"))
    tool = XCAFDoc_DocumentTool.ShapeTool_s(document.Main())
    whole = tool.NewShape()
    for name, made, count in (
        ("pin", cylinder((0, 0, 0), (0, 0, 1), 3, 12), 4),
        ("plate", box((0, 0, 20), (60.0, 40.0, 5.0)), 1),
    ):
        part = tool.AddShape(made, False)
        TDataStd_Name.Set_s(part, TCollection_ExtendedString(name))
        for k in range(count):
            place = gp_Trsf()
            place.SetTranslation(gp_Vec(10.0 * k, 0, 0))
            tool.AddComponent(whole, part, TopLoc_Location(place))
    tool.UpdateAssemblies()
    writer = STEPCAFControl_Writer()
    writer.Transfer(document)
    writer.Write(str(path))
    return path
