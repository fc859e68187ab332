# ruff: noqa: E501 - word tables and made rows stand on one line
"""Made replies with several traps at once: how many prices are exact, asked about, silently wrong.

Run: ``python tests/benchmarks/bench_reply_audit.py [CASES] [SEED] [names of traps]`` or
``pytest -m benchmark -s tests/benchmarks/bench_reply_audit.py``.

Each case draws a language, a layout, a file form and two to four of the traps that real replies
hold (common practice, no source). The prices are known before the file is written, so what the
reader says is either exact, or marked as not sure and asked about, or silently wrong. The last
must not happen, with or without the request.
"""

from __future__ import annotations

import csv
import io
import random
import sys
import tempfile
from collections import Counter
from dataclasses import dataclass, field
from datetime import datetime
from decimal import ROUND_HALF_UP, Decimal
from email.message import EmailMessage
from pathlib import Path
from typing import Any

import pytest

from rfq.intake import child, guard
from rfq.intake.kinds import Limits, stop
from rfq.intake.read import read_reply
from rfq.model.request import Request, RequestLine

PARTS = (("TB-2201", "B"), ("KX-0417", "A"), ("RM-3350", "C"), ("0815-22", "A"), ("WD 77-104", "D"),
         ("LP-9003", "E"))  # fmt: skip
BREAKS = (5, 25, 100)

