"""The warm-up in the bay: what to do now, in one large word; one tap for a degree; the window band."""

from collections.abc import Callable
from datetime import datetime, timedelta
from gettext import gettext as _

from PySide6.QtCore import QTimer, Signal
from PySide6.QtGui import QHideEvent, QShowEvent
from PySide6.QtWidgets import QApplication, QVBoxLayout, QWidget

from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.level_rules import Flow as Seen
from shopdesk.domain.units import NumberStyle
from shopdesk.domain.window_advice import Say
from shopdesk.services.bay import RecordView
from shopdesk.services.figures import shown_unit
from shopdesk.services.typed import Typed
from shopdesk.services.warmup import (
    AddReading,
    ReadingKept,
    TapReading,
    WarmUp,
    WithdrawLog,
    WithdrawReading,
)
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.desk import Desk
from shopdesk.ui.presenters.bay_steps import window_words
from shopdesk.ui.presenters.window_band import band_picture
from shopdesk.ui.presenters.window_words import (
    AT_ONCE,
    advice_words,
    rate_words,
    tap_of,
    taps,
    worth_words,
)
from shopdesk.ui.screens.bay.log_panel import LogPanel
from shopdesk.ui.theme.look import Look
from shopdesk.ui.theme.tokens import GAP, TextRole
from shopdesk.ui.widgets.advice_sign import AdviceSign, Sign
from shopdesk.ui.widgets.button import BigButton
from shopdesk.ui.widgets.fields import NumberField
from shopdesk.ui.widgets.flow import Flow
from shopdesk.ui.widgets.plain_label import PlainLabel
from shopdesk.ui.widgets.window_band import WindowBand

Clock = Callable[[], datetime]

#: So long a reading stands for what the tool shows at the plug (common practice, no source).
FRESH = timedelta(seconds=90)

_TICK_MS = 1000
_TAPS_OVER = 140  # per cent of text size up to which the taps stay in sight beside the word
_SIGN = {
    Say.READ: Sign.ASK,
    Say.WAIT: Sign.WAIT,
    Say.OPEN_NOW: Sign.GO,
    Say.LET_RUN: Sign.RUN,
    Say.CLOSE_NOW: Sign.STOP,
    Say.TOO_HOT: Sign.WARN,
}


class Sound:
    """The station's own sound when something is to be done at once; it can be turned off."""

    def __init__(self, ring: Callable[[], None] = QApplication.beep) -> None:
        self.ring = ring
        self.on = True

    def call(self) -> None:
        """Sound, unless it is turned off."""
        if self.on:
            self.ring()


