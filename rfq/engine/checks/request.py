"""Checks of the request itself: dates, terms, rules, shops."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta

from rfq.engine.checks.facts import Facts, finding
from rfq.engine.standards import incoterms, iso2768
from rfq.model.callout import Geometric, Texture
from rfq.problems import Problem, Severity

STOP, ASK, NOTE = Severity.STOP, Severity.ASK, Severity.NOTE


def lines_and_shops(facts: Facts) -> Iterator[Problem]:
    """Somebody is asked for something, and both are known."""
    request, project = facts.request, facts.project
    if not request.lines:
        yield finding(
            "C101", STOP, facts.at_request("lines"), "the request has no lines",
            why="there is nothing to quote", right="[[lines]] with part and quantities",
        )  # fmt: skip
    if not request.asked:
        yield finding(
            "C102", STOP, facts.at_request("asked"), "no shop is asked",
            why="there is nobody to send it to", right="[[asked]] with a shop's id",
        )  # fmt: skip
    for index, line in enumerate(request.lines):
        if line.part not in project.parts:
            yield finding(
                "C103", STOP, facts.at_request(f"lines.{index}.part"),
                f"part {line.part} is not in parts/",
                why="a shop cannot quote what is not described",
                right=f"parts/{line.part}.toml, or another part number", subject=line.part,
            )  # fmt: skip
        if line.order_first is not None and line.order_first not in line.quantities:
            yield finding(
                "C104", ASK, facts.at_request(f"lines.{index}.order_first"),
                f"{line.part}: {line.order_first} pcs are ordered first, but prices are asked at "
                f"{', '.join(map(str, line.quantities))}",
                why="the price that binds would be the one of the next lower quantity",
                right=f"{line.order_first} among the quantities", subject=line.part,
            )  # fmt: skip
    for index, asked in enumerate(request.asked):
        if asked.shop not in project.shops:
            yield finding(
                "C105", STOP, facts.at_request(f"asked.{index}.shop"),
                f"shop {asked.shop} is not in shops/",
                why="nobody knows where to send it", right=f"shops/{asked.shop}.toml",
                subject=asked.shop,
            )  # fmt: skip
        for part in asked.parts:
            if request.line(part) is None:
                yield finding(
                    "C106", STOP, facts.at_request(f"asked.{index}.parts"),
                    f"{asked.shop} is asked for {part}, which is not a line of the request",
                    why="the shop would quote something else than the others",
                    right="a part of the request", subject=part,
                )  # fmt: skip


def dates(facts: Facts) -> Iterator[Problem]:
    """Shops have time to answer, and the need date leaves time to make the parts."""
    request = facts.request
    if request.answer_by is None:
        yield finding(
            "C111", STOP, facts.at_request("answer_by"), "no date is given to answer by",
            why="an open question is answered last", right="answer_by with a time zone",
        )  # fmt: skip
        return
    due = request.answer_by.date()
    if request.state == "open":
        workdays = sum(
            (facts.today + timedelta(days=day)).weekday() < 5
            for day in range(1, max(0, (due - facts.today).days) + 1)
        )
        if workdays < 5:
            yield finding(
                "C112", ASK, facts.at_request("answer_by"),
                f"{workdays} working days are left to answer by {due}",
                why="a careful quotation takes a shop five working days or more "
                "(common practice, no source)",
                right="five working days at least",
            )  # fmt: skip
    if request.need_date is not None and request.need_date <= due:
        yield finding(
            "C113", STOP, facts.at_request("need_date"),
            f"parts are needed on {request.need_date}, before answers are due on {due}",
            why="no shop can deliver before it has quoted", right="a need date after the answers",
        )  # fmt: skip


def terms(facts: Facts) -> Iterator[Problem]:
    """Delivery, payment, contact: what a clerk needs to quote without a telephone call."""
    terms_ = facts.request.terms
    if not terms_.incoterm:
        yield finding(
            "C121", ASK, facts.at_request("terms.incoterm"), "no delivery terms are asked for",
            why="each shop then picks its own, and prices cannot be compared",
            right="an Incoterms 2020 rule with a named place, such as FCA or DAP",
        )  # fmt: skip
    elif not terms_.place:
        yield finding(
            "C122", STOP, facts.at_request("terms.place"),
            f"{terms_.incoterm} stands without a named place",
            why="an Incoterms rule without its place says nothing about who pays the carriage",
            right=f"{terms_.incoterm} with a town or address",
        )  # fmt: skip
    if terms_.incoterm in incoterms.SEA_ONLY:
        yield finding(
            "C123", ASK, facts.at_request("terms.incoterm"),
            f"{terms_.incoterm} is a rule for goods handed over on a ship",
            why="parcels go by courier or road", right="FCA, CPT, CIP, DAP or DPU",
        )  # fmt: skip
    if terms_.incoterm == "EXW" and any(
        shop.country != facts.project.settings.country
        for asked in facts.request.asked
        if (shop := facts.project.shops.get(asked.shop)) is not None
    ):
        yield finding(
            "C124", ASK, facts.at_request("terms.incoterm"),
            "EXW is asked of a shop in another country",
            why="a buyer can hardly clear goods for export where the shop is", right="FCA",
        )  # fmt: skip
    if not terms_.payment:
        yield finding(
            "C125", ASK, facts.at_request("terms.payment"), "no payment terms are asked for",
            why="prepayment and 60 days net are not the same price", right="such as 30 days net",
        )  # fmt: skip
    if not facts.project.settings.contact.email:
        yield finding(
            "C126", STOP, facts.at_request("contact"), "no contact for questions is given",
            why="a shop that cannot ask guesses", right="[contact] in project.toml",
        )  # fmt: skip
    if not terms_.decision_rule:
        yield finding(
            "C127", ASK, facts.at_request("terms.decision_rule"), "no decision rule is said",
            why="at the edge of a tolerance both sides may be right",
            right="ISO 14253-1 with its edition and who bears the uncertainty",
        )  # fmt: skip


def rules(facts: Facts) -> Iterator[Problem]:
    """The drawing's rules are named: rule set, datums, general tolerance, texture, edges."""
    request = facts.request
    if not request.rule_set:
        yield finding(
            "C131", STOP, facts.at_request("rule_set"), "the rule set is not said",
            why="25 H7 is a two-point size under ISO 8015 and perfect form at maximum material "
            "under ASME Y14.5",
            right='rule_set = "ISO GPS" or "ASME Y14.5"',
        )  # fmt: skip
    with_datums = [
        part
        for part in facts.parts
        for _, spec in facts.specs(part)
        if isinstance(spec, Geometric) and spec.datums
    ]
    if with_datums and not request.datum_system:
        yield finding(
            "C132", ASK, facts.at_request("datum_system"),
            f"{with_datums[0].number} has tolerances with datums, but no datum system is said",
            why="the same letters mean different set-ups on the measuring table",
            right='such as "ISO 5459, datums as on the drawing"',
        )  # fmt: skip
    for part in facts.parts:
        general = part.general_tolerance or request.general_tolerance
        if not general:
            yield finding(
                "C133", STOP, facts.at_part(part, "general_tolerance"),
                f"{part.number}: no general tolerance is said",
                why="every size without its own limits is then anybody's guess",
                right='such as "ISO 2768-m" here or in the request', subject=part.number,
            )  # fmt: skip
        elif (statement := iso2768.read_statement(general)) is not None:
            for note in iso2768.check_statement(statement):
                yield replace(
                    note, place=facts.at_part(part, "general_tolerance"), subject=part.number
                )
        textures = [spec for _, spec in facts.specs(part) if isinstance(spec, Texture)]
        edition = part.texture_edition or request.texture_edition
        if textures and not edition and not all(spec.edition for spec in textures):
            yield finding(
                "C135", ASK, facts.at_part(part, "texture_edition"),
                f"{part.number}: roughness is called out, but not by which edition",
                why="ISO 21920 takes every value as a maximum, ISO 1302 lets 16 % pass above it",
                right="the edition the drawing uses", subject=part.number,
            )  # fmt: skip
        if not (part.edges or request.edges):
            yield finding(
                "C136", NOTE, facts.at_part(part, "edges"), f"{part.number}: edges are not said",
                why="one shop breaks them by hand, another leaves burrs",
                right="ISO 13715 with values, such as outside -0.3, inside +0.3",
                subject=part.number,
            )  # fmt: skip