WORDS: dict[str, dict[str, list[str]]] = {
    "en": {
        "pos": ["Item", "#", "Line"], "part": ["Part No.", "Drawing no", "P/N", "Your part number"],
        "rev": ["Rev"], "name": ["Description"], "qty": ["Qty", "Quantity", "Pcs"],
        "unit": ["Unit price", "Price each", "Price/pc"], "total": ["Total", "Line total", "Ext. price"],
        "base": ["per", "Price unit", "Price base"], "disc": ["Disc. %", "Discount"],
        "one": ["Set-up (one time)", "NRE", "Tooling"], "lead": ["Lead time"], "note": ["Remarks"],
        "net": ["Net unit price"], "gross": ["Price incl. VAT"], "mat": ["Material"], "lab": ["Machining"],
        "moq": ["MOQ"], "kg": ["Price per kg"], "w": ["Weight kg/pc"], "lot": ["Lot price"],
        "cur": ["Currency"], "sum": ["Subtotal", "Total net"], "vat": ["VAT 20 %"], "pcs": ["pcs", "pc"],
        "noq": ["no quote", "N/A", "no bid"], "tbd": ["TBD", "to follow"],
        "alt": ["Alternative: aluminium 6082 instead of 7075"], "per100": ["Unit price per 100 pcs"],
        "onerow": ["Fixture, one-off charge", "Programming, one time"],
        "foot": ["All prices in {c}, net, ex works. Payment 30 days net."],
        "nodisc": ["Price without anodising"], "freight": ["Freight"],
    },
    "de": {
        "pos": ["Pos.", "Lfd. Nr."], "part": ["Zeichnungs-Nr.", "Teilenummer", "Sachnummer"],
        "rev": ["Index", "Änd.-Index"], "name": ["Bezeichnung", "Benennung"], "qty": ["Menge", "Stückzahl", "Stk."],
        "unit": ["Einzelpreis", "Stückpreis", "Preis/Stk", "EP"], "total": ["Gesamtpreis", "Gesamt", "GP"],
        "base": ["PE", "Preiseinheit", "je"], "disc": ["Rabatt %", "Rabatt"],
        "one": ["Rüstkosten einmalig", "Werkzeugkosten"], "lead": ["Lieferzeit"], "note": ["Bemerkung"],
        "net": ["Nettopreis"], "gross": ["Bruttopreis"], "mat": ["Material"], "lab": ["Fertigung"],
        "moq": ["Mindestmenge"], "kg": ["Preis je kg"], "w": ["Gewicht kg/Stk"], "lot": ["Lospreis"],
        "cur": ["Währung"], "sum": ["Summe netto", "Zwischensumme"], "vat": ["zzgl. 19 % MwSt."], "pcs": ["Stk", "Stück"],
        "noq": ["kein Angebot", "entfällt"], "tbd": ["folgt", "auf Anfrage"],
        "alt": ["Alternative: Werkstoff 1.4301 statt 1.4571"], "per100": ["Preis für 100 Stück", "Preis/100"],
        "onerow": ["Vorrichtung, einmalig", "Programmierkosten einmalig"],
        "foot": ["Alle Preise in {c}, netto, EXW. Zahlung 30 Tage netto."],
        "nodisc": ["Preis ohne Eloxieren"], "freight": ["Fracht"],
    },
    "fr": {
        "pos": ["Poste", "N°"], "part": ["Référence", "N° de plan"], "rev": ["Indice"], "name": ["Désignation"],
        "qty": ["Quantité", "Qté"], "unit": ["Prix unitaire", "P.U. HT", "PU"], "total": ["Montant HT", "Total HT"],
        "base": ["par", "Unité de prix"], "disc": ["Remise %"], "one": ["Outillage", "Frais fixes"], "lead": ["Délai"],
        "note": ["Remarques"], "net": ["Prix net HT"], "gross": ["Prix TTC"], "mat": ["Matière"], "lab": ["Usinage"],
        "moq": ["Qté minimum"], "kg": ["Prix au kg"], "w": ["Poids kg"], "lot": ["Prix du lot"], "cur": ["Devise"],
        "sum": ["Total HT", "Sous-total"], "vat": ["TVA 20 %"], "pcs": ["pièces", "pcs"],
        "noq": ["non chiffré", "pas d'offre"], "tbd": ["à confirmer"], "alt": ["Variante : inox 304 au lieu de 316L"],
        "per100": ["Prix pour 100 pièces", "Prix / 100"], "onerow": ["Outillage (frais uniques)"],
        "foot": ["Prix en {c} hors taxes, départ usine. Paiement 30 jours."], "nodisc": ["Prix sans anodisation"],
        "freight": ["Transport"],
    },
    "it": {
        "pos": ["Pos."], "part": ["Codice disegno", "Vs. codice"], "rev": ["Rev."], "name": ["Descrizione"],
        "qty": ["Q.tà", "Quantità"], "unit": ["Prezzo unitario", "Prezzo cad."], "total": ["Importo", "Totale"],
        "base": ["per", "Unità prezzo"], "disc": ["Sconto %"], "one": ["Attrezzatura", "Costi di avviamento"],
        "lead": ["Consegna"], "note": ["Note"], "net": ["Prezzo netto"], "gross": ["Prezzo IVA inclusa"],
        "mat": ["Materiale"], "lab": ["Lavorazione"], "moq": ["Quantità minima"], "kg": ["Prezzo al kg"],
        "w": ["Peso kg"], "lot": ["Prezzo lotto"], "cur": ["Valuta"], "sum": ["Totale imponibile"], "vat": ["IVA 22 %"],
        "pcs": ["pz"], "noq": ["non quotato", "non offerto"], "tbd": ["da definire"],
        "alt": ["Alternativa: alluminio 6082"], "per100": ["Prezzo per 100 pz"], "onerow": ["Attrezzatura una tantum"],
        "foot": ["Prezzi in {c}, IVA esclusa, franco fabbrica."], "nodisc": ["Prezzo senza anodizzazione"],
        "freight": ["Trasporto"],
    },
    "es": {
        "pos": ["Pos.", "Línea"], "part": ["Referencia", "Nº plano"], "rev": ["Revisión"], "name": ["Descripción"],
        "qty": ["Cantidad", "Uds."], "unit": ["Precio unitario", "Precio/ud"], "total": ["Importe", "Total"],
        "base": ["por", "Precio por"], "disc": ["Dto. %"], "one": ["Utillaje", "Costes únicos"], "lead": ["Plazo"],
        "note": ["Observaciones"], "net": ["Precio neto"], "gross": ["Precio con IVA"], "mat": ["Material"],
        "lab": ["Mecanizado"], "moq": ["Pedido mínimo"], "kg": ["Precio por kg"], "w": ["Peso kg"], "lot": ["Precio del lote"],
        "cur": ["Moneda"], "sum": ["Subtotal", "Base imponible"], "vat": ["IVA 21 %"], "pcs": ["uds", "piezas"],
        "noq": ["no cotizado", "no ofertamos"], "tbd": ["pendiente"], "alt": ["Alternativa: acero S355"],
        "per100": ["Precio por 100 uds"], "onerow": ["Utillaje, coste único"],
        "foot": ["Precios en {c}, IVA no incluido."], "nodisc": ["Precio sin anodizado"], "freight": ["Portes"],
    },
    "pl": {
        "pos": ["Lp.", "Poz."], "part": ["Nr rysunku", "Numer części"], "rev": ["Rewizja", "Rew."], "name": ["Nazwa", "Opis"],
        "qty": ["Ilość", "Ilość szt."], "unit": ["Cena jedn.", "Cena jednostkowa netto", "Cena/szt."],
        "total": ["Wartość netto", "Razem"], "base": ["za", "Jednostka ceny"], "disc": ["Rabat %"],
        "one": ["Koszt jednorazowy", "Oprzyrządowanie"], "lead": ["Termin"], "note": ["Uwagi"], "net": ["Cena netto"],
        "gross": ["Cena brutto"], "mat": ["Materiał"], "lab": ["Obróbka"], "moq": ["Min. ilość"], "kg": ["Cena za kg"],
        "w": ["Masa kg"], "lot": ["Cena za partię"], "cur": ["Waluta"], "sum": ["Suma netto", "Razem netto"], "vat": ["VAT 23 %"],
        "pcs": ["szt.", "szt"], "noq": ["brak oferty", "nie oferujemy"], "tbd": ["do ustalenia"],
        "alt": ["Alternatywa: stal S355"], "per100": ["Cena za 100 szt."], "onerow": ["Oprzyrządowanie, koszt jednorazowy"],
        "foot": ["Ceny w {c} netto, bez VAT."], "nodisc": ["Cena bez anodowania"], "freight": ["Transport"],
    },
    "zh": {
        "pos": ["序号"], "part": ["图号", "零件号", "料号"], "rev": ["版本"], "name": ["名称", "品名"], "qty": ["数量"],
        "unit": ["单价", "未税单价"], "total": ["总价", "金额"], "base": ["计价单位"], "disc": ["折扣"], "one": ["模具费", "工装费"],
        "lead": ["交期"], "note": ["备注"], "net": ["不含税单价"], "gross": ["含税单价"], "mat": ["材料费"], "lab": ["加工费"],
        "moq": ["最小起订量"], "kg": ["每公斤价格"], "w": ["单重 kg"], "lot": ["批价"], "cur": ["币种"], "sum": ["合计"],
        "vat": ["增值税 13 %"], "pcs": ["件", "pcs"], "noq": ["不报价", "无法报价"], "tbd": ["待定"], "alt": ["替代材料：6082"],
        "per100": ["每100件价格"], "onerow": ["工装费 (一次性)"], "foot": ["以上价格为{c}，不含税。"], "nodisc": ["不含阳极氧化"],
        "freight": ["运费"],
    },
}  # fmt: skip
RATE = {"en": 20, "de": 19, "fr": 20, "it": 22, "es": 21, "pl": 23, "zh": 13}
MONEY = {"en": ("USD", "GBP", "EUR", "INR"), "de": ("EUR", "CHF"), "fr": ("EUR", "CHF"), "it": ("EUR", "CHF"),
         "es": ("EUR",), "pl": ("PLN", "EUR"), "zh": ("CNY", "USD")}  # fmt: skip
