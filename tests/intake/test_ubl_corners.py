# ruff: noqa: E501 - one made line of a quotation stands on one line
"""UBL quotations as programs write them: units, bases, charges, tax, and what is left to ask.

Element names: OASIS UBL 2.1, Quotation. Units: UN/ECE Recommendation 20 (C62 one, DZN dozen, KGM
kilogram, LO lot, BX box, WEE week, HUR hour). The figures are invented.
"""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest

from rfq.intake.read import read_reply
from rfq.model.draft import Draft
from rfq.model.request import Request, RequestLine

REQUEST = Request(
    id="2026-07",
    title="Brackets",
    lines=tuple(RequestLine(part=p, quantities=(10,)) for p in ("BR-1041", "SH-2007")),
)
_URN = "urn:oasis:names:specification:ubl:schema:xsd:"
EUR = "<cbc:PricingCurrencyCode>EUR</cbc:PricingCurrencyCode>"


def money(name: str, amount: str) -> str:
    return f'<cbc:{name} currencyID="EUR">{amount}</cbc:{name}>'


def base(count: str, unit: str = "C62") -> str:
    return f'<cbc:BaseQuantity unitCode="{unit}">{count}</cbc:BaseQuantity>'


def charge(adds: bool, amount: str, why: str = "", factor: str = "") -> str:
    parts = f"<cbc:ChargeIndicator>{str(adds).lower()}</cbc:ChargeIndicator><cbc:AllowanceChargeReason>{why}</cbc:AllowanceChargeReason>"
    parts += f"<cbc:MultiplierFactorNumeric>{factor}</cbc:MultiplierFactorNumeric>" * bool(factor)
    return f"<cac:AllowanceCharge>{parts}{money('Amount', amount) * bool(amount)}</cac:AllowanceCharge>"


def line(
    price: str, *, quantity: str = "10", unit: str = "C62", at_price: str = "", amount: str = "",
    before: str = "", item: str = "", after: str = "", part: str = "BR-1041",
) -> str:  # fmt: skip
    return (
        f'<cac:QuotationLine><cbc:ID>1</cbc:ID><cac:LineItem><cbc:ID>1</cbc:ID><cbc:Quantity unitCode="{unit}">{quantity}</cbc:Quantity>'
        f"{money('LineExtensionAmount', amount) * bool(amount)}{before}<cac:Price>{money('PriceAmount', price)}{at_price}</cac:Price>"
        f"<cac:Item><cac:BuyersItemIdentification><cbc:ID>{part}</cbc:ID></cac:BuyersItemIdentification>{item}</cac:Item></cac:LineItem>{after}</cac:QuotationLine>"
    )


def read(folder: Path, content: str, head: str = EUR) -> Draft:
    path = folder / "q.xml"
    path.write_text(
        f'<?xml version="1.0"?><Quotation xmlns="{_URN}Quotation-2" xmlns:cac="{_URN}CommonAggregateComponents-2" xmlns:cbc="{_URN}CommonBasicComponents-2">{head}{content}</Quotation>',
        encoding="utf-8",
    )
    draft: Draft = read_reply(path, REQUEST).get()
    return draft


def asked(draft: Draft) -> set[str]:
    return {p.code for p in draft.problems if p.severity.value == "ask"}


@pytest.mark.parametrize(
    ("content", "quantity", "each", "per"),
    [
        (line("4590", at_price=base("100"), amount="459.00"), 10, "45.90", "100"),
        (line("550.80", at_price=base("1", "DZN"), amount="459.00"), 10, "45.90", "dozen"),
        (line("45.90", quantity="2", unit="DZN", at_price=base("1"), amount="1101.60"), 24, "45.90", "1"),
        (line("459.00", at_price=base("1", "LO"), amount="459.00"), 10, "45.90", "lot"),
        (line("459.00", quantity="1", unit="LO", amount="459.00"), 10, "45.90", "lot"),
        (line("2295", quantity="50", at_price=base("50"), amount="2295"), 50, "45.90", "lot"),
        (line("321.30", at_price=base("7"), amount="459.00"), 10, "45.90", "1"),
        (line("9.18", at_price=base("1", "KGM"), amount="459.00"), 10, "45.90", "kg"),
    ],
    ids=["per 100", "per dozen", "dozens", "lot of 10", "one lot", "base is the lot", "per 7", "by weight"],
)  # fmt: skip
def test_one_piece_costs_the_same_however_it_is_written(
    tmp_path: Path, content: str, quantity: int, each: str, per: str
) -> None:
    (price,) = read(tmp_path, content).prices
    assert (price.quantity, price.each, price.per) == (quantity, Decimal(each), per)
    assert price.sure