class WarmPanel(QWidget):
    """Shown while the unit warms and while the plug is open. ``ticked``: a second has passed in sight.

    The timer runs only while the panel is in sight.
    """

    ticked = Signal()

    def __init__(
        self, desk: Desk, work: AtWork, clock: Clock, sound: Sound, *, at_plug: bool = False
    ) -> None:
        """``at_plug``: readings are typed into the step's own field, and logs are left aside."""
        super().__init__()
        self._desk = desk
        self._work = work
        self._clock = clock
        self._sound = sound
        self._at_plug = at_plug
        self._view: RecordView | None = None
        self._warm: WarmUp | None = None
        self._plug_open = False
        self._flow: Seen | None = None
        self._said: Say | None = None
        look = desk.look
        self.sign = AdviceSign(look)
        self.sentence = PlainLabel("", TextRole.CARD, wrap=True)
        self.rests_on = PlainLabel("", TextRole.BODY, tone="ink2", wrap=True)
        self.band = WindowBand(look, _("Temperature against the clock"))
        self.worth = PlainLabel("", TextRole.BODY, tone="ink2", wrap=True)
        self.field = NumberField(
            look,
            "temperature",
            _("Temperature on the tool now"),
            self._read,
            unit=shown_unit(work.figures.shop.temperature_unit),
            help_line=_("Enter keeps it; +2 is two degrees above the last one"),
            bay=True,
        )
        self.field.entered.connect(self.add_typed)
        self.taps = [self._tap_button(degrees) for degrees in taps(work.figures)]
        self.log = LogPanel(desk, work)
        self.log.shown.connect(lambda: self._make_room(False))
        self.log.closed.connect(lambda: self._make_room(True))
        self.log.brought.connect(lambda: self._make_room(True))
        self.from_log = self._button(_("From a log"), "file-text", self.choose_log)
        self.take_back = self._button(_("Take back the last"), "undo-2", self.withdraw_last)
        self.sounds = self._button("", "", self.toggle_sound)
        self._say_sound()
        self._timer = QTimer(self, interval=_TICK_MS)
        self._timer.timeout.connect(self.tick)
        self._lay_out(look)

    @property
    def warm(self) -> WarmUp | None:
        """The warm-up in sight."""
        return self._warm

    @property
    def is_ticking(self) -> bool:
        """Whether the seconds are counted."""
        return self._timer.isActive()

    def show_warm(self, view: RecordView, warm: WarmUp) -> None:
        """Show a record's warm-up as it is known now."""
        self._view, self._warm = view, warm
        known = bool(warm.readings)
        for button in self.taps:
            button.setEnabled(known)
        self.take_back.setEnabled(known)
        self.worth.setText("  ·  ".join(filter(None, (worth_words(warm, self._work.figures), self._rate()))))
        self._say()

    def set_plug(self, *, is_open: bool, flow: Seen | None) -> None:
        """Say whether the level plug is open, and what is seen there."""
        if (is_open, flow) != (self._plug_open, self._flow):
            self._plug_open, self._flow = is_open, flow
            self._say()

    def fresh_reading(self) -> str:
        """Return the last reading as text where it is new enough to stand for the plug's; else nothing."""
        last = self._warm.last if self._warm is not None else None
        if last is None or self._clock() - last.at > FRESH:
            return ""
        return self._work.figures.temperature(last.mc)

    def tick(self) -> None:
        """A second has passed."""
        self._say()
        self.ticked.emit()

    def typed_waits(self) -> bool:
        """Whether a temperature was typed and not kept yet."""
        return not self._at_plug and bool(self.field.text().strip())

    def add_typed(self) -> None:
        """Keep the temperature that was typed, or so many degrees more."""
        text, view = self.field.text().strip(), self._view
        if view is None or not text:
            return
        degrees = tap_of(text)
        if degrees is not None and self._warm is not None and self._warm.readings:
            self.field.set_text("")
            self.tap(degrees)
            return
        if not self.field.check():
            return
        command = AddReading(actor=self._work.actor, record_id=view.record_id, temperature=text)
        add = self._work.rooms.warmups.add
        self.field.set_text("")
        self._write(lambda: add(command), lambda refusal: self._put_back(text, refusal))

    def tap(self, degrees: int) -> None:
        """Keep a temperature so many degrees from the last one. Each tap counts, however quick."""
        if self._view is None:
            return
        command = TapReading(actor=self._work.actor, record_id=self._view.record_id, degrees=degrees)
        add = self._work.rooms.warmups.tap
        self._write(lambda: add(command), lambda refusal: self._desk.notices.refuse(refusal.sentence))

    def withdraw_last(self) -> None:
        """Take back the last reading; a log is asked about, because it goes whole."""
        last = self._warm.last if self._warm is not None else None
        if last is None:
            return
        rooms, actor = self._work.rooms.warmups, self._work.actor
        if last.reading_id is not None:
            one = WithdrawReading(actor=actor, reading_id=last.reading_id)
            self._write(lambda: rooms.withdraw(one), self._say_refused)
        elif last.log_id is not None:
            whole = WithdrawLog(actor=actor, log_id=last.log_id)
            self._desk.ask.confirm(
                _("Take the whole log back?"),
                _("Take it back"),
                lambda: self._write(lambda: rooms.withdraw_log(whole), self._say_refused),
            )

    def toggle_sound(self) -> None:
        """Turn the sound off or on again."""
        self._sound.on = not self._sound.on
        self._say_sound()

    def choose_log(self) -> None:
        """Let a log be chosen and looked at."""
        view = self._view
        if view is not None:
            self._desk.ask.choose_file(
                _("A scan tool's log"),
                _("Logs ({endings})").format(endings="*.csv *.txt *.log *.tsv"),
                lambda file: self.log.open_file(view.record_id, view.done_on, file),
            )

    def showEvent(self, event: QShowEvent) -> None:
        """Count the seconds while in sight."""
        super().showEvent(event)
        self._timer.start()
        self._say()

    def hideEvent(self, event: QHideEvent) -> None:
        """Stop counting out of sight."""
        self._timer.stop()
        super().hideEvent(event)

    def _say(self) -> None:
        warm, view = self._warm, self._view
        if warm is None or view is None:
            return
        now, figures = self._clock(), self._work.figures
        advice = warm.advice(now, plug_open=self._plug_open, flow=self._flow)
        words = advice_words(warm, advice, now, figures)
        self.sign.show_advice(_SIGN[words.say], words.word, words.left, words.reach, words.spoken)
        self.sentence.setText(words.sentence)
        self.rests_on.setText(words.rests_on)
        self.rests_on.set_tone("late" if words.stale else "ink2")
        self.rests_on.setVisible(bool(words.rests_on) and self.log.isHidden())
        self.band.set_picture(band_picture(warm, view, now, figures))
        if words.say in AT_ONCE and self._said not in (None, words.say) and self.isVisible():
            self._sound.call()
        self._said = words.say

    def _make_room(self, on: bool) -> None:
        """A log that is looked at stands in the place of the rest."""
        parts = (self.sentence, self.rests_on, self.field, self.band, self.worth)
        for part in (*parts, self.take_back, self.from_log, self.sounds):
            part.setVisible(on)
        if on:
            self.field.setFocus()

    def _say_sound(self) -> None:
        self.sounds.set_text(_("Sound is on") if self._sound.on else _("Sound is off"))

    def _rate(self) -> str:
        return rate_words(self._warm, self._work.figures) if self._warm is not None else ""

    def _read(self, text: str) -> str:
        if tap_of(text) is not None:
            return _("{degrees} degrees above the last one").format(degrees=text.strip())
        figures = self._work.figures
        mc = Typed(shop=figures.shop, style=NumberStyle.PERSON).temperature(text, "temperature").value
        where = window_words(mc, self._view.sheet.body.level) if self._view is not None else ""
        return ", ".join(part for part in (figures.temperature(mc), where) if part)

    def _write(self, work: Callable[[], ReadingKept], refused: Callable[[RuleBroken], None]) -> None:
        """Each write is announced when it is kept, and the page reads again."""
        self._desk.background.write(self, work, lambda _kept: None, refused)

    def _say_refused(self, refusal: RuleBroken) -> None:
        self._desk.notices.refuse(refusal.sentence)

    def _put_back(self, text: str, refusal: RuleBroken) -> None:
        if not self.field.text():
            self.field.set_text(text)
        self.field.set_error(refusal.sentence)

    def _tap_button(self, degrees: int) -> BigButton:
        unit = shown_unit(self._work.figures.shop.temperature_unit)
        words = f"{'+' if degrees > 0 else '−'}{abs(degrees)} {unit}"
        button = BigButton(self._desk.look, words, name=_("{degrees} since the last").format(degrees=words))
        button.setMinimumWidth(self._desk.look.px(96))
        button.clicked.connect(lambda: self.tap(degrees))
        return button

    def _button(self, words: str, icon: str, do: Callable[[], None]) -> BigButton:
        button = BigButton(self._desk.look, words, icon=icon)
        button.clicked.connect(lambda: do())
        return button

    def _lay_out(self, look: Look) -> None:
        """``top`` is taken out by the page, which keeps it in sight; the rest stands in the step."""
        self.top = QWidget()
        over = QVBoxLayout(self.top)
        over.setContentsMargins(0, 0, 0, 0)
        over.setSpacing(look.px(GAP))
        over.addWidget(self.sign)
        row = Flow(look.px(GAP))
        for button in self.taps:
            row.addWidget(button)
        more = Flow(look.px(GAP))
        for button in (self.take_back, self.from_log, self.sounds):
            more.addWidget(button)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(look.px(GAP))
        (over if look.percent <= _TAPS_OVER else column).addLayout(row)
        for part in (self.sentence, self.rests_on, self.field, self.band, self.worth):
            column.addWidget(part)
        column.addLayout(more)
        column.addWidget(self.log)
        if self._at_plug:
            self.field.hide()
            self.from_log.hide()
            self.sounds.hide()