STYLES = {"en": [",."], "de": [".,", ".,", "'."], "fr": ["\u202f,", "\u00a0,", " ,"], "it": [".,", "'."], "es": [".,"],
          "pl": [" ,", "\u00a0,"], "zh": [",."]}  # fmt: skip
SIGN = {"EUR": "€", "USD": "US$", "GBP": "£", "INR": "₹", "CHF": "CHF", "PLN": "zł", "CNY": "¥"}
TRAPS = ("per100", "perbase", "odd base", "head100", "lot", "kg", "discount", "net and gross", "gross", "vat row", "sum", "one-off row",
         "one-off column", "elements", "cur cell", "cur line", "cur foot", "cur format", "hidden sheet", "hidden row", "formula",
         "date", "moq", "alternative", "no quote", "tbd", "lakh", "comment", "rev inside", "respelled", "shuffled",
         "some", "preamble", "newlines", "texts", "freight", "older table", "no total", "lead", "pieces in cell", "note")  # fmt: skip
LAYOUTS = (
    "long",
    "long",
    "long",
    "wide",
    "wide merged",
    "turned",
    "pairs",
    "breaks below",
    "blocks",
)
FORMS = ("xlsx", "xlsx", "csv", "html", "mail", "xls")


@dataclass(slots=True)
class Case:
    """One made reply: its description, its rows, the truth."""

    name: str
    rows: list[list[Any]] = field(default_factory=list)
    truth: dict[tuple[str, int], Decimal] = field(default_factory=dict)
    currency: str = ""
    asks: set[tuple[str, int]] = field(default_factory=set)  # has to be asked about
    declined: set[str] = field(default_factory=set)
    merges: list[str] = field(default_factory=list)
    comment: tuple[str, str] | None = None
    hidden_rows: list[int] = field(default_factory=list)
    older: list[list[Any]] = field(default_factory=list)
    form: str = "xlsx"


@dataclass(slots=True)
class Line:
    part: str
    rev: str
    qty: int
    each: Decimal
    total: Decimal
    printed: Any = None
    base: str = "1"


def rounded(value: Decimal, digits: int = 2) -> Decimal:
    return value.quantize(Decimal(1).scaleb(-digits), ROUND_HALF_UP)


