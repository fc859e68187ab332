"""Shops, rates and the project's own data, each in its form."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any, ClassVar, cast

from textual.app import ComposeResult
from textual.binding import Binding, BindingType

from rfq.model.shop import Shop
from rfq.tui.cells import bits
from rfq.tui.screens.cards import AskCard, Card
from rfq.tui.screens.record import RecordScreen
from rfq.tui.widgets.matrix import Column, Matrix, Rows

if TYPE_CHECKING:
    from rfq.tui.app import RfqApp


class RecordsScreen(Card[None]):
    """A list of records to open."""

    HELP_NAME: ClassVar[str] = "form"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("n", "new_shop", "new shop", id="records.shop", tooltip="Enter a new shop.")
    ]

    def __init__(self) -> None:
        super().__init__("shops, rates and the project's own data")
        self._keys: list[str] = []

    def inside(self) -> ComposeResult:
        """The list."""
        yield Matrix(id="records")

    def keys_said(self) -> str:
        """The keys in words."""
        return "enter opens   n new shop   escape back"

    def on_mount(self) -> None:
        """Fill."""
        self.refresh_stage()
        self.query_one(Matrix).focus()

    def refresh_stage(self) -> None:
        """Show the records as they are now."""
        session = cast("RfqApp", self.app).session
        if session is None or not self.is_attached:
            return
        project = session.project
        rows: list[Any] = [
            [bits("project", "strong"), bits(project.settings.name), bits("project.toml")],
            [bits("rates", "strong"), bits("money, freight, duty, own figures"),
             bits("rates.toml")],
        ]  # fmt: skip
        self._keys = ["project", "rates"]
        for shop in project.shops.values():
            self._keys.append(f"shop:{shop.id}")
            rows.append(
                [bits(f"shop {shop.id}", "strong"), bits(shop.name),
                 bits(f"{shop.country} {shop.currency}")]
            )  # fmt: skip
        columns = (Column("", 18), Column("", 34), Column("", 14, grows=True))
        self.query_one(Matrix).show(Rows(columns, rows))

    def on_matrix_chosen(self) -> None:
        """Open the record."""
        key = self._keys[self.query_one(Matrix).row]
        self.app.push_screen(RecordScreen(key, key.replace(":", " ")))

    def action_new_shop(self) -> None:
        """Ask for an id, store a shop, open its form."""
        from rfq.tasks.edit import save_record

        app = cast("RfqApp", self.app)
        session = app.session
        assert session is not None
        known = session.project.shops

        def check(typed: str) -> tuple[bool, str]:
            if not re.fullmatch(r"[a-z0-9][a-z0-9-]{0,39}", typed):
                return False, "small letters, digits and dash"
            return typed not in known, "there already" if typed in known else f"shops/{typed}.toml"

        def answered(typed: str | None) -> None:
            if not typed:
                return
            settings = session.project.settings
            shop = Shop(id=typed, name=typed, country=settings.country, currency=settings.currency)
            app.change(
                "storing",
                lambda here: save_record(here, shop),
                lambda _: app.push_screen(RecordScreen(f"shop:{typed}", f"shop {typed}")),
            )

        app.push_screen(AskCard("short name of the shop", check=check), answered)