def shops(facts: Facts) -> Iterator[Problem]:
    """No drawing leaves without a settled non-disclosure agreement and export flag."""
    for asked in facts.request.asked:
        shop = facts.project.shops.get(asked.shop)
        if shop is None:
            continue
        if shop.nda == "missing":
            yield finding(
                "C141", STOP, facts.at_shop(shop.id, "nda"),
                f"the non-disclosure agreement with {shop.id} is missing",
                why="what has left cannot be called back",
                right='nda = "signed" with its date, or "not needed"', subject=shop.id,
            )  # fmt: skip
        if not shop.contact.email:
            yield finding(
                "C142", ASK, facts.at_shop(shop.id, "contact.email"),
                f"{shop.id} has no mail address", why="the mail draft has no addressee",
                right="[contact] with email", subject=shop.id,
            )  # fmt: skip
        for number in facts.request.parts_of(shop.id):
            part = facts.project.parts.get(number)
            if part is None:
                continue
            if part.export_control == "controlled" and not shop.may_receive_controlled:
                yield finding(
                    "C143", STOP, facts.at_part(part, "export_control"),
                    f"{number} is export controlled and {shop.id} may not receive it",
                    why="sending the drawing is already an export",
                    right=f"leave {number} out for {shop.id}, or settle the licence",
                    subject=number,
                )  # fmt: skip


def export_flags(facts: Facts) -> Iterator[Problem]:
    """Each part says whether it is export controlled."""
    for part in facts.parts:
        if part.export_control == "unsettled":
            yield finding(
                "C144", STOP, facts.at_part(part, "export_control"),
                f"{part.number}: whether it is export controlled is not settled",
                why="sending the drawing abroad is already an export",
                right='export_control = "none" or "controlled", by someone qualified',
                subject=part.number,
            )  # fmt: skip


CHECKS = (lines_and_shops, dates, terms, rules, shops, export_flags)