class Maker:
    """Draws and lays out one case."""

    def __init__(self, seed: int, wanted: tuple[str, ...] = ()) -> None:
        self.dice = dice = random.Random(seed)
        self.language = dice.choice(list(WORDS))
        self.words = {key: dice.choice(found) for key, found in WORDS[self.language].items()}
        self.layout = dice.choice(LAYOUTS)
        self.traps = set(wanted or dice.sample(TRAPS, dice.choice((2, 3, 3, 4))))
        self.form = dice.choice(FORMS)
        if self.form in ("csv", "html", "mail"):
            self.traps -= {"comment", "hidden sheet", "hidden row", "formula", "date", "cur format"}
        if self.form in ("xls", "ods"):
            self.traps -= {"comment", "formula"}
        if self.layout != "long":
            self.traps -= {"per100", "perbase", "odd base", "lot", "kg", "discount", "net and gross", "moq",
                           "elements", "alternative", "hidden row", "one-off row", "older table", "comment",
                           "pieces in cell", "date", "formula", "note"}  # fmt: skip
        if "lakh" in self.traps:
            self.language = "en"
            self.words = {key: dice.choice(found) for key, found in WORDS["en"].items()}
        self.currency = "INR" if "lakh" in self.traps else dice.choice(MONEY[self.language])
        style = dice.choice(STYLES[self.language])
        self.group, self.point = style[0], style[1]
        if self.traps & {"per100", "perbase", "odd base", "head100"}:
            for other in (
                "lot",
                "kg",
                "discount",
                "elements",
                "net and gross",
                "gross",
                "pieces in cell",
            ):
                self.traps.discard(other)
        for one, *others in (("lot", "kg", "discount", "elements", "net and gross", "moq", "gross"), ("kg", "discount", "elements", "net and gross", "gross"),
                             ("net and gross", "gross", "discount", "elements"), ("gross", "discount", "elements", "vat row"),
                             ("perbase", "per100", "odd base", "head100"), ("odd base", "per100", "head100"), ("head100", "per100")):  # fmt: skip
            if one in self.traps:
                self.traps -= set(others)
        self.case = Case("", form=self.form, currency=self.currency)
        self.as_text = (
            self.form in ("csv", "html", "mail") or "texts" in self.traps or "lakh" in self.traps
        )
        self.where = next(
            (t for t in ("cur cell", "cur line", "cur foot", "cur format") if t in self.traps),
            "heading",
        )
        if self.where == "cur line" and self.layout != "long":
            self.where = "heading"
        if self.where == "cur format" and self.as_text:
            self.where = "cur cell"
        self.case.name = f"{seed} {self.language} {self.layout} {self.form} {self.where} [{', '.join(sorted(self.traps))}]"

    def number(self, value: Decimal, digits: int = 2) -> str:
        text = f"{rounded(value, digits):f}"
        whole, _, part = text.partition(".")
        if "lakh" in self.traps:
            head, tail = whole[:-3], whole[-3:]
            groups = []
            while head:
                groups.insert(0, head[-2:])
                head = head[:-2]
            whole = ",".join([*groups, tail])
        else:
            groups = []
            while whole:
                groups.insert(0, whole[-3:])
                whole = whole[:-3]
            whole = self.group.join(groups)
        return whole + (self.point + part if part else "")

    def money(self, value: Decimal) -> Any:
        if self.as_text or self.where == "cur cell":
            text = self.number(value, self.digits)
            if self.where == "cur cell":
                text = (
                    f"{SIGN[self.currency]} {text}"
                    if self.dice.random() < 0.5
                    else f"{text} {self.currency}"
                )
            return text
        return float(rounded(value, self.digits))

    digits = 2

    def head(self, key: str, *, money: bool = False) -> str:
        text = self.words[key]
        return f"{text} {self.currency}" if money and self.where == "heading" else text

    def spelled(self, part: str, rev: str) -> str:
        text = part
        if "respelled" in self.traps and self.with_request:
            text = self.dice.choice(
                (
                    part.lower(),
                    part.replace("-", " "),
                    part.replace("-", ""),
                    part.replace("-", "–"),
                )
            )
        if "rev inside" in self.traps:
            text += self.dice.choice((f" Rev {rev}", f"/{rev}", f" rev. {rev}", f" (Rev. {rev})"))
        return text

    with_request = True

    def make(self) -> Case:
        dice, case = self.dice, self.case
        parts = list(PARTS)
        if "shuffled" in self.traps:
            dice.shuffle(parts)
        if "some" in self.traps:
            parts = parts[:4]
        many = self.layout in ("wide", "wide merged", "pairs", "breaks below", "blocks", "turned")
        lines = []
        for part, rev in parts:
            start = Decimal(dice.randrange(300, 39_000)) / 100
            for n, qty in enumerate(BREAKS if many else (dice.choice(BREAKS),)):
                each = rounded(start * (Decimal(1) - Decimal("0.13") * n))
                lines.append(Line(part, rev, qty, each, rounded(each * qty)))
        getattr(self, {"long": "long", "wide": "wide", "wide merged": "wide", "turned": "turned", "pairs": "pairs",
                       "breaks below": "below", "blocks": "blocks"}[self.layout])(lines)  # fmt: skip
        self.footer()
        if "preamble" in self.traps:
            top: list[list[Any]] = [
                ["Musterwerk & Co"],
                ["Industrial Road 5"],
                [],
                ["Quotation", "Q-2026-118", "Date", "2026-11-20"],
                [],
            ]
            case.rows[:0] = top
            shift = len(top)
            case.hidden_rows = [r + shift for r in case.hidden_rows]
            case.merges = [_down(m, shift) for m in case.merges]
            if case.comment:
                case.comment = (_down(case.comment[0], shift), case.comment[1])
        return case

    # --- layouts -----------------------------------------------------------------------------

    def long(self, lines: list[Line]) -> None:
        dice, traps, words, case = self.dice, self.traps, self.words, self.case
        no_total = "no total" in traps
        rate = RATE[self.language]
        heads: list[tuple[str, str]] = []
        if dice.random() < 0.6:
            heads.append(("pos", words["pos"]))
        heads.append(("part", words["part"]))
        if "rev inside" not in traps and dice.random() < 0.6:
            heads.append(("rev", words["rev"]))
        if dice.random() < 0.7:
            heads.append(("name", words["name"]))
        heads.append(("qty", words["qty"]))
        if "moq" in traps:
            heads.append(("moq", words["moq"]))
        if "elements" in traps:
            heads += [("mat", self.head("mat", money=True)), ("lab", self.head("lab", money=True))]
        if "kg" in traps:
            heads += [("w", words["w"]), ("kg", self.head("kg", money=True))]
        elif "lot" in traps:
            heads.append(("lot", self.head("lot", money=True)))
        elif "net and gross" in traps:
            pair = [
                ("net", self.head("net", money=True)),
                ("gross", self.head("gross", money=True)),
            ]
            heads += pair if dice.random() < 0.5 else pair[::-1]
        elif "gross" in traps:
            heads.append(("gross", self.head("gross", money=True) + f" ({rate} %)"))
        elif "head100" in traps:
            heads.append(("unit", self.head("per100", money=True)))
        else:
            if "odd base" in traps and dice.random() < 0.5:
                heads.append(("base", dice.choice(("Basis x", "ppu", "E/P", "U.P.Q."))))
                traps.add("base before")
            heads.append(("unit", self.head("unit", money=True)))
            if "perbase" in traps:
                heads.append(("base", words["base"]))
            elif "odd base" in traps and "base before" not in traps:
                heads.append(("base", dice.choice(("Basis x", "ppu", "E/P", "U.P.Q."))))
        if "discount" in traps:
            heads.append(("disc", words["disc"]))
        if not no_total and "lot" not in traps:
            heads.append(("total", self.head("total", money=True)))
        if self.where == "cur line":
            heads.append(("cur", words["cur"]))
        if "one-off column" in traps:
            heads.append(("one", self.head("one", money=True)))
        if "lead" in traps:
            heads.append(("lead", words["lead"]))
        if "note" in traps:
            heads.append(("note", words["note"]))
        keys = [key for key, _ in heads]
        if "older table" in traps:
            case.rows += [["Previous prices 2024 (superseded)"], [text for _, text in heads]]
            for n, line in enumerate(lines[:3], 1):
                old = {"pos": n, "part": line.part, "rev": line.rev, "name": "x", "qty": line.qty,
                       "unit": self.money(line.each * 2), "net": self.money(line.each * 2), "total": self.money(line.total * 2)}  # fmt: skip
                case.rows.append([old.get(key) for key in keys])
            case.rows += [[], []]
        start = len(case.rows)
        case.rows.append([text for _, text in heads])
        total_sum = Decimal(0)
        special = dice.randrange(len(lines))
        for n, line in enumerate(lines):
            cells: dict[str, Any] = {"pos": n + 1, "part": self.spelled(line.part, line.rev), "rev": line.rev,
                                     "name": dice.choice(("Bracket", "Shaft 20", "Cover, left", "Spacer M6")), "qty": line.qty}  # fmt: skip
            if "newlines" in traps:
                cells["name"] = 'Bracket;\nleft, "special"'
            if "pieces in cell" in traps:
                cells["qty"] = f"{line.qty} {words['pcs']}"
            key = (line.part, line.qty)
            each, total = line.each, line.total
            cells["lead"] = dice.choice((f"{dice.randrange(2, 9)} weeks", 20))
            cells["note"] = dice.choice(("", "", "deburred"))
            cells["cur"] = self.currency
            base = 1
            if "per100" in traps and n % 2:
                base = 100
                printed: Any = self.number(each * 100, 2)
                self_cell = f"{printed} / 100" if no_total or dice.random() < 0.5 else printed
                cells["unit"] = self_cell
            elif traps & {"perbase", "odd base"}:
                base = dice.choice((1, 100, 100, 1000)) if n else 100
                cells["unit"], cells["base"] = self.money(each * base), base
            elif "head100" in traps:
                base = 100
                cells["unit"] = self.money(each * 100)
            else:
                cells["unit"] = self.money(each)
            if "discount" in traps:
                disc = dice.choice((0, 5, 10))
                cells["disc"] = disc
                net = each * (100 - disc) / 100
                total = rounded(net * line.qty)
                each = net
            if "net and gross" in traps or "gross" in traps:
                gross = rounded(each * (100 + rate) / 100)
                cells["net"], cells["gross"] = self.money(each), self.money(gross)
                if "gross" in traps:
                    total = rounded(gross * line.qty)
            if "kg" in traps:
                weight = Decimal(dice.randrange(40, 900)) / 1000
                per_kg = rounded(each / weight)
                each = per_kg * weight
                total = rounded(each * line.qty)
                cells["w"] = self.number(weight, 3) if self.as_text else float(weight)
                cells["kg"] = self.money(per_kg)
            if "lot" in traps:
                cells["lot"] = self.money(line.total)
            if "elements" in traps:
                part = rounded(each / 3)
                cells["mat"], cells["lab"] = self.money(part), self.money(each - part)
            count = line.qty
            if "moq" in traps:
                cells["moq"] = 10 if line.qty == 5 else 5
                if line.qty == 5 and dice.random() < 0.5:
                    count = 10
                    total = rounded(each * count)
            cells["total"] = self.money(total)
            if "one-off column" in traps:
                cells["one"] = self.money(Decimal(dice.choice((120, 350, 85)))) if n % 2 else None
            if n == special and "no quote" in traps:
                for k in ("unit", "net", "gross", "kg", "lot"):
                    if k in cells:
                        cells[k] = words["noq"]
                cells["total"] = None
                case.declined.add(line.part)
                total = Decimal(0)
            elif n == special and "tbd" in traps:
                for k in ("unit", "net", "gross", "kg", "lot"):
                    if k in cells:
                        cells[k] = words["tbd"]
                cells["total"] = None
                case.declined.add(line.part)
                total = Decimal(0)
            else:
                if (
                    n == special
                    and "date" in traps
                    and "unit" in keys
                    and base == 1
                    and not self.as_text
                ):
                    cells["unit"] = datetime(2026, 5, 1)  # noqa: DTZ001 - as a spreadsheet holds it
                    each = Decimal("1.5")
                    total = rounded(each * line.qty)
                    cells["total"] = self.money(total)
                elif n == special and "formula" in traps and "unit" in keys and not self.as_text:
                    cells["unit"] = "=B3*1.1"
                case.truth[key] = each
            total_sum += total
            if "alternative" in traps and n == special and key in case.truth:
                case.rows.append([cells.get(k) for k in keys])
                other = dict(cells)
                other["part"] = words["alt"] if dice.random() < 0.5 else None
                other["name"] = words["alt"]
                if "name" not in keys and other["part"] is None:
                    other["part"] = words["alt"]
                for k in ("unit", "net", "gross", "kg", "lot"):
                    if k in cells and isinstance(cells[k], int | float):
                        other[k] = round(cells[k] * 0.8, 2)
                other["total"] = None
                other["pos"] = None
                case.rows.append([other.get(k) for k in keys])
                continue
            case.rows.append([cells.get(k) for k in keys])
            if "one-off row" in traps and n % 3 == 1:
                text_at = "name" if "name" in keys else "part"
                extra = {text_at: words["onerow"], "qty": 1, "unit": self.money(Decimal(180)), "total": self.money(Decimal(180)),
                         "net": self.money(Decimal(180)), "base": 1 if "base" in keys else None}  # fmt: skip
                case.rows.append([extra.get(k) for k in keys])
                total_sum += 180
        if "comment" in traps:
            for k in ("unit", "net", "lot", "kg", "gross"):
                if k in keys:
                    at = f"{chr(65 + keys.index(k))}{start + 2}"
                    case.comment = (at, words["nodisc"])
        if "hidden row" in traps:
            old_line = {
                "part": lines[0].part,
                "qty": lines[0].qty,
                "unit": 1.11,
                "net": 1.11,
                "lot": 1.11,
                "kg": 1.11,
                "gross": 1.11,
                "base": 1,
            }
            case.rows.append([old_line.get(k) for k in keys])
            case.hidden_rows.append(len(case.rows))
        if "hidden sheet" in traps:
            case.older = [
                case.rows[start],
                *[
                    [c * 2 if isinstance(c, float) else c for c in row]
                    for row in case.rows[start + 1 :]
                ],
            ]
        self.sums(keys, total_sum)

    def sums(self, keys: list[str], value: Decimal) -> None:
        words, case = self.words, self.case
        at = keys.index("total") if "total" in keys else len(keys) - 1
        label = max(0, at - 1)

        def row(text: str, amount: Decimal) -> list[Any]:
            out: list[Any] = [None] * len(keys)
            out[label if self.dice.random() < 0.5 else 0] = text
            out[at] = self.money(amount)
            return out

        if "total" not in keys:
            return
        if self.traps & {"sum", "vat row"}:
            case.rows.append(row(words["sum"], value))
        if "freight" in self.traps:
            case.rows.append(row(words["freight"], Decimal(45)))
        if "vat row" in self.traps:
            case.rows.append(row(words["vat"], value * RATE[self.language] / 100))

    def wide(self, lines: list[Line]) -> None:
        words, case, dice = self.words, self.case, self.dice
        scale = 100 if "head100" in self.traps else 1
        heads = [words["part"]] + ([words["name"]] if dice.random() < 0.6 else [])
        lead = len(heads)
        piece = words["pcs"]

        def own(q: int) -> str:
            lead_word = "ab " if self.language == "de" and dice.random() < 0.4 else ""
            return f"{lead_word}{q} {piece}"

        unit = self.head("per100" if scale > 1 else "unit", money=True)
        once = [self.head("one", money=True)] if "one-off column" in self.traps else []
        if self.layout == "wide merged":
            case.rows.append([*heads, unit, *[None] * (len(BREAKS) - 1), *once])
            case.rows.append([*[None] * lead, *[dice.choice((q, own(q))) for q in BREAKS]])
            case.merges.append(f"{chr(65 + lead)}1:{chr(64 + lead + len(BREAKS))}1")
            case.merges += [f"{chr(65 + i)}1:{chr(65 + i)}2" for i in range(lead)]
        else:
            where = f" {self.currency}" if self.where == "heading" else ""
            if scale > 1:
                self.traps.discard("head100")
                scale = 1
            case.rows.append([*heads, *[own(q) + where for q in BREAKS], *once])
        for part, rev in dict.fromkeys((line.part, line.rev) for line in lines):
            row: list[Any] = [self.spelled(part, rev), "Bracket"][:lead]
            for line in lines:
                if line.part == part:
                    if "no quote" in self.traps and line.qty == 5 and part == lines[0].part:
                        row.append(words["noq"])
                        continue
                    row.append(self.money(line.each * scale))
                    case.truth[(part, line.qty)] = line.each
            if once:
                row.append(self.money(Decimal(150)) if dice.random() < 0.5 else None)
            case.rows.append(row)

    def turned(self, lines: list[Line]) -> None:
        words, case = self.words, self.case
        parts = list(dict.fromkeys((line.part, line.rev) for line in lines))
        case.rows.append([words["part"], *[self.spelled(p, r) for p, r in parts]])
        case.rows.append([words["qty"], *[25 for _ in parts]])
        case.rows.append(
            [
                self.head("unit", money=True),
                *[self.money(line.each) for line in lines if line.qty == 25],
            ]
        )
        if "no total" not in self.traps:
            case.rows.append(
                [
                    self.head("total", money=True),
                    *[self.money(line.total) for line in lines if line.qty == 25],
                ]
            )
        for line in lines:
            if line.qty == 25:
                case.truth[(line.part, 25)] = line.each

    def pairs(self, lines: list[Line]) -> None:
        words, case = self.words, self.case
        head = [words["part"]]
        for n in range(len(BREAKS)):
            head += [
                f"{words['qty']} {n + 1}",
                f"{words['unit']} {n + 1}"
                + (f" {self.currency}" if self.where == "heading" else ""),
            ]
        case.rows.append(head)
        for part, rev in dict.fromkeys((line.part, line.rev) for line in lines):
            row: list[Any] = [self.spelled(part, rev)]
            for line in lines:
                if line.part == part:
                    row += [line.qty, self.money(line.each)]
                    case.truth[(part, line.qty)] = line.each
            case.rows.append(row)

    def below(self, lines: list[Line]) -> None:
        words, case = self.words, self.case
        total = "no total" not in self.traps
        case.rows.append(
            [words["part"], words["qty"], self.head("unit", money=True)]
            + ([self.head("total", money=True)] if total else [])
        )
        seen = ""
        for line in lines:
            case.rows.append([self.spelled(line.part, line.rev) if line.part != seen else None, line.qty, self.money(line.each)]
                             + ([self.money(line.total)] if total else []))  # fmt: skip
            seen = line.part
            case.truth[(line.part, line.qty)] = line.each

    def blocks(self, lines: list[Line]) -> None:
        words, case = self.words, self.case
        for part, rev in dict.fromkeys((line.part, line.rev) for line in lines):
            case.rows.append([f"{words['part']}: {self.spelled(part, rev)}"])
            case.rows.append(
                [words["qty"], self.head("unit", money=True), self.head("total", money=True)]
            )
            for line in lines:
                if line.part == part:
                    case.rows.append([line.qty, self.money(line.each), self.money(line.total)])
                    case.truth[(part, line.qty)] = line.each
            case.rows.append([])

    def footer(self) -> None:
        if self.where in ("cur foot",):
            self.case.rows += [[], [WORDS[self.language]["foot"][0].format(c=self.currency)]]


