"""What stands in the fields of a step: what is kept, what was typed and is not, and what is proposed."""

from PySide6.QtWidgets import QWidget

from shopdesk.domain.record import EntryKind
from shopdesk.domain.units import NumberStyle
from shopdesk.services.bay import RecordView
from shopdesk.services.typed import Typed
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.presenters.bay_plan import STOP
from shopdesk.ui.presenters.bay_read import BayRead
from shopdesk.ui.presenters.bay_steps import window_words
from shopdesk.ui.presenters.exact import exact_torque
from shopdesk.ui.presenters.record_shape import Slot
from shopdesk.ui.presenters.record_slots import Kept, changes, live_entries, texts_of
from shopdesk.ui.presenters.record_words import beneath, kept_words, sheet_help, value_shown
from shopdesk.ui.presenters.torque_words import slip_of, wanted_torque
from shopdesk.ui.presenters.verdict import stop
from shopdesk.ui.screens.bay.pages import Pages, plug_state
from shopdesk.ui.screens.bay.result import ResultPage
from shopdesk.ui.screens.bay.step_page import StepPage
from shopdesk.ui.screens.bay.unkept import Unkept
from shopdesk.ui.widgets.field import Reader

#: Temperatures for which the warm-up's last reading stands while it is new.
_PLUG_TEMPERATURES = ("open_temperature", "close_temperature", "reading_temperature", "found_temperature")


class Filling:
    """Knows the record as it was read last, and the page in sight."""

    def __init__(self, work: AtWork, pages: Pages, unkept: Unkept) -> None:
        self._work = work
        self._pages = pages
        self._unkept = unkept
        self._read: BayRead | None = None
        self._kept: dict[str, Kept] = {}
        self._proposed: dict[str, str] = {}
        self.page: QWidget | None = None

    def know(self, read: BayRead, kept: dict[str, Kept]) -> None:
        """Take the record as it is now."""
        self._read, self._kept = read, kept

    def edited(self) -> None:
        """Something was typed or answered on the page."""
        self.take_texts()
        self._say_plug()
        self._say_stop()
        self._unkept.edited.emit()

    def _view(self) -> RecordView | None:
        return self._read.view if self._read is not None else None

    def fill(self) -> None:
        """Fill the page anew."""
        page, read = self.page, self._read
        if read is None or read.view is None:
            return
        if isinstance(page, ResultPage):
            page.show_record(read.view, self._work.figures)
        if not isinstance(page, StepPage):
            return
        base = texts_of(page.step.slots, self._kept)
        page.fill({**base, **self._unkept.texts()})
        for slot in page.step.slots:
            known = self._kept.get(slot.name)
            words = sheet_help(slot, read.view, self._work.figures)
            if known is not None and slot.kind in (EntryKind.YES_NO, EntryKind.CHOICE, EntryKind.GRADE):
                words = kept_words(known, self._work.figures)
            page.set_help(slot.name, words)
        self._fill_around(page, read, read.view)

    def _fill_around(self, page: StepPage, read: BayRead, view: RecordView) -> None:
        if page.panel is not None and read.warm is not None:
            page.panel.show_warm(view, read.warm)
        if self._pages.torque is not None:
            wanted = next((wanted_torque(slot.field, view) for slot in page.step.slots), None)
            self._pages.torque.want(exact_torque(wanted, self._work.figures.shop) if wanted else "")
        self.propose()
        self._say_plug()
        self._say_stop()

    def propose(self) -> None:
        """While it is new, the warm-up's last reading stands for what the tool shows at the plug."""
        page = self.page
        if not isinstance(page, StepPage):
            return
        if page.step.part == STOP and self._pages.photos is not None and self._pages.photos.thumbs:
            page.propose("picture_taken:1", "yes", "")
            self._say_stop()
        if page.panel is None:
            return
        text = page.panel.fresh_reading()
        for slot in page.step.slots:
            if slot.field in _PLUG_TEMPERATURES and slot.name not in self._kept:
                page.propose(slot.name, text, self._proposed.get(slot.name, ""))
                self._proposed[slot.name] = text

    def _say_stop(self) -> None:
        """What is typed on the page counts at once."""
        page, read, words = self.page, self._read, self._pages.stop_words
        if words is None or read is None or read.view is None or not isinstance(page, StepPage):
            return
        typed = changes(page.texts(), self._kept, {}, page.step.slots)
        words.show_stop(stop(read.view, live_entries(typed)), read)

    def _say_plug(self) -> None:
        page = self.page
        if isinstance(page, StepPage) and page.panel is not None:
            is_open, flow = plug_state(page.step, page.texts())
            page.panel.set_plug(is_open=is_open, flow=flow)

    def take_texts(self) -> None:
        """Remember what stands on the page and is not what is kept; what was only proposed is no draft."""
        page = self.page
        if isinstance(page, StepPage):
            base = texts_of(page.step.slots, self._kept)
            texts = {
                name: base.get(name, "") if text and text == self._proposed.get(name) else text
                for name, text in page.texts().items()
            }
            self._unkept.note(texts, base)

    def _typed_reader(self) -> Typed:
        return Typed(shop=self._work.figures.shop, style=NumberStyle.PERSON)

    def reader_of(self, slot: Slot) -> Reader:
        """Give the reader of a slot: the value in the shop's unit, and what speaks against it."""

        def read(text: str) -> str:
            typed, figures, view = self._typed_reader(), self._work.figures, self._view()
            shown = value_shown(slot, text, typed, figures)
            if view is not None and slot.field in _PLUG_TEMPERATURES:
                mc = typed.temperature(text, slot.name).value
                where = window_words(mc, view.sheet.body.level)
                shown = f"{shown}, {where}" if where else shown
            known = None if slot.field == "ambient" else self._kept.get(slot.name)
            asked = slip_of(slot.field, text, view, typed) if view is not None else ""
            return " ".join(part for part in (beneath(shown, text, known, figures), asked) if part)

        return read
