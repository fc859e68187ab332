"""Mutation fuzz: 20,000 changed inputs a reader; nothing uncaught, no price silently changed.

Run: ``pytest -m benchmark -s tests/benchmarks/bench_fuzz.py`` or
``python tests/benchmarks/bench_fuzz.py [CASES] [part of a name]``; a few hundred cases of each run
with the other tests (``tests/trust/test_fuzz.py``). TOML records have their own in
``bench_store.py``, and our own response sheet and number rubbish in ``bench_intake.py``.

The oracle is the unmutated reading. A mutation that a reader cannot know of (one digit of a price
exchanged for another) may change that price, so mutations of replies are made where no price's
digits stand: in delimiters, headings, blanks, quotes, other texts, bytes of the packing. What is
then read as sure has to be what was read before, or be gone, or be asked about.
"""

from __future__ import annotations

import io
import random
import sys
import tempfile
import time
import zipfile
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path

import pytest

from rfq.intake import guard
from rfq.intake.kinds import Limits
from rfq.intake.numbers import figure
from rfq.intake.read import read_reply
from rfq.model.callout import canonical, parse_callout
from rfq.model.request import Request, RequestLine
from rfq.problems import RfqError

ROOT = Path(__file__).resolve().parents[2]
INCOMING = ROOT / "demo_project" / "incoming"
PIECES = ["", " ", "\u00a0", ";", ",", ".", "\t", "\n", '"', "'", "-", "\u2212", "(", ")", "/",
          "\\", "EUR", "€", "%", "=", "@", "\0", "\x1b[2J", "\ufeff", "\u202e", "é", "中",
          "x" * 300]  # fmt: skip
SIGNS = [one for one in PIECES if one not in ("EUR", "€")]  # a currency means what it says
CALLOUTS = (
    "42 H7", "Ø14 h6", "25 ±0.05", "M6-6H x 12", "Ra 0.8", "position Ø0.1 A B", "10 +0.1/-0.2",
    "4x 5.5", "0.5 x 45°", "R3", "flatness 0.05", "runout 0.02 A", "M8x1-6g", "H 42", "⌀20 f7 (E)",
    "perpendicularity 0.1 A", "G1/4", "30° ±0.5°", "Rz 6.3", "profile 0.2 A B C",
)  # fmt: skip
NUMBERS = ("1.234,50", "1,234.50", "12,5", "12.5", "1'234.50", "1 234,50", "0.05", "99", "1e3",
           "(5.20)", "12,-", "1,23,456.78", "１２．５０", "-7")  # fmt: skip


def mutated(text: str, dice: random.Random) -> str:
    """One to three changes of a text."""
    for _ in range(dice.choice((1, 1, 2, 3))):
        at = dice.randrange(len(text) + 1)
        match dice.randrange(6):
            case 0:
                text = text[:at] + dice.choice(PIECES) + text[at:]
            case 1:
                text = text[:at] + text[at + 1 :]
            case 2:
                text = text[:at] + chr(
                    dice.choice((dice.randrange(32, 127), dice.randrange(0x2FFF)))
                )
                text += text[at + 1 :]
            case 3:
                text = text[at:] + text[:at]
            case 4:
                text = text[:at] + text[at:].swapcase()
            case _:
                to = min(len(text), at + dice.randrange(1, 6))
                text = text[:at] + text[at:to] * 2 + text[to:]
    return text


def callouts(cases: int, dice: random.Random) -> dict[str, int]:
    """A whole spec is the same spec when its canonical form is read again; else a sentence."""
    read = 0
    for _ in range(cases):
        text = mutated(dice.choice(CALLOUTS), dice)[:250]
        reading = parse_callout(text)
        if reading.value is None:
            assert reading.problems, text
            assert all(one.message.endswith((".", "?")) for one in reading.problems), text
            continue
        read += 1
        again = parse_callout(canonical(reading.value))
        assert again.value == reading.value, (text, canonical(reading.value))
    return {"read": read, "refused": cases - read}


