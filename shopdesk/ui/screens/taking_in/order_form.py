"""The work order itself: what the odometer shows, what the customer says, when it is promised."""

from collections.abc import Callable, Mapping, Sequence
from datetime import datetime
from gettext import gettext as _

from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.units import NumberStyle
from shopdesk.services.board import WorkOrderRow
from shopdesk.services.figures import Figures
from shopdesk.services.typed import Typed
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.presenters.promised import promised_hint, promised_words, read_promised
from shopdesk.ui.theme.look import Look
from shopdesk.ui.widgets.fields import CheckField, ChoiceField, NotesField, NumberField, TextField, reading
from shopdesk.ui.widgets.form import Form


class OrderForm(Form):
    """``now`` says what time it is in the shop, ``dial`` which unit the odometer counts."""

    def __init__(
        self, look: Look, work: AtWork, now: Callable[[], datetime], dial: Callable[[], str]
    ) -> None:
        super().__init__(look, columns=2, least_width=170)
        self._work = work
        self._now = now
        self._dial = dial
        self._origin_wanted = ""
        self._reading = self.add(NumberField(look, "reading", _("Odometer"), self._read_distance))
        hint = promised_hint(work.figures)
        self._promised = self.add(
            TextField(look, "promised_at", _("Promised for"), self._read_promised, hint=hint)
        )
        self._reason = self.add(
            TextField(look, "reason", _("Reason"), help_line=_("Why this reading is kept")), 0
        )
        self.add(NotesField(look, "complaint", _("What the customer says"), lines=3), 0)
        self.add(TextField(look, "key_tag", _("Key tag")))
        self.add(CheckField(look, "waits_here", _("Waits here")))
        self.add(TextField(look, "driver", _("Driver"), help_line=_("If somebody else brings it")))
        self.add(
            TextField(look, "po_number", _("Their order number"), help_line=_("For fleets and companies"))
        )
        self._origin = self.add(ChoiceField(look, "origin", _("Comeback of"), _no_origin()), 0)
        self._cause = self.add(TextField(look, "comeback_cause", _("What is suspected")), 0)
        self._origin.edited.connect(self._offer_cause)
        self.clear()

    def clear(self) -> None:
        """Empty the form."""
        self._origin_wanted = ""
        self.offer_origins((), self._work.figures)
        self.fill(dict.fromkeys(self.texts(), ""))
        self.offer_reason(wanted=False)
        self._offer_cause()

    def show_dial(self, last: str) -> None:
        """Show which unit the odometer counts and what it showed last."""
        self._reading.set_unit(self._dial())
        self._reading.set_help(last)

    def offer_origins(self, rows: Sequence[WorkOrderRow], figures: Figures) -> None:
        """Offer the vehicle's earlier work orders as what this one comes back from."""
        found = [
            (str(row.id), " · ".join((str(row.number), figures.day_of(row.opened_utc), row.work)))
            for row in rows
        ]
        self._origin.set_choices([*_no_origin(), *found])
        self._origin.set_text(self._origin_wanted)
        self._origin.setVisible(bool(found))
        self._offer_cause()

    def offer_reason(self, *, wanted: bool) -> None:
        """Ask why a doubtful reading is kept."""
        if self._reason.isHidden() == wanted:
            self._reason.setVisible(wanted)
            self.arrange()

    def restore(self, texts: Mapping[str, str]) -> None:
        """Take a draft."""
        self._origin_wanted = texts.get("origin", "")
        super().restore(texts)
        self.offer_reason(wanted=bool(texts.get("reason")))
        self._offer_cause()

    def promised_at(self) -> datetime | None:
        """Return the promised time, None where none is typed. RuleBroken if it cannot be read."""
        typed = self._promised.text().strip()
        return read_promised(typed, self._now()) if typed else None

    def show_refusal(self, refusal: RuleBroken) -> None:
        """Show a refusal; one that doubts the reading asks for the reason."""
        doubted = refusal.field == "reading" and self._is_readable()
        if doubted or refusal.field == "reason":
            self.offer_reason(wanted=True)
        super().show_refusal(refusal)
        if doubted:
            self._reason.setFocus()

    def _is_readable(self) -> bool:
        try:
            self._read_distance(self._reading.text())
        except RuleBroken:
            return False
        return True

    def _read_distance(self, typed: str) -> str:
        here = Typed(shop=self._work.figures.shop, style=NumberStyle.PERSON)
        measured = here.distance(typed, "reading", self._dial())
        return reading(self._work.figures.distance(measured.value, measured.unit))

    def _read_promised(self, typed: str) -> str:
        return promised_words(self._work.figures, read_promised(typed, self._now()))

    def _offer_cause(self) -> None:
        self._cause.setVisible(bool(self._origin.text()))
        self.arrange()


def _no_origin() -> list[tuple[str, str]]:
    return [("", _("No, this is new work"))]
