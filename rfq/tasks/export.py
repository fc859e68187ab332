"""Write the comparison in the forms other programs read. Internal, and marked so."""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path

from rfq.model.comparison import Comparison
from rfq.model.estimate import RouteComparison
from rfq.model.project import Project
from rfq.problems import Unwritable
from rfq.store.files import atomic_write
from rfq.tasks.compare import compare_opened, comparison_json
from rfq.tasks.done import Done
from rfq.tasks.open import opened

KINDS = ("csv", "xlsx", "parquet", "json", "pdf")


def export_project(
    path: Path,
    folder: Path,
    *,
    kinds: Sequence[str] = KINDS,
    round_: int | None = None,
    request_id: str = "",
    as_of: str = "",
) -> Done[tuple[Path, ...]]:
    """Write the comparison of a round into a folder, one file a kind.

    Args:
        path: the project.
        folder: is made where it is missing; files of the same name are replaced.
        kinds: of csv, xlsx, parquet, json, pdf.
        round_, request_id, as_of: see ``compare_project``.
    Raises:
        Unwritable: the folder cannot be written.
    """
    here = opened(path)
    done = compare_opened(here, round_=round_, request_id=request_id, as_of=as_of)
    comparison = done.value
    name = f"comparison-{comparison.request}-round{comparison.round}"
    written = []
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise Unwritable(f"{folder} cannot be made: {error.strerror}.") from error
    for kind in kinds:
        target = folder / f"{name}.{kind}"
        atomic_write(target, _bytes(kind, here.project, comparison))
        written.append(target)
    return Done(tuple(written), done.problems, tuple(written))


def _routes(project: Project, comparison: Comparison) -> tuple[RouteComparison, ...]:
    """Return the routes of the parts that allow more than one."""
    from rfq.engine.cost.errors import EstimateError
    from rfq.engine.cost.routes import routes

    request = project.request(comparison.request)
    found = []
    for line in request.lines if request else ():
        part = project.parts.get(line.part)
        if part is None or not (part.other_routes or part.other_materials):
            continue
        try:
            found.append(routes(part, line.quantities, project.rates, request=request))
        except EstimateError:
            continue  # said already beside the part's missing band
    return tuple(found)


def _bytes(kind: str, project: Project, comparison: Comparison) -> bytes:
    if kind == "json":
        return json.dumps(comparison_json(comparison), indent=1, ensure_ascii=False).encode()
    if kind == "pdf":
        from rfq.documents.comparison_pdf import comparison_pdf

        return comparison_pdf(project, comparison, routes=_routes(project, comparison))
    if kind == "xlsx":
        from rfq.documents.comparison_xlsx import comparison_xlsx

        return comparison_xlsx(comparison)
    from rfq.documents.frames import as_csv, as_parquet

    return as_csv(comparison) if kind == "csv" else as_parquet(comparison)
