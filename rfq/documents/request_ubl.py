"""The request as OASIS UBL 2.1 RequestForQuotation, for shops whose programs read it.

One line a part and quantity. Element order follows the schema; a test holds the result against
the published one.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime
from typing import Final
from xml.etree import ElementTree

from rfq.documents.drawings import flat_name
from rfq.documents.outgoing import Outgoing
from rfq.model.part import Part
from rfq.model.request import RequestLine
from rfq.model.shop import Contact

_DOC: Final = "urn:oasis:names:specification:ubl:schema:xsd:RequestForQuotation-2"
_CAC: Final = "urn:oasis:names:specification:ubl:schema:xsd:CommonAggregateComponents-2"
_CBC: Final = "urn:oasis:names:specification:ubl:schema:xsd:CommonBasicComponents-2"
_PIECE: Final = "C62"  # 'one', UN/ECE Recommendation 20

Element = ElementTree.Element


def request_ubl(out: Outgoing, now: datetime) -> bytes:
    """Return the request of one shop as UBL 2.1 XML.

    Args:
        out: what the shop may see. now: date of issue.
    """
    moment = now.astimezone(UTC) if now.tzinfo else now.replace(tzinfo=UTC)
    root = Element("RequestForQuotation")
    root.set("xmlns", _DOC)
    root.set("xmlns:cac", _CAC)
    root.set("xmlns:cbc", _CBC)
    request = out.request
    _say(root, "UBLVersionID", "2.1")
    _say(root, "ID", request.id)
    _say(root, "IssueDate", moment.date().isoformat())
    _say(root, "IssueTime", moment.strftime("%H:%M:%SZ"))
    if out.answer_by is not None:
        _say(root, "SubmissionDueDate", out.answer_by.date().isoformat())
    _say(root, "Note", request.title)
    _say(root, "Note", f"Revision {request.revision}, round {out.round}, content {out.key[:8]}")
    _say(root, "Note", request.cover_note)
    _say(root, "PricingCurrencyCode", request.terms.currency or out.shop.currency)
    _say(root, "LineCountNumeric", str(sum(len(line.quantities) for line in out.lines)))
    buyer = _add(root, "OriginatorCustomerParty")
    _party(buyer, out.company, out.address, out.country, out.contact)
    seller = _add(root, "SellerSupplierParty")
    _say(seller, "CustomerAssignedAccountID", out.shop.id)
    _party(seller, out.shop.name, out.shop.address, out.shop.country, out.shop.contact)
    if request.terms.incoterm or request.terms.place:
        delivery = _add(root, "DeliveryTerms")
        _say(delivery, "ID", request.terms.incoterm)
        _say(delivery, "SpecialTerms", request.terms.place)
    parts = {part.number: part for part in out.parts}
    number = 0
    for line in out.lines:
        for quantity in line.quantities:
            number += 1
            _line(root, out, number, line, parts[line.part], quantity)
    ElementTree.indent(root)
    text: str = ElementTree.tostring(root, "unicode")
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{text}\n'.encode()


def _line(
    root: Element, out: Outgoing, number: int, line: RequestLine, part: Part, quantity: int
) -> None:
    outer = _add(root, "RequestForQuotationLine")
    _say(outer, "ID", str(number))
    _say(outer, "Note", part.shop_note)
    for ref in (part.drawing, part.model):
        if ref is not None:
            reference = _add(outer, "DocumentReference")
            _say(reference, "ID", flat_name(part, ref, "drawing"))
            _say(reference, "VersionID", part.revision)
    inner = _add(outer, "LineItem")
    _say(inner, "ID", str(number))
    amount = _say(inner, "Quantity", str(quantity))
    if amount is not None:
        amount.set("unitCode", _PIECE)
    wanted = out.need_date(part)
    if wanted is not None:
        period = _add(_add(inner, "Delivery"), "RequestedDeliveryPeriod")
        _say(period, "EndDate", wanted.isoformat())
    item = _add(inner, "Item")
    _say(item, "Name", part.name)
    _say(_add(item, "BuyersItemIdentification"), "ID", part.number)
    properties = (
        ("revision", part.revision),
        ("material", f"{part.material} {part.temper}".strip()),
        ("material standard", part.material_standard),
        ("form", part.form),
        ("finish", ", ".join(f"{f.name} {f.grade}".strip() for f in part.finishes)),
        ("certificate EN 10204", part.certificate),
    )
    for name, value in properties:
        if value:
            prop = _add(item, "AdditionalItemProperty")
            _say(prop, "Name", name)
            _say(prop, "Value", value)


def _party(
    holder: Element, name: str, address: Sequence[str], country: str, contact: Contact
) -> None:
    party = _add(holder, "Party")
    _say(_add(party, "PartyName"), "Name", name)
    place = _add(party, "PostalAddress")
    for text in address:
        _say(_add(place, "AddressLine"), "Line", text)
    _say(_add(place, "Country"), "IdentificationCode", country)
    if contact.name or contact.email or contact.phone:
        person = _add(party, "Contact")
        _say(person, "Name", contact.name)
        _say(person, "Telephone", contact.phone)
        _say(person, "ElectronicMail", contact.email)


def _add(holder: Element, name: str) -> Element:
    return ElementTree.SubElement(holder, f"cac:{name}")


def _say(holder: Element, name: str, text: str) -> Element | None:
    """Add a basic component; an empty one is left out, as UBL forbids empty elements."""
    clean = "".join(char if char.isprintable() else " " for char in text).strip()
    if not clean:
        return None
    element = ElementTree.SubElement(holder, f"cbc:{name}")
    element.text = clean
    return element
