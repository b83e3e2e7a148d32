"""What is typed is kept a second after the last key, until it is saved or thrown away."""

from collections.abc import Mapping
from datetime import datetime
from typing import Protocol
from weakref import WeakSet

from PySide6.QtCore import QObject, QTimer, Signal, SignalInstance
from shiboken6 import isValid

from shopdesk.ui.background import Background
from shopdesk.ui.widgets.form import Form

WAIT_MS = 1000


class DraftStore(Protocol):
    """Where drafts live. Called off the window's thread; ``form`` and ``subject`` name a draft."""

    def load_draft(self, form: str, subject: str) -> Mapping[str, str] | None:
        """Return the texts kept, or None."""

    def save_draft(self, form: str, subject: str, texts: Mapping[str, str]) -> None:
        """Keep the texts in place of older ones."""

    def drop_draft(self, form: str, subject: str) -> None:
        """Forget the texts; nothing to forget is no error."""


class Kept(Protocol):
    """What a form must offer to be kept."""

    @property
    def edited(self) -> SignalInstance:
        """Sent at every change by the person."""

    @property
    def touched(self) -> bool:
        """Whether the person changed anything."""

    @property
    def destroyed(self) -> SignalInstance:
        """Sent when the form is gone."""

    def texts(self) -> dict[str, str]:
        """Return what stands in the fields, right or wrong."""

    def restore(self, texts: Mapping[str, str]) -> None:
        """Put texts back; they count as typed by the person."""


class DraftKeeper(QObject):
    """Keeps one form. ``kept`` tells when; ``restored`` that an older draft was put back.

    A form may be gone before the one who owns this: then nothing waits any more and nothing is put back.
    """

    kept = Signal(datetime)
    restored = Signal()

    def __init__(
        self, background: Background, store: DraftStore, form: Kept, name: str, subject: str, parent: QObject
    ) -> None:
        super().__init__(parent)
        self._background = background
        self._store = store
        self._form = form
        self._name = name
        self._subject = subject
        self._timer = QTimer(self, interval=WAIT_MS, singleShot=True)
        self._timer.timeout.connect(self.flush)
        form.edited.connect(self._timer.start)
        form.destroyed.connect(self._timer.stop)
        background.read(self, "draft", lambda: store.load_draft(name, subject), self._put_back)

    def flush(self) -> None:
        """Keep now what has not been kept yet."""
        if not self._form.touched:
            return
        self._timer.stop()
        texts = self._form.draft() if isinstance(self._form, Form) else self._form.texts()
        store, name, subject = self._store, self._name, self._subject
        self._background.write(
            self,
            lambda: store.save_draft(name, subject, texts),
            lambda _none: self.kept.emit(datetime.now().astimezone()),
            key="draft",
        )

    def flush_if_waiting(self) -> None:
        """Keep now what still waits for its second to pass."""
        if self._timer.isActive():
            self.flush()

    def forget(self) -> None:
        """Drop the draft, because what it held has been saved or thrown away."""
        self._timer.stop()
        store, name, subject = self._store, self._name, self._subject
        self._background.write(self, lambda: store.drop_draft(name, subject), lambda _none: None, key="draft")

    def _put_back(self, texts: Mapping[str, str] | None) -> None:
        if texts and isValid(self._form) and not self._form.touched:
            self._form.restore(texts)
            self._timer.stop()
            self.restored.emit()


class Drafts:
    """Keeps every form it is given."""

    def __init__(self, background: Background, store: DraftStore) -> None:
        self._background = background
        self._store = store
        self._keepers: WeakSet[DraftKeeper] = WeakSet()

    def keep(self, form: Kept, name: str, subject: str, owner: QObject) -> DraftKeeper:
        """Keep ``form`` under its name and subject for as long as ``owner`` lives."""
        keeper = DraftKeeper(self._background, self._store, form, name, subject, owner)
        self._keepers.add(keeper)
        return keeper

    def keep_all(self) -> None:
        """Keep at once whatever still waits, for a crash or before closing."""
        for keeper in list(self._keepers):
            if isValid(keeper):
                keeper.flush_if_waiting()
