"""Write the demo's replies: five invented shops, five forms, and the slips planted in them.

Run by hand: ``python tests/demo/write_replies.py``. Prices are drawn round the should-cost with a
fixed seed and then written down for ever; a later change of the cost model does not touch them.
What is planted stands in ``PLANTED``; tests read it from there.
"""

from __future__ import annotations

import io
import random
from datetime import UTC, datetime
from decimal import Decimal
from email.message import EmailMessage
from pathlib import Path

from openpyxl import Workbook, load_workbook
from openpyxl.styles import Font
from reportlab.lib.pagesizes import A4
from reportlab.pdfgen.canvas import Canvas

from rfq.documents.outgoing import outgoing
from rfq.documents.request_xlsx import response_sheet
from rfq.engine.cost.estimate import should_cost
from rfq.model import response as names
from rfq.model.codes import Scope
from rfq.model.project import Project
from rfq.store.load import load_project

ROOT = Path(__file__).resolve().parents[2]
REQUEST = "2026-07"
MARKET = 1.04  # quotes over should-cost
# Rates differ by region, as the should-cost's table of regions has it; oakvane is dear for its own.
LEVEL = {"kupfermond": 1.03, "wiklina": 0.78, "oakvane": 1.38, "heronjade": 0.6, "zaffrel": 0.88}
SPREAD = 0.08
PER_EUR = {"EUR": 1.0, "USD": 1.143, "PLN": 4.312, "CNY": 7.742}

# (shop, part, quantity) -> what was done to it. The comparison has to name each.
PLANTED = {
    ("wiklina", "SB-160", 25): "price per 100 read as each",
    ("heronjade", "SB-115", 100): "ten times too high: the decimal point moved",
    ("kupfermond", "SB-180", 25): "one-off inside the unit price and charged apart",
    ("heronjade", "SB-140", 0): "finish left out",
    ("oakvane", "", 0): "an expensive shop, and its offer has expired",
    ("zaffrel", "SB-200", 0): "a part not answered",
    ("kupfermond", "SB-120", 0): "an exception taken to a tolerance",
    ("wiklina", "SB-190", 0): "a declined part",
}
Prices = dict[tuple[str, int], Decimal]


def prices_of(project: Project, shop: str) -> Prices:
    """Return a clean price each, in the shop's currency, for what it is asked."""
    request = project.requests[REQUEST]
    draw = random.Random(f"{shop}-2026")
    out: Prices = {}
    for number in request.parts_of(shop):
        line = request.line(number)
        assert line is not None
        own = draw.gauss(0, SPREAD)
        for quantity in line.quantities:
            band = should_cost(project.parts[number], quantity, project.rates, request=request)
            factor = MARKET * LEVEL[shop] * pow(2.718281828, own + draw.gauss(0, SPREAD / 4))
            amount = band.middle * factor * PER_EUR[project.shops[shop].currency]
            out[number, quantity] = Decimal(f"{amount:.2f}")
    return out


def kupfermond(project: Project) -> bytes:
    """Our own response sheet, filled in by a German shop, with a breakdown of some lines."""
    request = project.requests[REQUEST]
    out = outgoing(project, request, project.shops["kupfermond"], 1)
    book = load_workbook(io.BytesIO(response_sheet(out, datetime(2026, 7, 3, 12, tzinfo=UTC))))
    sheet = book[names.QUOTE_SHEET]
    heads = {}
    for row in sheet.iter_rows():
        labels = [cell.value for cell in row]
        if names.UNIT_PRICE in labels:
            heads = {cell.value: cell.column for cell in row if cell.value}
            top = row[0].row
            break
    prices = prices_of(project, "kupfermond")
    one_off = {"SB-120": 620, "SB-180": 395, "SB-150": 280}
    prices["SB-180", 25] += Decimal("15.80")  # 395 over 25: planted
    seen: set[str] = set()
    for row in range(top + 1, sheet.max_row + 1):
        part = sheet.cell(row, heads[names.PART]).value
        quantity = sheet.cell(row, heads[names.QUANTITY]).value
        if (part, quantity) not in prices:
            continue
        each = prices[part, quantity]
        sheet.cell(row, heads[names.UNIT_PRICE]).value = float(each)
        sheet.cell(row, heads[names.CURRENCY]).value = "EUR"
        sheet.cell(row, heads[names.LINE_TOTAL]).value = float(each * quantity)
        if part in one_off and part not in seen:
            sheet.cell(row, heads[names.ONE_OFF]).value = one_off[part]
            sheet.cell(row, heads[names.ONE_OFF_FOR]).value = "fixture"
        seen.add(part)
        sheet.cell(row, heads[names.LEAD_TIME]).value = "20 working days"
        if part == "SB-120":
            sheet.cell(
                row, heads[names.EXCEPTIONS]
            ).value = "callout 1: 16 H8 instead of 16 H7, H7 only with honing at extra cost"
    _terms(
        sheet,
        {
            names.TERM_CURRENCY: "EUR",
            names.TERM_DELIVERY: "DAP",
            names.TERM_PLACE: "Musterhafen",
            names.TERM_PAYMENT: "14 days 2 %, 30 days net",
            names.TERM_VALID: "2026-09-30",
            names.TERM_TAX: "excluded",
            names.TERM_LEAD: "20 working days",
            names.TERM_LEAD_FROM: "order confirmation",
            names.TERM_FIRST_LEAD: "15 working days",
            names.TERM_ORIGIN: "DE",
        },
    )
    _scope(sheet, {names.SCOPE_LABEL + scope.value: "in" for scope in Scope})
    _breakdown(book[names.BREAKDOWN_SHEET], prices)
    return _bytes(book)