def test_by_weight_gives_the_weight_of_a_piece(tmp_path: Path) -> None:
    (price,) = read(tmp_path, line("9.18", at_price=base("1", "KGM"), amount="459.00")).prices
    assert price.weight_kg == Decimal(5)  # 45.90 a piece at 9.18 a kilogram


@pytest.mark.parametrize(
    ("content", "code"),
    [
        (line("9.18", at_price=base("1", "KGM")), "R030"),
        (line("45.90", at_price=base("1", "MTR")), "R022"),
        (line("45.90", at_price=base("1"), unit="BX"), "R017"),
        (line("45.90", at_price=base("0")), "R022"),
        (line("45.90", at_price="<cbc:OrderableUnitFactorRate>12</cbc:OrderableUnitFactorRate>"), "R022"),
        (line("45.90", at_price=charge(False, "", "rebate", "0.1")), "R022"),
        (line("45.90", quantity="10.5"), "R017"),
        (line("45.90", quantity="-10"), "R017"),
        (line("45.90", quantity="ten"), "R017"),
        (line("-1"), "R023"),
        (line("0"), "R023"),
        (line("45.90", amount="1459.00"), "R012"),
        (line("45.90", part="XX-1"), "R018"),
        (line("45.90").replace('"EUR"', '"euro"'), "R015"),
        (line("45.90") + line("40.90"), "R021"),
    ],
    ids=["no weight", "metres", "boxes", "base nought", "unit factor", "allowance in the price", "half a piece", "below nought", "word", "negative", "nought", "amount off", "unknown part", "no currency", "twice"],
)  # fmt: skip
def test_what_could_change_a_price_is_asked(tmp_path: Path, content: str, code: str) -> None:
    draft = read(tmp_path, content)
    assert code in asked(draft)
    assert draft.prices and not any(p.sure for p in draft.prices)


def test_a_price_with_a_comma_is_no_number_of_xml(tmp_path: Path) -> None:
    draft = read(tmp_path, line("45,90"))
    assert not draft.prices and {"R010", "R028"} <= asked(draft)


def test_a_line_without_an_item_says_that_no_price_was_found(tmp_path: Path) -> None:
    assert "R028" in asked(read(tmp_path, "<cac:QuotationLine><cbc:ID>1</cbc:ID></cac:QuotationLine>"))  # fmt: skip


def test_charges_of_lines_and_of_the_order(tmp_path: Path) -> None:
    draft = read(
        tmp_path,
        line("45.90", amount="659.00", before=charge(True, "200", "Tooling"))
        + line("45.90", amount="449.00", before=charge(False, "10", "Discount"), part="SH-2007")
        + charge(True, "85", "Freight") + charge(False, "", "Discount", "0.02") + charge(True, "", "x"),
    )  # fmt: skip
    assert [(p.part, p.each, p.one_off, p.sure) for p in draft.prices] == [
        ("BR-1041", Decimal("45.90"), Decimal(200), True),
        ("SH-2007", Decimal("45.90"), None, True),
    ]
    assert [(c.kind, c.amount, c.percent, c.part) for c in draft.charges] == [
        ("discount", Decimal(-10), None, "SH-2007"),
        ("freight", Decimal(85), None, ""),
        ("discount", None, Decimal(2), ""),
    ]


def test_a_charge_without_amount_or_reason_is_said(tmp_path: Path) -> None:
    draft = read(tmp_path, line("5", before=charge(True, "", "Setup") + charge(True, "7")))
    assert draft.prices[0].one_off == Decimal(7)
    assert [p.message for p in draft.problems if p.code == "R024"] == [
        "BR-1041: the charge 'Setup' has no amount; ask for it.",
        "BR-1041: the charge 'without reason' of 7 is taken once for the line; ask what it is for.",
    ]


@pytest.mark.parametrize(
    ("rate", "percent"), [("19", Decimal(19)), ("19 %", None), ("", None), ("119", None)]
)
def test_tax_beside_the_lines_leaves_them_net(
    tmp_path: Path, rate: str, percent: Decimal | None
) -> None:
    total = f"<cac:TaxTotal><cac:TaxSubtotal><cac:TaxCategory><cbc:Percent>{rate}</cbc:Percent></cac:TaxCategory></cac:TaxSubtotal></cac:TaxTotal>"
    draft = read(tmp_path, line("45.90") + total)
    assert (draft.terms.tax, draft.terms.tax_percent) == ("excluded", percent)


def totals(**amounts: str) -> str:
    inner = "".join(money(name, amount) for name, amount in amounts.items())
    return f"<cac:QuotedMonetaryTotal>{inner}</cac:QuotedMonetaryTotal>"