def numbers(cases: int, dice: random.Random) -> dict[str, int]:
    """Every reading of a text keeps the text's digits in their order: none is invented or lost."""
    read = 0
    for _ in range(cases):
        text = mutated(dice.choice(NUMBERS), dice)
        found = figure(text)
        assert len(found.values) <= 2, text
        read += bool(found.values)
        for value in found.values:
            assert value.is_finite(), text
            if "e" in text.lower():
                continue
            own = "".join(str(int(char)) for char in text if char.isdecimal()).lstrip("0")
            shown = "".join(char for char in f"{abs(value):f}" if char.isdigit()).lstrip("0")
            assert own.rstrip("0") == shown.rstrip("0"), (text, value)
    return {"read": read, "refused": cases - read}


# --- replies -------------------------------------------------------------------------------

PARTS = ("SB-110", "SB-115", "SB-120", "SB-130", "SB-140", "SB-150", "SB-160", "SB-170", "SB-180",
         "SB-190", "SB-200", "SB-210")  # fmt: skip
REQUEST = Request(
    id="2026-07", title="x",
    lines=tuple(RequestLine(part=part, quantities=(5, 25, 100, 500)) for part in PARTS),
)  # fmt: skip
Prices = dict[tuple[str, int], tuple[Decimal | None, str]]


def prices(path: Path) -> tuple[Prices, str]:
    """Sure prices of a reply, or why there is none."""
    try:
        reading = read_reply(path, REQUEST)
    except RfqError as error:
        return {}, str(error)
    if reading.value is None:
        assert reading.problems
        return {}, str(reading.problems[0])
    return {
        (price.part, price.quantity): (price.each, price.currency)
        for price in reading.value.prices
        if price.sure and not price.alternative
    }, ""


def safe_places(data: bytes) -> list[int]:
    """Places of a text that are no digit and do not stand beside one, so no figure is changed."""
    figures = b"0123456789.,"
    return [
        at for at in range(1, len(data) - 1)
        if not any(byte in figures for byte in data[at - 1 : at + 2])
    ]  # fmt: skip


def text_reply(data: bytes, dice: random.Random, places: list[int]) -> bytes:
    """A text with one to three changes that touch no figure."""
    out = bytearray(data)
    for at in sorted(dice.sample(places, dice.choice((1, 1, 2, 3))), reverse=True):
        match dice.randrange(4):
            case 0:
                out[at : at + 1] = b""
            case 1:
                out[at : at + 1] = dice.choice(SIGNS).encode()
            case 2:
                out[at] = dice.choice(b"abcxyzABC -_/#\x8f\xff")
            case _:
                out[at:at] = dice.choice(SIGNS).encode()
    return bytes(out)


def packed_reply(data: bytes, dice: random.Random, _: list[int]) -> bytes:
    """Bytes of the packing or of the file changed, cut or doubled."""
    out = bytearray(data)
    for _ in range(dice.choice((1, 2, 8))):
        at = dice.randrange(len(out))
        match dice.randrange(4):
            case 0:
                out[at] = dice.randrange(256)
            case 1:
                del out[at : at + dice.randrange(1, 200)]
            case 2:
                out[at:at] = out[at : at + dice.randrange(1, 200)]
            case _:
                out = out[: max(at, 100)]
    return bytes(out)


def members(data: bytes, dice: random.Random, _: list[int]) -> bytes:
    """A workbook whose members' XML is changed where no figure stands."""
    out = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(data)) as old,
        zipfile.ZipFile(out, "w", zipfile.ZIP_STORED) as new,
    ):
        names = old.namelist()
        hit = dice.choice(names)
        for name in names:
            content = old.read(name)
            places = safe_places(content) if name == hit else []
            if len(places) > 3:
                content = text_reply(content, dice, places)
            new.writestr(name, content)
    return out.getvalue()