def _terms(sheet: object, values: dict[str, str]) -> None:
    for row in sheet.iter_rows():  # type: ignore[attr-defined]
        for cell in row:
            if cell.value in values and cell.column < 12:
                sheet.cell(cell.row, cell.column + 1).value = values[cell.value]  # type: ignore[attr-defined]


def _scope(sheet: object, ticks: dict[str, str]) -> None:
    for row in sheet.iter_rows():  # type: ignore[attr-defined]
        for cell in row:
            if cell.value in ticks:
                sheet.cell(cell.row, cell.column + 1).value = ticks[cell.value]  # type: ignore[attr-defined]


def _breakdown(sheet: object, prices: Prices) -> None:
    rows = list(sheet.iter_rows())  # type: ignore[attr-defined]
    heads = next(row for row in rows if "material" in [cell.value for cell in row])
    at = {cell.value: cell.column for cell in heads if cell.value}
    shares = {"material": 0.16, "set-up": 0.14, "run": 0.45, "finish": 0.15, "inspection": 0.1}
    for row in rows[heads[0].row :]:
        part, quantity = row[at["Part"] - 1].value, row[at["Quantity"] - 1].value
        if part not in ("SB-180", "SB-140", "SB-200") or (part, quantity) not in prices:
            continue
        whole = prices[part, quantity]
        if (part, quantity) == ("SB-180", 25):
            whole -= Decimal("15.80")  # the breakdown is right; the unit price is not
        for name, share in shares.items():
            cell = sheet.cell(row[0].row, at[name])  # type: ignore[attr-defined]
            cell.value = round(float(whole) * share, 2)


def wiklina(project: Project) -> bytes:
    """A CSV with decimal commas, windows-1250, cheap parts per 100."""
    prices = prices_of(project, "wiklina")
    rows = [
        "Wiklina Obróbka;;;;;;",
        "Oferta 118/07/2026 do zapytania 2026-07;;;;;;",
        ";;;;;;",
        "Nr części;Rew.;Nazwa;Ilość;Cena netto PLN;Za szt.;Uwagi",
    ]
    for (part, quantity), each in prices.items():
        if part == "SB-190":
            continue
        per = 100 if part == "SB-210" else 1
        shown = each * per
        if (part, quantity) == ("SB-160", 25):
            shown = each * 100  # planted: per 100, but not said
        text = f"{shown:.2f}".replace(".", ",")
        rev = project.parts[part].revision
        name = project.parts[part].name
        rows.append(f"{part};{rev};{name};{quantity};{text};{per};")
    rows += [
        "SB-190;A;mooring eye;;nie oferujemy;;tytanu nie obrabiamy",
        ";;;;;;",
        "Ceny netto bez VAT;;;;;;",
        "Warunki dostawy: FCA Przykładowo;;;;;;",
        "Płatność: 30 dni netto;;;;;;",
        "Oferta ważna do 30.09.2026;;;;;;",
        "Termin realizacji: 5 tygodni od zamówienia;;;;;;",
        "W cenie: anodowanie, pasywacja, maskowanie, świadectwa 3.1, pakowanie, "
        "pomiar pierwszej sztuki;;;;;;",
    ]
    return ("\r\n".join(rows) + "\r\n").encode("cp1250")


def heronjade(project: Project) -> bytes:
    """A free-form workbook with break columns, in yuan."""
    prices = prices_of(project, "heronjade")
    prices["SB-115", 100] = prices["SB-115", 100] * 10  # planted
    for quantity in (5, 25, 100):
        prices["SB-140", quantity] = Decimal(f"{prices['SB-140', quantity] * Decimal('0.83'):.2f}")
    book = Workbook()
    sheet = book.active
    sheet.title = "Quotation"
    bold = Font(bold=True)
    sheet["A1"] = "Heron Jade Parts"
    sheet["A1"].font = bold
    sheet["A2"] = "Quotation HJ-26-0711 for your inquiry 2026-07, 11 July 2026"
    sheet["A3"] = "All prices in CNY, net, export, without VAT"
    quantities = (5, 25, 100, 500)
    heads = ["No.", "Part number", "Rev", "Description", *(f"{q} pcs" for q in quantities)]
    heads += ["Tooling (once)", "Remark"]
    for column, head in enumerate(heads, 1):
        sheet.cell(5, column, head).font = bold
    row = 6
    for part in project.requests[REQUEST].parts_of("heronjade"):
        sheet.cell(row, 1, row - 5)
        sheet.cell(row, 2, part)
        sheet.cell(row, 3, project.parts[part].revision)
        sheet.cell(row, 4, project.parts[part].name)
        for offset, quantity in enumerate(quantities):
            if (part, quantity) in prices:
                cell = sheet.cell(row, 5 + offset, float(prices[part, quantity]))
                cell.number_format = "#,##0.00"
        if part in ("SB-120", "SB-110"):
            sheet.cell(row, 9, 1800 if part == "SB-120" else 900)
        if part == "SB-140":
            sheet.cell(row, 10, "anodizing not included")
        row += 1
    notes = [
        "Delivery terms: FCA Shili",
        "Payment: 50% with order, 50% before shipment",
        "Validity: until 2026-10-15",
        "Lead time: 25 days after deposit",
        "Price includes: anodizing and masks, passivation, material certificate, first article, "
        "packing",
    ]
    for offset, note in enumerate(notes, 1):
        sheet.cell(row + offset, 2, note)
    return _bytes(book)