def _down(address: str, by: int) -> str:
    import re

    return re.sub(r"\d+", lambda found: str(int(found[0]) + by), address)


def write(case: Case, folder: Path, maker: Maker) -> Path:
    """Write the case in its form; old forms are written by a library, ODS and XLS by LibreOffice."""
    if case.form == "csv":
        delimiter = maker.dice.choice(";\t") if maker.point == "," else maker.dice.choice(",;\t")
        out = io.StringIO()
        csv.writer(out, delimiter=delimiter, lineterminator="\r\n").writerows(
            [["" if c is None else c for c in row] for row in case.rows]
        )
        path = folder / "reply.csv"
        path.write_bytes(out.getvalue().encode(maker.dice.choice(("utf-8", "utf-8-sig", "utf-16"))))
        return path
    if case.form in ("html", "mail"):
        from html import escape

        cells = "".join(
            "<tr>"
            + "".join(f"<td>{escape('' if c is None else str(c))}</td>" for c in row)
            + "</tr>"
            for row in case.rows
        )
        page = f"<html><body><p>Hello,</p><table>{cells}</table><p>Kind regards</p></body></html>"
        if case.form == "html":
            path = folder / "reply.html"
            path.write_text(page, encoding="utf-8")
            return path
        mail = EmailMessage()
        mail["From"], mail["To"], mail["Subject"] = (
            "shop@example.com",
            "us@example.com",
            "Quotation",
        )
        mail.set_content(page, subtype="html")
        if maker.dice.random() < 0.3:
            mail.add_attachment(
                b"%PDF-1.4 broken", maintype="application", subtype="pdf", filename="terms.pdf"
            )
        path = folder / "reply.eml"
        path.write_bytes(bytes(mail))
        return path
    from openpyxl import Workbook
    from openpyxl.comments import Comment

    workbook = Workbook()
    sheet = workbook.active
    assert sheet is not None
    for row in case.rows:
        sheet.append(row or [None])
    for merge in case.merges:
        sheet.merge_cells(merge)
    for r in case.hidden_rows:
        sheet.row_dimensions[r].hidden = True
    if case.comment:
        sheet[case.comment[0]].comment = Comment(case.comment[1], "shop")
    if maker.where == "cur format":
        code = {"EUR": '#,##0.00 "€"', "USD": '[$US$-409] #,##0.00', "GBP": "[$£-809]#,##0.00", "INR": "[$₹-4009] #,##0.00",
                "CHF": '"CHF" #,##0.00', "PLN": '#,##0.00 "zł"', "CNY": "[$CNY] #,##0.00"}[case.currency]  # fmt: skip
        for cells in sheet.iter_rows():
            for cell in cells:
                if isinstance(cell.value, float):
                    cell.number_format = code
    if case.older:
        other = workbook.create_sheet("2023")
        for row in case.older:
            other.append(row)
        other.sheet_state = "hidden"
    path = folder / "reply.xlsx"
    workbook.save(path)
    if case.form in ("ods", "xls"):
        path = converted(path, case.form)
    return path


