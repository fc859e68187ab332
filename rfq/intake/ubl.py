# ruff: noqa: E501 - patterns, word lists and whole sentences stand on one line
"""OASIS UBL 2.1 (and later) Quotation to a Draft.

Source: OASIS Standard UBL 2.1, 4 November 2013, schemas UBL-Quotation-2.1.xsd and the common
components; unit codes UN/ECE Recommendation 20. Unit price = PriceAmount / BaseQuantity (1 where
absent); alternatives are never mixed in; what could silently change a price is asked about.

Longer than 400 lines because one walk through one document shares its currency, tax and problems.
"""

from __future__ import annotations

import re
from datetime import date
from decimal import Decimal
from math import ceil
from pathlib import Path
from typing import Any

from rfq.intake.guard import run_child
from rfq.intake.kinds import Limits, shown_name, stop
from rfq.intake.matching import Known
from rfq.intake.row_class import part_of
from rfq.intake.row_words import charge_kind
from rfq.intake.ubl_tree import Node, tree_of
from rfq.problems import Place, Problem, Reading, Severity

# UN/ECE Rec 20: pieces a unit stands for. C62, H87 and EA are the same; PCE and 1 occur in files
# though they are not in the list; NIU is 'number of international units', used for pieces.
_PIECES: dict[str, int] = {
    **dict.fromkeys(("", "C62", "H87", "EA", "NIU", "PCE", "1", "XPP", "XUN", "PCS", "ST", "PC", "NAR", "U"), 1),
    "PR": 2, "DZN": 12, "DPC": 12, "CEN": 100, "HC": 100, "MIL": 1000, "T3": 1000,
}  # fmt: skip


_KG = {
    "KGM": Decimal(1),
    "GRM": Decimal("0.001"),
    "TNE": Decimal(1000),
    "LBR": Decimal("0.45359237"),
}


_LOT = {"LO", "XLT", "LS", "SET", "E51"}


_DAYS = {"DAY": Decimal(1), "WEE": Decimal(7), "MON": Decimal(30), "HUR": 1 / Decimal(24)}
_BASES = {1: "1", 10: "10", 12: "dozen", 100: "100", 1000: "1000"}


def read_ubl(path: Path, sha256: str, known: Known, limits: Limits) -> Reading[Any]:
    """Return the draft of a UBL Quotation.

    Problems: R003 damaged, R006 entities, R050 another document than a Quotation.
    """
    name = shown_name(path)
    answer, problem = run_child("xml", path, limits)
    if problem is not None:
        return Reading(None, (problem,))
    root = tree_of(answer["root"])
    if root.name != "Quotation" or "ubl" not in answer["namespace"].lower():
        return Reading(None, (stop("R050", f"{name} is XML of the kind '{root.name[:40]}' and no UBL Quotation; ask for a quotation as a spreadsheet or PDF.", name),))  # fmt: skip
    return Reading(_Quotation(root, name, sha256, known).draft())