def zaffrel(project: Project) -> bytes:
    """A quotation letter as PDF with a text layer."""
    prices = prices_of(project, "zaffrel")
    out = io.BytesIO()
    canvas = Canvas(out, pagesize=A4, invariant=1)
    canvas.setTitle("Quotation ZD-2607-31")
    y = 780.0

    def line(text: str, *, size: float = 10, x: float = 60, down: float = 15) -> None:
        nonlocal y
        canvas.setFont("Helvetica", size)
        canvas.drawString(x, y, text)
        y -= down

    line("Zaffrel Décolletage", size=14, down=20)
    line("4 chemin des Copeaux, 00000 Exemple-sur-Arve", down=30)
    line("Quotation ZD-2607-31 of 10 July 2026, your request 2026-07", size=11, down=25)
    line(
        "We thank you for your request and are pleased to offer, in EUR, net, without VAT:", down=24
    )
    heads = (
        ("Part", 60),
        ("Rev", 130),
        ("Description", 165),
        ("Qty", 330),
        ("Unit price EUR", 380),
    )
    canvas.setFont("Helvetica-Bold", 9)
    for text, x in heads:
        canvas.drawString(x, y, text)
    canvas.line(60, y - 4, 520, y - 4)
    y -= 18
    canvas.setFont("Helvetica", 9)
    for (part, quantity), each in prices.items():
        if part == "SB-200":
            continue  # planted: a part not answered
        canvas.drawString(60, y, part)
        canvas.drawString(130, y, project.parts[part].revision)
        canvas.drawString(165, y, project.parts[part].name)
        canvas.drawRightString(348, y, str(quantity))
        canvas.drawRightString(440, y, f"{each:.2f}")
        y -= 14
    y -= 12
    line("Delivery: DAP Musterhafen. Lead time: 6 weeks from order.")
    line("Payment: 45 days net. This offer is valid until 31 October 2026.")
    line("Included: surface treatment with masking, certificates 3.1, first article, packing.")
    line("No tooling charges.", down=30)
    line("Maël Orsin")
    canvas.showPage()
    canvas.save()
    return out.getvalue()


def oakvane(project: Project) -> bytes:
    """A mail with the prices in its body; the offer has expired."""
    prices = prices_of(project, "oakvane")
    rows = ["Hi Ana,", "", "thanks for the package. Our prices, all in USD, each, no tax:", ""]
    rows.append(f"{'Part':<10}{'Rev':<6}{'Qty':>6}{'Unit price':>14}")
    for (part, quantity), each in prices.items():
        rows.append(f"{part:<10}{project.parts[part].revision:<6}{quantity:>6}{each:>14}")
    rows += [
        "",
        "NRE for SB-120 (fixture): 850 USD, once.",
        "FCA Sampleton. Terms 2/10 net 30. Lead time 30 days ARO.",
        "Prices include finish and masking, certs, first article inspection and packing.",
        "Quote valid until July 25, 2026.",
        "",
        "Reese Calder",
        "Oakvane Precision",
    ]
    mail = EmailMessage()
    mail["From"] = "Reese Calder <quotes@oakvane.example.com>"
    mail["To"] = "Ana Reling <ana@vornwick.example.com>"
    mail["Subject"] = "Re: Request for quotation 2026-07, revision 1"
    mail["Date"] = "Thu, 09 Jul 2026 15:20:00 -0400"
    mail["Message-ID"] = "<20260709.1520@oakvane.example.com>"
    mail.set_content("\n".join(rows), cte="8bit")
    return bytes(mail)


def _bytes(book: Workbook) -> bytes:
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def main() -> None:
    """Write all replies into the demo project's folder for incoming files."""
    project = load_project(ROOT / "demo_project").get()
    folder = ROOT / "demo_project" / "incoming"
    folder.mkdir(exist_ok=True)
    (folder / "kupfermond-response-sheet.xlsx").write_bytes(kupfermond(project))
    (folder / "wiklina-oferta-118.csv").write_bytes(wiklina(project))
    (folder / "heronjade-quotation.xlsx").write_bytes(heronjade(project))
    (folder / "zaffrel-letter.pdf").write_bytes(zaffrel(project))
    (folder / "oakvane-mail.eml").write_bytes(oakvane(project))


if __name__ == "__main__":
    main()
