"""Learn from past projects: our should-cost, the shops, the spreads; propose rates."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import asdict, dataclass
from decimal import Decimal
from math import log
from pathlib import Path
from typing import Any

import numpy as np

from rfq.documents.history_data import history_parquet
from rfq.engine.compare.matrix import compare
from rfq.engine.compare.variances import OwnSpread, PastTable, own_spread
from rfq.engine.history.market import Coverage, Group, coverage, market, part_means, sound
from rfq.engine.history.observations import Observation, observations
from rfq.engine.history.rates import ProposedRates, proposed_rates, with_rates
from rfq.engine.history.shops import ShopHistory, shops_history
from rfq.model.rates import OwnSpreads, Rates
from rfq.problems import Place, Problem, Severity
from rfq.store.ecb import exchange_rates
from rfq.store.files import atomic_write
from rfq.store.save import changes
from rfq.tasks.compare import newest_round
from rfq.tasks.cost import estimates_of, lines_of
from rfq.tasks.done import Done, Stopped
from rfq.tasks.letters import stop
from rfq.tasks.open import Opened, moment_of, opened, today_of

BAND_TO_SD = 2.563  # 10th to 90th percentile of a normal distribution, in standard deviations
Progress = Callable[[str], object]


@dataclass(frozen=True, slots=True)
class History:
    """What past projects say.

    Args:
        rows: one a price. projects: read. groups: market over should-cost. shops: theirs.
        coverage: how often the band held. spread: for the odd-price model.
        rates: proposed, for the project they were asked for (or for shipped rates).
    """

    rows: tuple[Observation, ...]
    projects: int
    groups: tuple[Group, ...]
    shops: tuple[ShopHistory, ...]
    coverage: Coverage
    spread: OwnSpread
    rates: ProposedRates


def history(
    folders: Sequence[Path], *, apply_to: Path | None = None, progress: Progress | None = None
) -> Done[History]:
    """Read project folders (and those below) and say what their prices teach.

    Args:
        folders: projects, or folders that hold projects.
        apply_to: the project that rates would be changed of; nothing is changed here.
        progress: told about each project.
    Problems: F301 a project that cannot be read, left out (note).
    Raises:
        Stopped: no project below the folders.
    """
    found = _projects(folders)
    if not found:
        said = ", ".join(map(str, folders))
        raise stop("F300", f"there is no project (project.toml) in {said} or below.")
    rows: list[Observation] = []
    notes: list[Problem] = []
    read = 0
    names = _names(found)
    for folder in found:
        if progress is not None:
            progress(str(folder))
        try:
            here = opened(folder)
        except Stopped as error:
            notes.append(_left_out(folder, error.problems))
            continue
        read += 1
        rows += _observed(here, names[folder])
    rates = opened(apply_to).project.rates if apply_to is not None else Rates()
    value = History(
        tuple(rows), read, market(rows), shops_history(rows), coverage(rows),
        own_spread(_tables(rows)), proposed_rates(rows, rates),
    )  # fmt: skip
    return Done(value, tuple(notes))


def write_history(value: History, to: Path) -> Done[Path]:
    """Write the data set as Parquet. Internal: it holds should-costs and every shop's prices."""
    atomic_write(to, history_parquet(value.rows))
    return Done(to, (), (to,))


def apply_rates(value: History, project: Path) -> Done[Rates]:
    """Put the proposed rates into a project's rates; asked for with a yes only.

    Raises:
        Stopped: none are proposed.
    """
    if value.rates.factor is None and not value.spread.own:
        raise stop("F302", f"no rates are proposed: {value.rates.why}.")
    here = opened(project)
    source = f"own history: {len(value.rows)} prices of {value.projects} projects"
    rates = here.project.rates
    if value.rates.factor is not None:
        rates = with_rates(rates, value.rates, source)
    if value.spread.own:
        rates = rates.model_copy(update={"spreads": _spreads(value.spread, here)})
    with changes(
        here.folder, "rates changed by history", project=here.project, detail=value.rates.why,
        at=moment_of(here.project),
    ) as change:  # fmt: skip
        change.put(rates, key="rates")
    return Done(rates, (), change.written)


def _spreads(found: OwnSpread, here: Opened) -> OwnSpreads:
    """The estimated spreads as a project keeps them, three digits each."""
    figures = {name: Decimal(f"{figure:.3f}") for name, figure in asdict(found.spread).items()}
    return OwnSpreads(**figures, prices=found.prices, on=moment_of(here.project).date())