def converted(path: Path, form: str) -> Path:
    """Through pandas: LibreOffice takes seconds a file and is not everywhere."""
    import openpyxl

    if form == "xls":
        xlwt = pytest.importorskip("xlwt")
        book = openpyxl.load_workbook(path)
        old = xlwt.Workbook()
        for sheet in book.worksheets:
            page = old.add_sheet(sheet.title)
            if sheet.sheet_state == "hidden":
                page.visibility = 1
            for row in sheet.iter_rows():
                for cell in row:
                    if cell.value is not None:
                        style = xlwt.easyxf(num_format_str=cell.number_format)
                        page.write(cell.row - 1, cell.column - 1, cell.value, style)
            for r, size in sheet.row_dimensions.items():
                if size.hidden:
                    page.row(r - 1).hidden = True
            for area in sheet.merged_cells.ranges:
                page.merge(area.min_row - 1, area.max_row - 1, area.min_col - 1, area.max_col - 1)
        out = path.with_suffix(".xls")
        old.save(str(out))
        return out
    import shutil
    import subprocess

    office = shutil.which("soffice")
    if office is None:
        return path
    subprocess.run(
        [office, "--headless", "--convert-to", form, "--outdir", str(path.parent), str(path)],
        check=True, capture_output=True, timeout=120,
    )  # fmt: skip
    return path.with_suffix(f".{form}")