class _Quotation:
    """One document on its way to a draft."""

    def __init__(self, root: Node, file: str, sha256: str, known: Known) -> None:
        self.root, self.file, self.sha256, self.known = root, file, sha256, known
        self.problems: list[Problem] = []
        self.prices: list[Any] = []
        self.charges: list[Any] = []
        self.cells: list[Any] = []
        self.currency = root.value("PricingCurrencyCode") or root.value("DocumentCurrencyCode")

    def place(self, node: Node) -> Place:
        return Place(self.file, path=node.path)

    def say(self, code: str, text: str, node: Node, severity: Severity, subject: str = "") -> None:
        self.problems.append(Problem(code, text, self.place(node), severity, subject=subject))

    def draft(self) -> Any:
        from rfq.model.draft import Draft

        root = self.root
        for line in root.all("QuotationLine"):
            self.line(line)
        for charge in root.all("AllowanceCharge"):
            self.charge(charge, "")
        tax, percent = self.tax()
        self.prices = [
            p.model_copy(update={"tax": tax, "tax_percent": percent})
            if p.tax == "not stated"
            else p
            for p in self.prices
        ]
        if tax == "not stated" and self.prices:
            self.say(
                "R034",
                "The quotation doesn't say whether tax is in its prices; they are taken as net until the shop says otherwise.",
                root,
                Severity.NOTE,
            )
        for code in ("PaymentAlternativeCurrencyCode", "PaymentCurrencyCode"):
            other = root.value(code)
            if other and self.currency and other != self.currency:
                self.say(
                    "R015",
                    f"The prices are in {self.currency}, payment is asked in {other}.",
                    root.one(code) or root,
                    Severity.NOTE,
                )
        if not self.prices:
            self.say("R028", "No price was found in this quotation.", root, Severity.ASK)
        answered = {p.part for p in self.prices}
        for number in self.known.quantities:
            if number not in answered:
                self.say(
                    "R036",
                    f"{number} was asked for and isn't in this reply.",
                    root,
                    Severity.NOTE,
                    number,
                )
        self.twice()
        revision = re.search(
            r"\d+", root.value("RequestForQuotationDocumentReference/VersionID") or ""
        )
        return Draft(
            file=self.file, sha256=self.sha256, form="ubl",
            shop=root.value("SellerSupplierParty/Party/PartyName/Name"),
            request=root.value("RequestForQuotationDocumentReference/ID")[:60],
            revision=int(revision[0]) if revision else 0,
            prices=tuple(self.prices), charges=tuple(self.charges), terms=self.terms(tax, percent),
            cells=tuple(self.cells), problems=tuple(self.problems),
        )  # fmt: skip

    def twice(self) -> None:
        seen: dict[tuple[str, int], int] = {}
        for index, price in enumerate(self.prices):
            key = (price.part, price.quantity)
            if price.alternative or price.each is None:
                continue
            if key in seen and self.prices[seen[key]].each != price.each:
                first = self.prices[seen[key]]
                for at, one in ((seen[key], first), (index, price)):
                    self.prices[at] = one.model_copy(update={"sure": False})
                    self.problems.append(Problem("R021", f"{price.part} at {price.quantity} stands twice, at {first.each} and at {price.each}; ask which stands.", one.place, Severity.ASK, subject=price.part))  # fmt: skip
            seen.setdefault(key, index)

    def line(self, line: Node) -> None:
        item = line.one("LineItem")
        if item is None:
            return
        part = self.item(item, line, "")
        for substitute in item.all("SubLineItem"):
            self.say(
                "R039",
                f"{part}: a sub-line is listed and not read as a price.",
                substitute,
                Severity.NOTE,
                part,
            )
        for name in ("AlternativeLineItem", "SellerProposedSubstituteLineItem"):
            for other in [*line.all(name), *item.all(name)]:
                what = (
                    other.value("Item/Description") or other.value("Item/Name") or "without a name"
                )
                self.item(
                    other, line, what if name.startswith("Alt") else f"substitute: {what}", part
                )
                self.say(
                    "R039",
                    f"{part}: '{what[:80]}' is proposed as an alternative and stands beside the price asked for.",
                    other,
                    Severity.NOTE,
                    part,
                )

    def item(self, item: Node, line: Node, alternative: str, of: str = "") -> str:
        ids = [
            item.value(f"Item/{party}ItemIdentification/ID")
            for party in ("Buyers", "Standard", "Catalogue", "Sellers", "Manufacturers")
        ]  # fmt: skip
        number = item.value("ID")
        # names may repeat; an item's own identifier that is no mere running number does not
        own = [number] if not re.fullmatch(r"\d{0,4}", number) else []
        texts = [*ids, *own, item.value("Item/Name"), item.value("Item/Description"), number]
        match = next((m for t in texts if t and (m := self.known.find(t))), None)
        printed = next((t for t in texts if t), f"line {line.value('ID')}")
        if match is None:
            match = part_of(next((i for i in ids if i), "") or printed, self.known, tails=False)
        part = of or match.part
        revision = match.revision
        for extra in item.all("Item/AdditionalItemProperty"):
            if re.search(r"(?i)rev|index|issue", extra.value("Name")):
                revision = revision or extra.value("Value")
        revision = (
            revision
            or item.value("Item/BuyersItemIdentification/ExtendedID")
            or self.known.numbers.get(part, "")
        )
        quantity = (
            item.number("Quantity")
            or item.number("MinimumQuantity")
            or line.number("RequestLineReference/Quantity")
        )
        units = item.one("Quantity").attributes.get("unitCode", "") if item.one("Quantity") else ""  # type: ignore[union-attr]
        pieces = self.pieces(quantity, units)
        prices = item.all("Price")
        ranged: list[tuple[Node, Decimal | None]] = [(p, None) for p in prices]
        for location in (
            line.all("LineItem/PricingReference/OriginalItemLocationQuantity")
            if not alternative
            else ()
        ):
            price = location.one("Price")
            if price is not None:
                ranged.append((price, location.number("MinimumQuantity")))
        once, total_moved = self.line_charges(item, part, alternative)
        minimum = item.number("MinimumQuantity")
        for price, floor in ranged:
            self.price(
                item,
                price,
                part,
                revision,
                pieces if floor is None else self.pieces(floor, units),
                units,
                once,
                total_moved,
                minimum,
                alternative,
                match.sure,
                printed,
                floor is not None,
            )
        return part

    def pieces(self, quantity: Decimal | None, unit: str) -> int | None:
        if quantity is None or unit in _KG:
            return None
        value = quantity * _PIECES.get(unit, 1)
        return (
            int(value) if value == value.to_integral_value() and 0 < value <= 10_000_000 else None
        )

    def line_charges(
        self, item: Node, part: str, alternative: str
    ) -> tuple[Decimal | None, Decimal]:
        once: Decimal | None = None
        moved = Decimal(0)
        for charge in item.all("AllowanceCharge"):
            amount = charge.number("Amount")
            adds = charge.value("ChargeIndicator").lower() == "true"
            reason = charge.value("AllowanceChargeReason") or charge.value(
                "AllowanceChargeReasonCode"
            )
            if amount is None:
                self.say(
                    "R024",
                    f"{part}: the charge '{reason}' has no amount; ask for it.",
                    charge,
                    Severity.ASK,
                    part,
                )
                continue
            moved += amount if adds else -amount
            kind = charge_kind(reason)
            if (
                adds
                and not alternative
                and kind in ("one-off", "tooling", "first article", "other", "surcharge")
            ):
                once = (once or Decimal(0)) + amount
                if kind in ("other", "surcharge"):
                    self.say(
                        "R024",
                        f"{part}: the charge '{reason or 'without reason'}' of {amount} is taken once for the line; ask what it is for.",
                        charge,
                        Severity.NOTE,
                        part,
                    )
            elif not alternative:
                self.charge(charge, part)
        return once, moved

    def charge(self, node: Node, part: str) -> None:
        from rfq.model.quote import Charge

        amount = node.number("Amount")
        adds = node.value("ChargeIndicator").lower() == "true"
        reason = (
            node.value("AllowanceChargeReason")
            or node.value("AllowanceChargeReasonCode")
            or "charge"
        )
        factor = node.number("MultiplierFactorNumeric")
        if amount is None and factor is None:
            return
        money = node.one("Amount")
        code = money.attributes.get("currencyID", self.currency) if money else self.currency
        kind = charge_kind(reason) if adds else "discount"
        self.charges.append(
            Charge(
                name=reason[:120], kind=kind, amount=None if amount is None else (amount if adds else -amount),
                percent=factor * 100 if amount is None and factor is not None else None,
                currency=code if re.fullmatch("[A-Z]{3}", code or "") else "",
                per="part" if part else "order", part=part, place=self.place(node),
            )
        )  # fmt: skip

    def price(
        self, item: Node, price: Node, part: str, revision: str, pieces: int | None, units: str,
        once: Decimal | None, moved: Decimal, minimum: Decimal | None, alternative: str,
        match_sure: float, printed: str, is_break: bool,
    ) -> None:  # fmt: skip
        from rfq.model.draft import DraftCell
        from rfq.model.quote import Price

        node = price.one("PriceAmount") or price
        amount = price.number("PriceAmount")
        code = node.attributes.get("currencyID", "") or self.currency
        base_node = price.one("BaseQuantity")
        base = price.number("BaseQuantity")
        doubts: list[tuple[str, str]] = []
        if amount is None:
            self.say(
                "R010",
                f"{part}: the price '{node.text[:40]}' is no number.",
                node,
                Severity.ASK,
                part,
            )
            return
        if base is None:
            base = Decimal(1)
        if base <= 0:
            doubts.append(("R022", f"the base quantity {base} can't be right"))
            base = Decimal(1)
        base_unit = base_node.attributes.get("unitCode", "") if base_node else units
        weight = None
        per = "1"
        each: Decimal | None
        if base_unit in _KG:
            total = item.number("LineExtensionAmount")
            each = None
            per = "kg"
            if total is not None and pieces:
                each = (total - moved) / pieces
                per_kg = amount / (base * _KG[base_unit])
                weight = each / per_kg if per_kg > 0 else None
            else:
                doubts.append(("R030", "the price is by weight and no weight of a piece is given"))
        elif base_unit in _LOT or (units in _LOT and base_unit == units):
            asked = self.known.quantities.get(part, ())
            count = pieces if units not in _LOT else (asked[0] if len(asked) == 1 else None)
            per = "lot"
            each = amount / count if count else None
            if not count:
                doubts.append(
                    ("R017", f"the price is for a {base_unit}; ask how many pieces that is")
                )
            pieces = count
        else:
            if base_unit not in _PIECES:
                doubts.append(
                    ("R022", f"the unit '{base_unit}' of the price is not known; ask what it is")
                )
            count_in_base = base * _PIECES.get(base_unit, 1)
            each = amount / count_in_base
            per = (
                _BASES.get(int(count_in_base), "1")
                if count_in_base == count_in_base.to_integral_value()
                else "1"
            )
            if per == "1" and count_in_base != 1:
                if pieces and count_in_base == pieces:
                    per = "lot"
                else:
                    self.say(
                        "R022",
                        f"{part}: the price is for {count_in_base} pieces; one is {each:f}.",
                        price,
                        Severity.NOTE,
                        part,
                    )
            if (
                base_node is not None
                and units
                and base_unit != units
                and {units, base_unit} <= _PIECES.keys()
                and _PIECES[units] != _PIECES[base_unit]
            ):
                self.say(
                    "R022",
                    f"{part}: the quantity is in {units} and the price per {base} {base_unit}; both were turned into pieces.",
                    base_node,
                    Severity.NOTE,
                    part,
                )
        factor = price.number("OrderableUnitFactorRate")
        if factor is not None and factor != 1:
            doubts.append(
                (
                    "R022",
                    f"an orderable unit factor of {factor} stands at the price; ask what one piece costs",
                )
            )
        for extra in price.all("AllowanceCharge"):
            value = extra.number("Amount")
            rate = extra.number("MultiplierFactorNumeric")
            adds = extra.value("ChargeIndicator").lower() == "true"
            doubts.append(
                (
                    "R022",
                    f"the price carries {'a charge' if adds else 'an allowance'} of {value if value is not None else rate} of its own; ask whether {amount} is before or after it",
                )
            )
        if pieces is None:
            doubts.append(
                ("R017", "the quantity isn't given in pieces; say for how many the price is meant")
            )
        elif units not in _PIECES and base_unit in _PIECES:
            doubts.append(("R017", f"the quantity is in '{units}'; ask how many pieces that is"))
        if not re.fullmatch("[A-Z]{3}", code or ""):
            doubts.append(("R015", "no currency is stated"))
            code = ""
        total = item.number("LineExtensionAmount")
        quantity = pieces or 1
        evidence = f"{amount} / {base}"
        if total is not None and each is not None and not is_break and per != "kg":
            goods = each * quantity
            slack = Decimal("0.0051") + (quantity * Decimal("0.005") if quantity > 1 else 0)
            if min(abs(goods - total), abs(goods + moved - total)) >= slack:
                doubts.append(
                    (
                        "R012",
                        f"{quantity} x {each:f} isn't the line's amount {total}; ask which is right",
                    )
                )
            else:
                evidence += f"; {quantity} x {each:f} = {total}"
        if each is not None and each <= 0:
            doubts.append(
                ("R023", "the price is nought or negative; ask whether the part is quoted")
            )
            each = each if each == 0 else None
        if match_sure < 0.9:
            doubts.append(
                (
                    "R019" if match_sure > 0.4 else "R018",
                    f"'{printed}' {'may be ' + part if match_sure > 0.4 else 'is not a part of the request'}; confirm the part",
                )
            )
        place = self.place(node)
        for problem, text in doubts:
            self.problems.append(
                Problem(
                    problem, f"{part} at {quantity}: {text}.", place, Severity.ASK, subject=part
                )
            )
        days = item.number("Delivery/EstimatedDeliveryPeriod/DurationMeasure") or item.number(
            "Delivery/PromisedDeliveryPeriod/DurationMeasure"
        )
        measure = item.one("Delivery/EstimatedDeliveryPeriod/DurationMeasure") or item.one(
            "Delivery/PromisedDeliveryPeriod/DurationMeasure"
        )
        unit = measure.attributes.get("unitCode", "DAY") if measure else "DAY"
        least = self.pieces(minimum, units)
        self.prices.append(
            Price(
                part=part, revision=revision[:20], quantity=quantity, printed=amount, per=per, each=each,
                currency=code, tax="not stated", one_off=once, one_off_name="line charge" if once is not None else "",
                minimum_quantity=least, weight_kg=weight if weight and weight > 0 else None, line_total=total if not is_break else None,
                lead=f"{days} {unit}" if days is not None else "",
                lead_days=ceil(days * _DAYS[unit]) if days is not None and unit in _DAYS and 0 <= days < 5000 else None,
                alternative=alternative[:200], place=place, sure=not doubts, evidence=evidence,
                note=(item.value("Note"))[:300],
            )
        )  # fmt: skip
        self.cells.append(
            DraftCell(
                place=place,
                raw=node.text,
                meaning="unit price",
                understood=f"{each} each at {quantity}",
            )
        )

    def tax(self) -> tuple[Any, Decimal | None]:
        """Tell net from gross by the totals; a total that contradicts its own name is said."""
        root = self.root
        totals = root.one("QuotedMonetaryTotal") or root.one("AnticipatedMonetaryTotal")
        subtotals = [
            *root.all("TaxTotal/TaxSubtotal/TaxCategory"),
            *root.all("TaxTotal/TaxSubtotal"),
        ]
        rates = {n.number("Percent") for n in subtotals if n.one("Percent")}
        percent = rates.pop() if len(rates) == 1 else None
        if totals is None:
            return ("excluded" if root.all("TaxTotal") else "not stated"), percent
        lines = totals.number("LineExtensionAmount")
        exclusive = totals.number("TaxExclusiveAmount")
        inclusive = totals.number("TaxInclusiveAmount")
        summed = sum(
            (
                n
                for item in root.all("QuotationLine/LineItem")
                if (n := item.number("LineExtensionAmount")) is not None
            ),
            Decimal(0),
        )
        goods = lines if lines is not None else summed
        if lines is not None and summed and abs(lines - summed) > Decimal("0.01"):
            self.say(
                "R032",
                f"The lines add up to {summed}, the total of the lines says {lines}; ask what is in it.",
                totals.one("LineExtensionAmount") or totals,
                Severity.ASK,
            )
        others = (totals.number("ChargeTotalAmount") or Decimal(0)) - (
            totals.number("AllowanceTotalAmount") or Decimal(0)
        )
        if exclusive is not None and inclusive is not None and goods:
            right = abs(goods + others - exclusive) <= Decimal("0.02")
            if not right and abs(goods + others + exclusive - inclusive) <= Decimal("0.02"):
                self.say(
                    "R051",
                    f"TaxExclusiveAmount {exclusive} is not the sum without tax but the tax itself: the lines make {goods}, with tax {inclusive}. The line prices are net.",
                    totals.one("TaxExclusiveAmount") or totals,
                    Severity.NOTE,
                )
                if percent is None and goods:
                    percent = round(exclusive / (goods + others) * 100, 2)
                return "excluded", percent
            if (
                not right
                and abs(goods + others - inclusive) <= Decimal("0.02")
                and inclusive > exclusive
            ):
                self.say(
                    "R016",
                    f"The lines add up to the sum with tax ({inclusive}), so tax seems to be inside the prices; ask for net prices.",
                    totals,
                    Severity.ASK,
                )
                self.prices = [p.model_copy(update={"sure": False}) for p in self.prices]
                for price in self.prices:
                    self.problems.append(
                        Problem(
                            "R016",
                            f"{price.part} at {price.quantity}: tax seems to be inside the price.",
                            price.place,
                            Severity.ASK,
                            subject=price.part,
                        )
                    )
                return "included", percent
            if inclusive > exclusive and percent is None:
                percent = round((inclusive / exclusive - 1) * 100, 2) if exclusive else None
            return "excluded", percent
        if any(
            item.number("TotalTaxAmount") for item in root.all("QuotationLine/LineItem")
        ) or root.all("TaxTotal"):
            return "excluded", percent
        return "not stated", percent

    def terms(self, tax: Any, percent: Decimal | None) -> Any:
        from rfq.intake.numbers import Habit
        from rfq.intake.terms import read_terms
        from rfq.intake.terms_found import Said

        root = self.root
        said: list[Said] = []
        for path in (
            "DeliveryTerms/ID",
            "DeliveryTerms/SpecialTerms",
            "TransactionConditions/Description",
            "PaymentMeans/InstructionNote",
            "PaymentTerms/Note",
            "Note",
            "QuotationLine/Note",
        ):
            for node in root.all(path):
                text = node.text
                if path == "DeliveryTerms/ID" and not re.fullmatch(r"[A-Za-z]{3}", text):
                    continue
                said.append(
                    Said(text.upper() if path == "DeliveryTerms/ID" else text, self.place(node))
                )
        location = root.value("DeliveryTerms/DeliveryLocation/Address/CityName")
        read = read_terms(
            said[::1] if not said else sorted(said, key=lambda s: len(s.text) == 3), Habit(".")
        )
        end = root.value("ValidityPeriod/EndDate")
        try:
            until = date.fromisoformat(end[:10]) if end else None
        except ValueError:
            until = None
        if until is not None:
            node = root.one("ValidityPeriod/EndDate") or root
            read.values["valid_until"] = until
            read.places["valid_until"] = self.place(node)
        if location:
            read.values.setdefault("place", location)
        origin = {
            n.text for n in root.all("QuotationLine/LineItem/Item/OriginCountry/IdentificationCode")
        }
        if len(origin) == 1 and re.fullmatch("[A-Z]{2}", next(iter(origin))):
            read.values.setdefault("origin", origin.pop())
        self.charges += [
            c
            for c in read.charges
            if c.amount is not None or c.percent is not None or c.below is not None
        ]
        for code, text, place in read.doubts:
            self.problems.append(Problem(code, text + ".", place, Severity.NOTE))
        read.values["tax"] = tax
        if percent is not None and 0 <= percent <= 100:
            read.values["tax_percent"] = percent
        return read.terms()