def before_and_after(value: History, project: Path) -> Done[tuple[float, float] | None]:
    """Return market over should-cost of one project with its rates and with the proposed ones.

    None where nothing is proposed, or the project has no price to compare.
    """
    if value.rates.factor is None:
        return Done(None)
    here = opened(project)
    source = "proposed"
    changed = here.project.model_copy(
        update={"rates": with_rates(here.project.rates, value.rates, source)}
    )
    means = [
        part_means(sound(_observed(one, "x")))
        for one in (here, Opened(here.folder, changed, here.problems))
    ]
    if not all(means):
        return Done(None)
    first, second = (float(np.exp(np.mean(values))) for values in means)
    return Done((first, second))


def _projects(folders: Iterable[Path]) -> list[Path]:
    found: dict[Path, None] = {}
    for folder in folders:
        for path in sorted(folder.rglob("project.toml")):
            if ".rfq" not in path.parts:
                found[path.parent.resolve()] = None
    return list(found)


def _names(folders: Sequence[Path]) -> dict[Path, str]:
    """A short name of each project; the whole path only where two would be the same."""
    plain = [folder.name for folder in folders]
    return {
        folder: folder.name if plain.count(folder.name) == 1 else folder.as_posix()
        for folder in folders
    }


def _observed(here: Opened, name: str) -> list[Observation]:
    project = here.project
    found: list[Observation] = []
    day = today_of(project)
    for request in project.requests.values():
        quotes = [quote for quote in project.quotes if quote.request == request.id]
        if not quotes:
            continue
        number = newest_round(project, request)
        estimates, _ = estimates_of(project, request, lines_of(request))
        codes = {project.settings.currency, *(quote.currency for quote in quotes)}
        codes |= {price.currency for quote in quotes for price in quote.prices if price.currency}
        rates_day = project.rates.exchange_day or day
        exchange, _ = exchange_rates(rates_day, codes, project.rates.exchange)
        seen = max(quote.received for quote in quotes).date()
        result = compare(
            project, request, number, seen, exchange, estimates,
            what_ifs=False,
        )  # fmt: skip
        found += observations(project, request, result, estimates, name)
    return found


def _tables(rows: Iterable[Observation]) -> list[PastTable]:
    """One table a request, for the spreads of the odd-price model."""
    requests: dict[tuple[str, str], list[Observation]] = {}
    for row in rows:
        if row.log_ratio is not None:
            requests.setdefault((row.project, row.request), []).append(row)
    tables = []
    for mine in requests.values():
        lines = {line: i for i, line in enumerate(dict.fromkeys(row.line for row in mine))}
        shops = {shop: j for j, shop in enumerate(dict.fromkeys(row.shop for row in mine))}
        ratio = np.full((len(lines), len(shops)), np.nan)
        width = np.full(len(lines), np.nan)
        out = np.zeros(ratio.shape, dtype=bool)
        for row in mine:
            i, j = lines[row.line], shops[row.shop]
            ratio[i, j] = row.log_ratio if row.log_ratio is not None else np.nan
            out[i, j] = row.odd
            if row.low and row.high:
                width[i] = log(row.high / row.low) / BAND_TO_SD
        tables.append(PastTable(ratio, width, out))
    return tables


def _left_out(folder: Path, problems: tuple[Problem, ...]) -> Problem:
    said = str(problems[0]) if problems else "it cannot be read"
    return Problem("F301", f"left out: {said}", Place(str(folder)), Severity.NOTE)


def history_json(value: History) -> dict[str, Any]:
    """Return what was learnt as plain values, without the single prices."""
    return {
        "projects": value.projects,
        "prices": len(value.rows),
        "odd_prices": sum(row.odd for row in value.rows),
        "groups": [asdict(group) | {"words": group.words} for group in value.groups],
        "shops": [asdict(shop) | {"words": shop.words} for shop in value.shops],
        "coverage": asdict(value.coverage) | {"words": value.coverage.words},
        "spread": {
            "own": value.spread.own,
            "prices": value.spread.prices,
            "set_aside": value.spread.set_aside,
            **asdict(value.spread.spread),
        },
        "rates": {
            "factor": value.rates.factor,
            "why": value.rates.why,
            "before": {n: [str(v) for v in vs] for n, vs in value.rates.before.items()},
            "after": {n: [str(v) for v in vs] for n, vs in value.rates.after.items()},
        },
    }