def in_process(kind: str, path: Path, limits: Limits) -> tuple[dict[str, object], object]:
    """Read here what the child reads: a new Python for each file would only cost time."""
    try:
        return child._read(kind, path, limits), None
    except Exception as error:
        return {}, stop("R003", f"{path.name} was not read: {type(error).__name__}.", path.name)


@dataclass(slots=True)
class Verdict:
    """What became of one case's prices."""

    exact: int = 0
    asked: int = 0
    missing: int = 0  # not read, and a problem or nothing says so
    wrong: list[str] = field(default_factory=list)
    why: list[str] = field(default_factory=list)


def judge(case: Case, path: Path, request: Request | None) -> Verdict:
    verdict = Verdict()
    reading = read_reply(path, request)
    if reading.value is None:
        verdict.missing = len(case.truth)
        verdict.why = [str(p) for p in reading.problems]
        return verdict
    draft = reading.value
    plain = {_key(part): part for part, _ in PARTS}
    told = {}
    for price in draft.prices:
        if price.alternative:
            continue
        part = plain.get(_key(price.part), price.part)
        told.setdefault((part, price.quantity), []).append(price)
    named = {_key(p.subject) for p in draft.problems if p.severity.value != "note"}
    for key, each in case.truth.items():
        found = told.pop(key, [])
        if not found:
            verdict.missing += 1
            general = any(p.severity.value != "note" for p in draft.problems)
            if _key(key[0]) not in named and not general:
                verdict.wrong.append(f"{key}: missing in silence")
            continue
        for price in found[:1]:
            right = (
                price.each is not None
                and abs(price.each - each)
                <= (Decimal("0.0051") if "kg" in case.name else Decimal("0.00001"))
                and price.currency == case.currency
            )
            if price.sure and right:
                verdict.exact += 1
            elif price.sure:
                verdict.wrong.append(
                    f"{key}: {price.each} {price.currency}, true {each} {case.currency} ({price.evidence})"
                )
            else:
                verdict.asked += 1
    for key, found in told.items():
        for price in found:
            if price.sure:
                verdict.wrong.append(
                    f"{key}: invented {price.each} {price.currency} ({price.place})"
                )
    verdict.why = [
        f"{p.severity.value} {p.code} {p.message}"
        for p in draft.problems
        if p.severity.value != "note"
    ][:4]
    return verdict


