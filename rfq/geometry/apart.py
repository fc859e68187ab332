"""One body written as a STEP file of its own (child process only)."""

from __future__ import annotations

import re
from pathlib import Path

from OCP.APIHeaderSection import APIHeaderSection_MakeHeader
from OCP.IFSelect import IFSelect_ReturnStatus
from OCP.Interface import Interface_Static
from OCP.STEPControl import STEPControl_StepModelType, STEPControl_Writer
from OCP.TCollection import TCollection_HAsciiString
from OCP.TopoDS import TopoDS_Shape

from rfq.geometry.kernel import NotMeasurable

_MOMENT = "1970-01-01T00:00:00"
"""Written in place of the clock's, so that the same body gives the same bytes."""


def step_text(body: TopoDS_Shape, name: str, folder: Path) -> str:
    """The STEP text (AP242, millimetres) of one body; its header names nobody.

    Args:
        body: a solid, at the place where the file has it.
        name: of the product.
        folder: where a file may lie for a moment.

    Raises:
        NotMeasurable: the kernel does not write it.
    """
    plain = re.sub(r"[^\x20-\x7e]", "_", name).replace("'", "_")
    writer = STEPControl_Writer()
    Interface_Static.SetCVal_s("write.step.schema", "AP242DIS")
    Interface_Static.SetCVal_s("write.step.unit", "MM")
    Interface_Static.SetCVal_s("write.step.product.name", plain)
    writer.Transfer(body, STEPControl_StepModelType.STEPControl_AsIs)
    header, text = APIHeaderSection_MakeHeader(writer.Model()), TCollection_HAsciiString
    header.SetName(text(plain))
    header.SetTimeStamp(text(_MOMENT))
    header.SetAuthorValue(1, text(""))
    header.SetOrganizationValue(1, text(""))
    header.SetDescriptionValue(1, text(plain))
    header.SetAuthorisation(text(""))
    header.SetOriginatingSystem(text(""))
    header.SetPreprocessorVersion(text(""))
    path = folder / "body.step"
    if writer.Write(str(path)) != IFSelect_ReturnStatus.IFSelect_RetDone:
        raise NotMeasurable("G005", "has a body the kernel cannot write; export it alone")
    written = path.read_text(encoding="ascii")
    path.unlink()
    # the writer numbers its products through one process; a part's name ends where it ends
    return re.sub(rf"'{re.escape(plain)} \d+'", f"'{plain}'", written)
