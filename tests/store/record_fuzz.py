"""Mutated records: each is read whole or refused with a code and a line, never an exception.

Oracle: what is read, written again and read once more is the same record.
"""

from __future__ import annotations

import random

from rfq.model.part import Part
from rfq.model.quote import Quote
from rfq.model.request import Request
from rfq.store.read import read_record
from rfq.store.write import Unwritten, render

PART = b"""number = "SB-110"
revision = "B"
name = "Plate"
material = "EN AW-6082"
need_date = 2026-07-24
drawing = { path = "drawings/SB-110.pdf", revision = "B" }
callouts = [
  { number = "1", what = "bearing seat", text = "42 H7", critical = true },
]

[shape]
length_mm = 120.00
holes = [
  { diameter_mm = 5.5, depth_mm = 1E+1, count = 4 },
]
"""
QUOTE = b"""shop = "oakvane"
request = "R1"
received = 2026-07-20T09:00:00+02:00
accepted_at = 2026-07-20T10:00:00Z
source = { path = "requests/R1/round-1/replies/oakvane-2026-07-20-q.xlsx" }
currency = "EUR"
prices = [
  { part = "SB-110", quantity = 5, printed = 41.20, each = 41.20, currency = "EUR", place = { file = "q.xlsx", cell = "F12" } },
]

[terms]
payment = { text = "30 days", instalments = [{ share = 1 }] }

[terms.places]
"pay ment" = { file = "q.xlsx", line = 3 }

[scope]
finish = "in"
"""  # noqa: E501
REQUEST = b"""id = "R1"
title = '''
First
lot'''
answer_by = 2026-07-24T12:00:00+02:00
lines = [
  { part = "SB-110", quantities = [5, 25], order_first = 25 },
]

[[asked]]
shop = "oakvane"

[terms]
incoterm = "DAP"
"""
SEEDS = ((PART, Part), (QUOTE, Quote), (REQUEST, Request))
PIECES = (
    b'"', b"'", b'"""', b"[", b"]", b"{", b"}", b"=", b",", b".", b"\n", b"\r", b"#", b"\\", b"\\u",
    b"\\U0011ffff", b"-", b"+", b"e", b"_", b"nan", b"inf", b"true", b"0x", b"1e999", b"9" * 30,
    b"\x00", b"\xff", b"\xef\xbb\xbf", b"\xed\xa0\x80", b"1979-05-27", b"07:32:00", b"[[a]]\n",
    b"a.b.c = 1\n", b"<<<<<<< x\n", "é".encode(),
)  # fmt: skip


HAND = [bytes([sign]) for sign in b"abcXYZ0123456789 -"]


def mutated(data: bytes, chance: random.Random) -> bytes:
    """One to four changes: a byte, a piece put in, a stretch cut, doubled or moved."""
    for _ in range(chance.choice((1, 1, 1, 2, 4))):
        at = chance.randrange(len(data) + 1)
        to = min(at + chance.randint(1, 20), len(data))
        match chance.randrange(9):
            case 0:
                data = data[:at] + bytes([chance.randrange(256)]) + data[at + 1 :]
            case 1:
                data = data[:at] + chance.choice(PIECES) + data[at:]
            case 2:
                data = data[:at] + data[to:]
            case 3:
                data = data[:to] + data[at:]
            case 4 | 5 | 6 | 7:  # a slip of the hand
                data = data[:at] + chance.choice(HAND) + data[at + 1 :]
            case _:
                other = chance.randrange(len(data) + 1)
                data = data[:other] + data[at:to] + data[other:]
    return data


def fuzz(times: int, seed: int) -> dict[str, int]:
    """Read that many mutated records; return how many were read and refused."""
    chance = random.Random(seed)
    seen = {"read": 0, "refused": 0}
    for _ in range(times):
        seed_bytes, model = chance.choice(SEEDS)
        data = mutated(seed_bytes, chance)
        reading = read_record(data, model, "x.toml")
        if reading.value is None:
            seen["refused"] += 1
            lines = data.count(b"\n") + 1
            for problem in reading.problems:
                assert problem.message.endswith((".", "?", "such as EUR.")), problem
                assert "\n" not in str(problem) and 0 <= problem.place.line <= lines, problem
        else:
            seen["read"] += 1
            try:
                text = render(reading.value)
            except Unwritten as error:
                raise AssertionError(data) from error
            assert read_record(text.encode(), model, "x.toml").value == reading.value, data
    return seen