def _key(text: str) -> str:
    return "".join(c for c in text.lower() if c.isalnum())


def run(
    cases: int, seed: int, wanted: tuple[str, ...], folder: Path, *, show: bool = False
) -> Counter[str]:
    request = Request(id="2026-09", title="x", lines=tuple(
        RequestLine(part=part, quantities=BREAKS) for part, _ in PARTS))  # fmt: skip
    seen: Counter[str] = Counter()
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(guard, "run_child", in_process)
        for number in range(seed, seed + cases):
            maker = Maker(number, wanted)
            maker.with_request = number % 2 == 0
            case = maker.make()
            case.name += "" if maker.with_request else " (no request)"
            place = folder / str(number)
            place.mkdir()
            verdict = judge(
                case, write(case, place, maker), request if maker.with_request else None
            )
            seen.update(files=1, prices=len(case.truth), exact=verdict.exact, asked=verdict.asked,
                        missing=verdict.missing, wrong=len(verdict.wrong))  # fmt: skip
            if show and (verdict.wrong or verdict.asked or verdict.missing):
                mark = "WRONG" if verdict.wrong else "asked" if verdict.asked else "missing"
                print(f"{mark} {case.name}: {verdict.exact}/{len(case.truth)}")
                for text in (*verdict.wrong[:4], *verdict.why[:3]):
                    print("     ", text)
    return seen


@pytest.mark.benchmark
def test_no_price_is_silently_wrong(tmp_path: Path) -> None:
    seen = run(400, 1, (), tmp_path)
    print(f"\n{dict(seen)}, exact {seen['exact'] / seen['prices']:.1%}")
    assert seen["wrong"] == 0
    assert seen["exact"] >= 0.9 * seen["prices"]


def main() -> int:
    cases = int(sys.argv[1]) if len(sys.argv) > 1 else 400
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 1
    folder = Path(tempfile.mkdtemp(prefix="rfq-audit-"))
    seen = run(cases, seed, tuple(sys.argv[3:]), folder, show=True)
    print(f"{dict(seen)}, exact {seen['exact'] / max(seen['prices'], 1):.1%}, files in {folder}")
    return 1 if seen["wrong"] else 0


if __name__ == "__main__":
    sys.exit(main())