def test_net_and_gross_are_told_apart_by_the_totals(tmp_path: Path) -> None:
    net = line("45.90", amount="459.00")
    plain = read(tmp_path, net + totals(TaxExclusiveAmount="459.00", TaxInclusiveAmount="546.21"))
    assert (plain.terms.tax, plain.terms.tax_percent) == ("excluded", Decimal(19))
    # the tax itself under the name of the sum without tax, as in the standard's own example
    trap = read(tmp_path, net + totals(TaxExclusiveAmount="87.21", TaxInclusiveAmount="546.21"))
    assert (trap.terms.tax, trap.terms.tax_percent) == ("excluded", Decimal(19))
    assert plain.prices[0].sure and trap.prices[0].sure
    gross = read(
        tmp_path,
        line("54.621", amount="546.21") + totals(TaxExclusiveAmount="459.00", TaxInclusiveAmount="546.21"),
    )  # fmt: skip
    assert gross.terms.tax == "included" and not gross.prices[0].sure and "R016" in asked(gross)


def test_lines_that_do_not_make_the_total_are_asked_about(tmp_path: Path) -> None:
    draft = read(tmp_path, line("45.90", amount="459.00") + totals(LineExtensionAmount="500.00"))
    assert "R032" in asked(draft)


def test_an_alternative_stands_beside_the_price_asked_for(tmp_path: Path) -> None:
    other = f'<cac:AlternativeLineItem><cbc:ID>1</cbc:ID><cbc:Quantity unitCode="C62">10</cbc:Quantity><cac:Price>{money("PriceAmount", "39")}</cac:Price><cac:Item><cbc:Description>cast instead of milled</cbc:Description></cac:Item></cac:AlternativeLineItem>'
    draft = read(tmp_path, line("45.90", before="<cac:SubLineItem/>", after=other))
    assert [(p.part, p.each, p.alternative) for p in draft.prices] == [
        ("BR-1041", Decimal("45.90"), ""),
        ("BR-1041", Decimal(39), "cast instead of milled"),
    ]
    assert sum(p.code == "R039" for p in draft.problems) == 2


def test_a_price_break_has_its_own_quantity(tmp_path: Path) -> None:
    more = f'<cac:PricingReference><cac:OriginalItemLocationQuantity><cbc:MinimumQuantity unitCode="C62">50</cbc:MinimumQuantity><cac:Price>{money("PriceAmount", "40.10")}</cac:Price></cac:OriginalItemLocationQuantity></cac:PricingReference>'
    draft = read(tmp_path, line("45.90", amount="459.00", before=more))
    assert [(p.quantity, p.each, p.sure) for p in draft.prices] == [
        (10, Decimal("45.90"), True),
        (50, Decimal("40.10"), True),
    ]


@pytest.mark.parametrize(
    ("count", "unit", "days"), [("4", "WEE", 28), ("48", "HUR", 2), ("2", "MON", 60), ("10", "DAY", 10), ("3", "BX", None), ("-3", "DAY", None)]
)  # fmt: skip
def test_lead_time_in_days(tmp_path: Path, count: str, unit: str, days: int | None) -> None:
    period = f'<cac:Delivery><cac:EstimatedDeliveryPeriod><cbc:DurationMeasure unitCode="{unit}">{count}</cbc:DurationMeasure></cac:EstimatedDeliveryPeriod></cac:Delivery>'
    assert read(tmp_path, line("45.90", before=period)).prices[0].lead_days == days


def test_terms_revision_and_the_currency_of_payment(tmp_path: Path) -> None:
    revision = "<cac:AdditionalItemProperty><cbc:Name>Revision</cbc:Name><cbc:Value>B</cbc:Value></cac:AdditionalItemProperty><cac:OriginCountry><cbc:IdentificationCode>CZ</cbc:IdentificationCode></cac:OriginCountry>"
    said = "<cac:ValidityPeriod><cbc:EndDate>2027-01-31</cbc:EndDate></cac:ValidityPeriod><cac:DeliveryTerms><cbc:ID>exw</cbc:ID><cac:DeliveryLocation><cac:Address><cbc:CityName>Brno</cbc:CityName></cac:Address></cac:DeliveryLocation></cac:DeliveryTerms>"
    draft = read(
        tmp_path,
        line("45.90", item=revision) + said,
        EUR + "<cbc:PaymentCurrencyCode>CZK</cbc:PaymentCurrencyCode>",
    )
    terms = draft.terms
    assert draft.prices[0].revision == "B"
    assert (terms.incoterm, terms.place, terms.origin) == ("EXW", "Brno", "CZ")
    assert terms.valid_until == date(2027, 1, 31)
    assert any("payment is asked in CZK" in p.message for p in draft.problems)


def test_another_document_is_refused_with_its_name(tmp_path: Path) -> None:
    path = tmp_path / "o.xml"
    path.write_text('<?xml version="1.0"?><Order xmlns="urn:x"/>')
    reading = read_reply(path)
    assert reading.value is None and "kind 'Order'" in reading.problems[0].message