def replies(
    file: str, change: Callable[[bytes, random.Random, list[int]], bytes], cases: int,
    dice: random.Random, folder: Path,
) -> dict[str, int]:  # fmt: skip
    """Read changed replies; a sure price is the one of the unchanged reply."""
    original = INCOMING / file
    truth, _ = prices(original)
    assert len(truth) > 15, file
    data = original.read_bytes()
    places = safe_places(data)
    path = folder / f"changed{original.suffix}"
    seen = {"same": 0, "fewer": 0, "refused": 0, "differ": 0}
    for number in range(cases):
        path.write_bytes(change(data, dice, places))
        found, why = prices(path)
        other = {key: value for key, value in found.items() if key in truth and truth[key] != value}
        kind = "differ" if other else "refused" if why else "same" if found == truth else "fewer"
        seen[kind] += 1
        if other:
            (folder / f"differ-{number}{original.suffix}").write_bytes(path.read_bytes())
            seen.setdefault("first", number)
    return seen


def in_one_child(cases: int) -> object:
    """Reading in this process what the child reads: 20,000 starts of Python prove nothing more."""
    from rfq.intake import child

    def run(kind: str, path: Path, limits: Limits) -> tuple[dict[str, object], object]:
        from rfq.intake.kinds import stop

        try:
            return child._read(kind, path, limits), None
        except (MemoryError, RecursionError):
            raise
        except Exception as error:
            # what ``child.main`` makes of any error of a library
            return {}, stop("R003", f"{path.name} was not read: {type(error).__name__}.", path.name)

    return run


FUZZ: dict[str, tuple[str, Callable[[bytes, random.Random, list[int]], bytes], int]] = {
    # name -> file, change, one case in so many of the full number (a PDF or workbook takes longer)
    "csv reader": ("wiklina-oferta-118.csv", text_reply, 1),
    "mail reader": ("oakvane-mail.eml", text_reply, 1),
    "workbook reader, members": ("heronjade-quotation.xlsx", members, 1),
    "workbook reader, bytes": ("heronjade-quotation.xlsx", packed_reply, 1),
    "response sheet": ("kupfermond-response-sheet.xlsx", members, 1),
    "pdf reader, bytes": ("zaffrel-letter.pdf", packed_reply, 1),
}


def run(name: str, cases: int, folder: Path, seed: int = 20261125) -> dict[str, int]:
    """Run one fuzz; return what became of the cases."""
    dice = random.Random(f"{seed} {name}")
    if name == "callout parser":
        return callouts(cases, dice)
    if name == "number parser":
        return numbers(cases, dice)
    file, change, _ = FUZZ[name]
    with pytest.MonkeyPatch.context() as patch:
        for module in ("rfq.intake.guard",):
            patch.setattr(f"{module}.run_child", in_one_child(cases))
        assert guard.run_child is not None
        return replies(file, change, cases, dice, folder)


NAMES = ("callout parser", "number parser", *FUZZ)


@pytest.mark.benchmark
@pytest.mark.parametrize("name", NAMES)
def test_twenty_thousand_cases(name: str, tmp_path: Path) -> None:
    begun = time.perf_counter()
    seen = run(name, 20_000, tmp_path)
    print(f"\n{name}: {seen}, {time.perf_counter() - begun:.0f} s")
    assert seen.get("differ", 0) == 0


def main() -> int:
    cases = int(sys.argv[1]) if len(sys.argv) > 1 else 20_000
    wanted = sys.argv[2] if len(sys.argv) > 2 else ""
    differ = 0
    for name in NAMES:
        if wanted in name:
            begun = time.perf_counter()
            folder = Path(tempfile.mkdtemp(prefix="rfq-fuzz-"))
            seen = run(name, cases, folder)
            differ += seen.get("differ", 0)
            print(f"| {name} | {cases} | {seen} | {time.perf_counter() - begun:.0f} s | {folder}")
    return 1 if differ else 0


if __name__ == "__main__":
    sys.exit(main())
