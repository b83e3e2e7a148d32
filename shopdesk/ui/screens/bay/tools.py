"""With which of the shop's tools the figures of a step are read, where there is more than one of a kind."""

from collections.abc import Iterable

from PySide6.QtWidgets import QWidget

from shopdesk.services.instruments import InstrumentKind, InstrumentRow
from shopdesk.ui.desk import Desk
from shopdesk.ui.presenters.bay_plan import BayStep
from shopdesk.ui.presenters.record_slots import Kept, tool_kind, usual_tools
from shopdesk.ui.presenters.record_words import tool_choices, tool_label
from shopdesk.ui.widgets.button import BigButton


class Tools:
    """A tool is chosen once and stays, also for the next record: nobody changes pans between two readings."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._chosen: dict[InstrumentKind, int] = {}

    def now(self, rows: Iterable[InstrumentRow], kept: dict[str, Kept]) -> dict[InstrumentKind, int | None]:
        """Give the tool of each kind: the one chosen here, or used in this record, or the only one."""
        known = list(rows)
        there = {row.id for row in known}
        chosen = {kind: tool for kind, tool in self._chosen.items() if tool in there}
        return {**usual_tools(known, kept), **chosen}

    def buttons(self, step: BayStep, rows: Iterable[InstrumentRow], kept: dict[str, Kept]) -> list[QWidget]:
        """Make a button for each kind of tool this step asks for and the shop has several of."""
        known = list(rows)
        kinds = dict.fromkeys(kind for slot in step.slots if (kind := tool_kind(slot.field)) is not None)
        return [
            self._button(kind, known, self.now(known, kept).get(kind))
            for kind in kinds
            if sum(row.kind is kind for row in known) > 1
        ]

    def _button(self, kind: InstrumentKind, rows: list[InstrumentRow], tool: int | None) -> BigButton:
        choices = tool_choices(rows, kind)
        names = dict(choices)

        def words(key: str) -> str:
            return f"{tool_label(kind)}: {names[key]}"

        button = BigButton(self._desk.look, words("" if tool is None else str(tool)))

        def take(key: str) -> None:
            self._chosen[kind] = int(key)
            button.set_text(words(key))

        button.clicked.connect(lambda: self._desk.ask.choose(tool_label(kind), choices[1:], take))
        return button
