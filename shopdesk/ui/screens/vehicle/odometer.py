"""The odometer: its readings as a line, a new reading, and what is right where one was mistyped."""

from datetime import date
from gettext import gettext as _

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QHBoxLayout

from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.units import NumberStyle
from shopdesk.services.intake import OdometerRow, VehicleView
from shopdesk.services.odometers import OdometerKept, OdometerSource, ReadOdometer
from shopdesk.services.typed import Typed
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.desk import Desk
from shopdesk.ui.presenters.dates import show_date
from shopdesk.ui.presenters.uids import Uids
from shopdesk.ui.presenters.vehicles import doubt_words, last_reading_words, use_words
from shopdesk.ui.sending import Sending
from shopdesk.ui.theme.tokens import TextRole
from shopdesk.ui.widgets.button import Button, ButtonPart
from shopdesk.ui.widgets.card import Card
from shopdesk.ui.widgets.fields import ChoiceField, DateField, NumberField, TextField, reading
from shopdesk.ui.widgets.form import Form
from shopdesk.ui.widgets.odometer_line import OdometerLine, OdometerPoint
from shopdesk.ui.widgets.plain_label import PlainLabel

_READ, _STATED, _REPLACED, _UNTRUE = "read", "stated", "replaced", "untrue"


class OdometerPart(QObject):
    """A doubtful reading is refused with its doubt beside the field; then a reason can be given."""

    def __init__(self, desk: Desk, work: AtWork) -> None:
        super().__init__()
        self._desk = desk
        self._work = work
        self._view: VehicleView | None = None
        self._uids = Uids()
        self._correcting: OdometerRow | None = None
        self._sending = Sending(desk, self)
        self.card = Card(desk.look, _("Odometer"))
        self.line = OdometerLine(desk.look)
        self._use = PlainLabel("", TextRole.HELP, tone="ink2", wrap=True)
        self.form = self._make_form()
        self.keep = Button(desk.look, _("Keep reading"), icon="check")
        self.keep.clicked.connect(self.save)
        self.correct = Button(desk.look, _("Correct this reading"), ButtonPart.QUIET)
        self.correct.clicked.connect(self._begin_correction)
        self.cancel = Button(desk.look, _("Cancel"), ButtonPart.QUIET, name=_("Cancel the correction"))
        self.cancel.clicked.connect(self._put_aside)
        self.line.walked.connect(self._say_correctable)
        self._what = PlainLabel("", strong=True, wrap=True)
        row = QHBoxLayout()
        row.addWidget(self.keep)
        row.addWidget(self.cancel)
        row.addStretch(1)
        beneath = QHBoxLayout()
        beneath.addWidget(self._use, 1)
        beneath.addWidget(self.correct)
        self.card.add(self.line)
        self.card.add(beneath)
        for part in (self._what, self.form):
            self.card.add(part)
        self.card.add(row)

    def show_vehicle(self, view: VehicleView) -> None:
        """Show a vehicle's readings."""
        if self._view is None or self._view.id != view.id:
            self._view = view
            self.clear()
        self._view = view
        self.line.set_points(
            [
                OdometerPoint(
                    on=row.on_date,
                    distance=row.tenths / 10,
                    shown=self._work.figures.distance(row.tenths, view.odometer_unit),
                    doubt=doubt_words(row),
                    segment=row.segment,
                    key=row.id,
                )
                for row in reversed(view.readings)
            ]
        )
        self.line.setVisible(bool(view.readings))
        self._use.setText(use_words(view, self._work.figures))
        self._reading.set_unit(view.odometer_unit)
        self._reading.set_help(last_reading_words(view, self._work.figures))
        self._say_correctable()

    def clear(self) -> None:
        """Empty the form."""
        self._uids.forget()
        self._correcting = None
        self._say_mode()
        self.form.fill({"reading": "", "kind": _READ, "on": "", "reason": ""})
        self._offer_reason(wanted=False)

    def save(self) -> None:
        """Keep the reading."""
        view = self._view
        self.form.clear_errors()
        if view is None or not self.form.check():
            return
        texts, wrong = self.form.texts(), self._correcting
        command = ReadOdometer(
            actor=self._work.actor,
            uid=self._uids.of("read", view.id, texts, self._on.day(), wrong.id if wrong is not None else 0),
            vehicle_id=view.id,
            reading=texts["reading"],
            on=self._on.day(),
            source=OdometerSource.STATED if texts["kind"] == _STATED else OdometerSource.READ,
            actual=texts["kind"] != _UNTRUE,
            reason=texts["reason"],
            new_instrument=wrong is None and texts["kind"] == _REPLACED,
            corrects_id=wrong.id if wrong is not None else None,
        )
        intake = self._work.rooms.intake
        self._sending.send(lambda: intake.read_odometer(command), self._kept, self._refused)

    def _said(self) -> OdometerRow | None:
        """Give the reading said beneath the line."""
        point = self.line.current()
        rows = self._view.readings if self._view is not None else ()
        return next((row for row in rows if point is not None and row.id == point.key), None)

    def _say_correctable(self) -> None:
        row = self._said()
        self.correct.setVisible(row is not None and not row.corrected and self._correcting is None)

    def _begin_correction(self) -> None:
        """What is right goes into the same form; the wrong reading stays in the history."""
        row, view = self._said(), self._view
        if row is None or view is None:
            return
        self.clear()
        self._correcting = row
        kind = _UNTRUE if not row.actual else _STATED if row.source == OdometerSource.STATED else _READ
        self.form.fill({"reading": "", "kind": kind, "on": show_date(row.on_date), "reason": ""})
        self._offer_reason(wanted=True)
        self._say_mode()
        self._reading.setFocus()

    def _put_aside(self) -> None:
        self.clear()
        self.line.setFocus()

    def _say_mode(self) -> None:
        wrong, view = self._correcting, self._view
        self._what.setVisible(wrong is not None)
        self.cancel.setVisible(wrong is not None)
        self.keep.set_text(_("Keep correction") if wrong is not None else _("Keep reading"))
        self._kind.set_choices(_kinds()[:2] + _kinds()[3:] if wrong is not None else _kinds())
        self._reason.set_help(_("Why it is corrected") if wrong is not None else _("Why it is kept"))
        if wrong is not None and view is not None:
            self._what.setText(
                _("Instead of {distance} on {day}, it showed:").format(
                    distance=self._work.figures.distance(wrong.tenths, view.odometer_unit),
                    day=self._work.figures.day(wrong.on_date),
                )
            )
        self._say_correctable()

    def _make_form(self) -> Form:
        look = self._desk.look
        form = Form(look, columns=2, least_width=150)
        self._reading = form.add(NumberField(look, "reading", _("Reading"), self._read))
        self._kind = form.add(ChoiceField(look, "kind", _("How it was read"), _kinds()))
        self._reason = form.add(TextField(look, "reason", _("Reason"), help_line=_("Why it is kept")), 0)
        self._on = form.add(DateField(look, "on", _("Read on"), self._today, help_line=_("Empty: today")))
        self._kind.edited.connect(self._kind_changed)
        form.completed.connect(self.save)
        return form

    def _today(self) -> date:
        return self._view.today if self._view is not None else date.min

    def _read(self, typed: str) -> str:
        unit = self._view.odometer_unit if self._view is not None else None
        typed_here = Typed(shop=self._work.figures.shop, style=NumberStyle.PERSON)
        measured = typed_here.distance(typed, "reading", unit)
        return reading(self._work.figures.distance(measured.value, measured.unit))

    def _kind_changed(self) -> None:
        if self._correcting is not None:
            return
        replaced = self._kind.text() == _REPLACED
        self._reason.set_help(_("Why it was replaced") if replaced else _("Why it is kept"))
        if replaced:
            self._offer_reason(wanted=True)

    def _offer_reason(self, *, wanted: bool) -> None:
        if self._reason.isHidden() == wanted:
            self._reason.setVisible(wanted)
            self.form.arrange()

    def _kept(self, kept: OdometerKept) -> None:
        shown = self._work.figures.distance(kept.tenths, kept.unit)
        self._desk.notices.tell(" ".join((_("{distance} is kept.").format(distance=shown), *kept.doubts)))
        self.clear()

    def _refused(self, refusal: RuleBroken) -> None:
        doubted = refusal.field == "reading" and self._is_readable()
        if doubted or refusal.field == "reason":
            self._offer_reason(wanted=True)
        self.form.show_refusal(refusal)
        if doubted:
            self._reason.setFocus()

    def _is_readable(self) -> bool:
        """Whether the text is a distance: then the refusal was about its size."""
        try:
            self._read(self._reading.text())
        except RuleBroken:
            return False
        return True


def _kinds() -> list[tuple[str, str]]:
    return [
        (_READ, _("Read at the vehicle")),
        (_STATED, _("Stated by the customer")),
        (_REPLACED, _("Instrument was replaced")),
        (_UNTRUE, _("Known not to be true")),
    ]
