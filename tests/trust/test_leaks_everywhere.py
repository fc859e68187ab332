"""Nothing internal leaves: every internal text of a project is a marker, and no marker goes out.

The whole job is run on the demo with a marker planted in every internal field: packages, a
question and its answer, letters of a round, targets, awards and declines, orders, the form of a
first article and its decision. Then every file that a shop would get is looked at, packed or
not, for markers that belong to nobody outside, for those of other shops, and for figures of other
shops and of our should-cost. ``python -m pytest -m benchmark`` does it for 100 made projects.

Which text is internal is said below for every text field of the model; a new field fails here
until someone has said what it is.
"""

from __future__ import annotations

import io
import re
import shutil
import typing
import zipfile
from collections.abc import Iterable
from email import message_from_bytes
from pathlib import Path
from typing import Any

import pytest
from pydantic import BaseModel
from pypdf import PdfReader

from rfq.cli.main import main
from rfq.documents.leaks import leak_scan
from rfq.model.project import Project
from rfq.store.load import load_project
from rfq.store.save import changes
from rfq.tasks.request import make_packages

# Never leave, whoever it is about.
INTERNAL = {
    "Settings": {"internal_note"},
    "Part": {"internal_note", "responsible"},
    "Callout": {"internal_note"},
    "OwnShouldCost": {"source"},
    "Shape": set(),
    "Request": {"internal_note"},
    "Override": {"reason", "by"},
    "Shop": {"internal_note", "payment"},
    "Shutdown": {"why"},
    "ExchangeRate": {"source"},
    "Freight": {"source"},
    "Duty": {"source"},
    "Rate": {"source"},
    "Quote": {"accepted_by", "internal_note"},
    "Price": {"evidence"},
    "TakenException": {"reason", "by"},
    "Clarification": {"internal_note", "consent"},
    "Award": {"by", "reason", "refused", "cautions"},
    "Proposal": {"note"},
    "ShareOf": {"reason"},
    "Event": {"by", "detail"},
    "DraftCell": {"raw", "understood", "comment"},
}
# Belong to one shop: it knows them, no other may.
OF_THE_SHOP = {
    "Shop": {"name", "address"},
    "Contact": {"name", "email", "phone"},
    "Quote": {"own_solution"},
    "Price": {"note", "one_off_name"},
    "Charge": {"name", "owner"},
    "Declined": {"reason"},
    "TakenException": {"text"},
    "Draft": {"sender"},
}
# Go out by their nature, or are codes, names of files and terms that everyone may see.
OPEN = {
    "Settings": "name currency company country address logo default_request",
    "Rates": "region customs_union parameters",
    "ExchangeRate": "currency",
    "Freight": "shop country currency",
    "Duty": "origin tariff_code",
    "Rate": "unit",
    "Part": "number revision name material temper material_standard material_note shop_note "
    "general_tolerance general_roughness edges free other_materials cosmetic marking "
    "customer_supplied assembly tariff_code",
    "Callout": "number what text zone measured_with note",
    "Finish": "name standard grade colour masked note",
    "FileRef": "path revision",
    "Shape": "measured",
    "OwnShouldCost": "currency",
    "Shop": "id country holidays_region currency language processes materials incoterm",
    "Request": "id title general_tolerance general_roughness datum_system edges cover_note changes",
    "RequestLine": "part",
    "Asked": "shop parts",
    "RequestTerms": "place payment sampling packing marking tooling confidentiality "
    "decision_rule other",
    "Override": "code subject",
    "Round": "request argument",
    "Quote": "shop request form currency",
    "Price": "part revision per lead material alternative",
    "Charge": "part",
    "QuoteTerms": "incoterm_text place validity_text places",
    "Payment": "text",
    "LeadTime": "text",
    "TakenException": "part callout",
    "Declined": "part",
    "Breakdown": "part elements",
    "Draft": "file sha256 shop form request",
    "ColumnMap": "sheet columns headings quantities per currency",
    "DraftCell": "meaning kind format",
    "Clarification": "id request raised_by to_shop part callout question answer sent_to",
    "Award": "id request",
    "Proposal": "name shops rule_prices",
    "ShareOf": "part revision shop currency",
    "Rules": "capacity least_order_value shop_fixed_cost forbidden only quantities",
    "Order": "id request award shop terms acknowledged_terms note",
    "OrderLine": "part revision currency disposition",
    "Acknowledged": "part revision place",
    "FirstArticle": "id request award part revision by reason",  # the engineer's, in the letter
    "Measured": "callout gauge by place",
    "ColumnMemory": "shop",
    "Event": "what about file sha256",
    "Project": "parts shops requests columns files hashes",
}
NOBODY = ""


def text_fields() -> dict[str, set[str]]:
    """Every field of the model that can hold a free text, by class."""
    found: dict[type, set[str]] = {}

    def parts_of(kind: Any) -> Iterable[Any]:
        yield kind
        for inner in typing.get_args(kind):
            yield from parts_of(inner)

    def walk(kind: Any) -> None:
        if not (isinstance(kind, type) and issubclass(kind, BaseModel)) or kind in found:
            return
        found[kind] = set()
        for name, field in kind.model_fields.items():
            said = str(field.annotation)
            if "str" in said and "Literal" not in said and "Problem" not in said:
                found[kind].add(name)
            for inner in parts_of(field.annotation):
                walk(inner)

    walk(Project)
    return {kind.__name__: names for kind, names in found.items() if names}


