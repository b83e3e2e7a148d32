"""What was typed in the bay and is not kept yet: it stays while one goes along the steps, and in a draft."""

from collections.abc import Mapping

from PySide6.QtCore import QObject, Signal

from shopdesk.ui.desk import Desk
from shopdesk.ui.drafts import DraftKeeper


class Unkept(QObject):
    """``edited``: something was typed; ``restored``: a draft was put back."""

    edited = Signal()
    restored = Signal()

    def __init__(self, desk: Desk, parent: QObject) -> None:
        super().__init__(parent)
        self._desk = desk
        self._texts: dict[str, str] = {}
        self._draft: DraftKeeper | None = None

    @property
    def touched(self) -> bool:
        """Whether something was typed that is not kept."""
        return bool(self._texts)

    def begin(self, record_id: int) -> None:
        """Begin with another record: what was typed for it before comes back."""
        if self._draft is not None:
            self._draft.flush_if_waiting()
            self._draft.deleteLater()
        self._texts = {}
        self._draft = self._desk.drafts.keep(self, "bay", str(record_id), self)

    def note(self, typed: Mapping[str, str], base: Mapping[str, str]) -> None:
        """Remember the texts that differ from what is kept, forget those that do not."""
        for name, text in typed.items():
            if text != base.get(name, ""):
                self._texts[name] = text
            else:
                self._texts.pop(name, None)

    def settle(self, slots: set[str]) -> None:
        """Forget what was typed for these slots: it is kept now."""
        self._texts = {
            name: text for name, text in self._texts.items() if ":".join(name.split(":")[:2]) not in slots
        }
        if self._draft is not None and not self._texts:
            self._draft.forget()

    def texts(self) -> dict[str, str]:
        """Return what was typed and is not kept."""
        return dict(self._texts)

    def restore(self, texts: Mapping[str, str]) -> None:
        """Put a draft back."""
        self._texts |= dict(texts)
        self.restored.emit()