def test_every_text_of_the_model_is_internal_or_open() -> None:
    for kind, names in text_fields().items():
        said = INTERNAL.get(kind, set()) | OF_THE_SHOP.get(kind, set())
        said |= set(OPEN.get(kind, "").split())
        assert names <= said, f"say for {kind} whether {sorted(names - said)} may leave"


class Planter:
    """Replaces texts by markers, and remembers whose they are."""

    def __init__(self) -> None:
        self.owner: dict[str, str] = {}  # marker -> shop that may see it, or nobody

    def marker(self, kind: str, name: str, owner: str) -> str:
        word = f"MARK{len(self.owner):05d}{kind}{name}".replace("_", "")
        self.owner[word] = owner
        return word

    def planted(self, value: Any, owner: str = NOBODY) -> Any:
        """The same record with markers in place of its internal texts."""
        if isinstance(value, BaseModel):
            kind = type(value).__name__
            if kind == "Settings":  # our own address is on every letter
                return value.model_copy(update={"internal_note": self.marker(kind, "note", NOBODY)})
            owner = getattr(value, "id", "") if kind == "Shop" else getattr(value, "shop", owner)
            update: dict[str, Any] = {}
            for name in type(value).model_fields:
                inner = getattr(value, name)
                if name in INTERNAL.get(kind, ()):
                    update[name] = self.text(kind, name, inner, NOBODY)
                elif name in OF_THE_SHOP.get(kind, ()):
                    update[name] = self.text(kind, name, inner, owner)
                else:
                    update[name] = self.planted(inner, owner)
            return value.model_copy(update=update)
        if isinstance(value, tuple):
            return tuple(self.planted(one, owner) for one in value)
        if isinstance(value, dict):
            return {key: self.planted(one, owner) for key, one in value.items()}
        return value

    def text(self, kind: str, name: str, old: Any, owner: str) -> Any:
        if isinstance(old, tuple):
            return (self.marker(kind, name, owner),)
        if name == "email":
            return f"{self.marker(kind, name, owner)}@shops.example.com"
        return self.marker(kind, name, owner)

    def found(self, data: bytes) -> set[str]:
        """Markers in a file, unpacked as a reader would."""
        seen = {match for view in views(data) for match in MARKER.findall(view)}
        return {word for word in self.owner if word[:9] in seen}


MARKER = re.compile(r"MARK\d{5}")


def views(data: bytes, *, mail: bool = True) -> Iterable[str]:
    """What a file shows: itself, zip members, PDF text, streams and properties, mail parts.

    Our own, with other libraries than the product's look, so that both would have to be blind.
    """
    yield data.decode("latin-1")
    yield data.decode("utf-16", "ignore")
    if data[:2] == b"PK":
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            for info in archive.infolist():
                yield info.filename
                yield from views(archive.read(info))
    elif data[:5] == b"%PDF-":
        reader = PdfReader(io.BytesIO(data))
        yield str(reader.metadata) + str(reader.get_fields())
        for page in reader.pages:
            yield page.extract_text().replace("\n", "")
        for _, contents in reader.attachments.items():
            for one in contents:
                yield from views(one)
    elif mail and re.match(rb"(To|From|Subject|MIME-Version|X-Unsent|Content-Type):", data):
        for part in message_from_bytes(data).walk():
            yield str(part.items())
            if not part.is_multipart():
                yield from views(part.get_payload(decode=True) or b"", mail=False)


def rfq(*args: object) -> int:
    with pytest.raises(SystemExit) as stop:
        main([str(arg) for arg in args])
    return int(stop.value.code or 0)


def plant(folder: Path, planter: Planter, *kinds: str) -> None:
    """Plant markers in the stored records of some kinds."""
    project = load_project(folder).get()
    with changes(folder, "markers planted", project=project) as change:
        for kind in kinds:
            held = getattr(project, kind)
            for record in held.values() if isinstance(held, dict) else _several(held):
                change.put(planter.planted(record))


def _several(held: Any) -> tuple[Any, ...]:
    return held if isinstance(held, tuple) else (held,)


def outgoing_files(folder: Path, shops: Iterable[str]) -> dict[str, dict[str, bytes]]:
    """Every file a shop would get, by shop: packages, letters, orders, forms."""
    out: dict[str, dict[str, bytes]] = {shop: {} for shop in shops}
    for path in sorted((folder / "requests").rglob("*")):
        names = path.relative_to(folder).parts
        shop = next((name for name in names[:-1] if name in out), "")
        if path.is_file() and shop and path.suffix != ".toml" and "replies" not in names:
            out[shop]["/".join(names)] = path.read_bytes()
    return out


def own_figures(project: Project, shop: str) -> tuple[set[str], set[str]]:
    """(figures the shop gave, figures others gave) as they could be printed."""
    mine, others = set(), set()
    for quote in project.quotes:
        for price in quote.prices:
            for amount in (price.each, price.printed, price.one_off):
                if amount is not None and amount != amount.to_integral():
                    texts = {f"{amount:.2f}", f"{amount:.2f}".replace(".", ",")}
                    (mine if quote.shop == shop else others).update(texts)
    return mine, others - mine


def whole_job(source: Path, folder: Path, planter: Planter) -> None:
    shutil.copytree(source, folder, ignore=shutil.ignore_patterns("models"))
    for part in (folder / "parts").glob("*.toml"):  # without models, which take long to measure
        lines = part.read_text(encoding="utf-8").splitlines(keepends=True)
        part.write_text("".join(x for x in lines if not x.startswith("model =")), encoding="utf-8")
    plant(folder, planter, "settings", "rates", "parts", "shops", "requests")
    project = load_project(folder).get()
    request = project.request()
    assert request is not None
    first = next(iter(project.parts))
    make_packages(folder, as_of="2026-07-03", override=planter.marker("Override", "reason", NOBODY))
    for file in sorted((folder / "incoming").iterdir()):
        shop = file.name.split("-", 1)[0]
        rfq(
            "import",
            file,
            "--project",
            folder,
            "--shop",
            shop,
            "--accept",
            "--received",
            "2026-07-17",
        )
    plant(folder, planter, "quotes")
    asker = request.asked[0].shop
    rfq("rounds", folder, "ask", "May the chamfer be larger?", "--from", asker, "--part", first)
    rfq("rounds", folder, "ask", "Is your price for one piece?", "--to", asker, "--kind", "price")
    plant(folder, planter, "clarifications")
    for asked in load_project(folder).get().clarifications:
        rfq("rounds", folder, "answer", asked.id, "Yes, up to 0.5 mm.")
        rfq("rounds", folder, "send", asked.id)
    rfq("rounds", folder, "letters", "--remind")
    rfq("rounds", folder, "close")
    why, refused = (planter.marker("Award", name, NOBODY) for name in ("reason", "refused"))
    rfq("award", folder, "--seconds", 2, "--choose", "cheapest", "--reason", why,
        "--refused", refused)  # fmt: skip
    awarded = load_project(folder).get()
    if awarded.awards:
        plant(folder, planter, "awards")
    rfq("first-article", first, "--form", "--project", folder)


@pytest.fixture(scope="module")
def job(demo_source: Path, tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Planter]:
    folder = tmp_path_factory.mktemp("leaks") / "project"
    planter = Planter()
    whole_job(demo_source, folder, planter)
    return folder, planter


def test_the_job_went_through(job: tuple[Path, Planter]) -> None:
    """Otherwise nothing went out, and nothing could leak."""
    folder, planter = job
    project = load_project(folder).get()
    assert len(project.quotes) >= 4
    assert project.awards and project.orders and project.clarifications
    assert len(planter.owner) > 300
    names = " ".join(
        name for files in outgoing_files(folder, project.shops).values() for name in files
    )
    for kind in ("request.pdf", "response-sheet.xlsx", "response-form.pdf", "request.xml",
                 ".zip", "mail.eml", "manifest.json", "clarification", "award", "decline",
                 "question"):  # fmt: skip
        assert kind in names, kind


def test_no_marker_reaches_a_shop(job: tuple[Path, Planter]) -> None:
    folder, planter = job
    leaked = leaks_of(folder, planter)
    assert leaked == []


def leaks_of(folder: Path, planter: Planter) -> list[str]:
    """What was found where it must not be; fails where a shop's own name is found nowhere."""
    leaked = []
    project = load_project(folder).get()
    seen: dict[bytes, set[str]] = {}  # a drawing that goes to five shops is looked at once
    for shop, files in outgoing_files(folder, project.shops).items():
        own = False
        for name, data in files.items():
            if data not in seen:
                seen[data] = planter.found(data)
            for word in seen[data]:
                own = own or planter.owner[word] == shop
                if planter.owner[word] != shop:
                    leaked.append(f"{name}: {word}")
        # Its own name is a marker too and may stand there, so the look does find markers.
        assert own or not files, shop
    return leaked


def test_no_other_shops_figure_reaches_a_shop(job: tuple[Path, Planter]) -> None:
    folder, _ = job
    project = load_project(folder).get()
    for shop, files in outgoing_files(folder, project.shops).items():
        letters = {name: data for name, data in files.items() if "/sent/" not in name}
        assert letters, shop
        _, others = own_figures(project, shop)
        assert len(others) > 20
        found = leak_scan(letters, others)
        assert found == (), (shop, [str(problem) for problem in found])


def test_journal_holds_no_secret_of_a_shop(job: tuple[Path, Planter]) -> None:
    """The journal says what happened to which record, not what a shop charges."""
    folder, _ = job
    project = load_project(folder).get()
    journal = b"".join(path.read_bytes() for path in (folder / "journal").glob("*.jsonl"))
    figures = {f"{price.each:.2f}" for quote in project.quotes for price in quote.prices
               if price.each is not None}  # fmt: skip
    assert journal.count(b"\n") > 8
    assert leak_scan({"journal.jsonl": journal}, figures) == ()
