"""One place for every bug: it is logged, what was typed is kept, and the person is told once."""

import logging
import sys
import threading
from collections.abc import Callable
from gettext import gettext as _
from traceback import extract_tb
from types import TracebackType

from PySide6.QtCore import QMessageLogContext, QObject, Qt, QtMsgType, Signal, qInstallMessageHandler

log = logging.getLogger(__name__)
qt_log = logging.getLogger("qt")

_LEVELS = {
    QtMsgType.QtDebugMsg: logging.DEBUG,
    QtMsgType.QtInfoMsg: logging.INFO,
    QtMsgType.QtWarningMsg: logging.WARNING,
    QtMsgType.QtCriticalMsg: logging.ERROR,
    QtMsgType.QtFatalMsg: logging.CRITICAL,
}


class CrashHandler(QObject):
    """Hears uncaught errors of every thread, and Qt's own messages.

    ``keep`` saves what has been typed; ``say`` tells the person. The same fault is told once, so that a
    fault that repeats does not bury the window; it is logged every time.
    """

    _elsewhere = Signal(object)

    def __init__(self, log_place: str, keep: Callable[[], None], say: Callable[[str], None]) -> None:
        super().__init__()
        self._log_place = log_place
        self._keep = keep
        self._say = say
        self._told: set[str] = set()
        self._elsewhere.connect(self._tell, Qt.ConnectionType.QueuedConnection)
        self._before = (sys.excepthook, threading.excepthook)

    def install(self) -> None:
        """Put the handler in place of Python's and Qt's."""
        self._before = (sys.excepthook, threading.excepthook)
        sys.excepthook = self._uncaught
        threading.excepthook = self._uncaught_in_thread
        qInstallMessageHandler(_log_qt)

    def remove(self) -> None:
        """Put Python's and Qt's own back."""
        sys.excepthook, threading.excepthook = self._before
        qInstallMessageHandler(None)

    def handle(self, error: BaseException) -> None:
        """Log a bug, keep what was typed, tell the person. On the window's thread."""
        log.error("A fault in the program.", exc_info=error)
        self._tell(error)

    def _tell(self, error: BaseException) -> None:
        try:
            self._keep()
        except Exception:
            log.exception("What was typed could not be kept.")
        fault = _where(error)
        if fault in self._told:
            return
        self._told.add(fault)
        self._say(
            _(
                "Something went wrong in the program. What you typed is kept. The details are in {place}."
            ).format(place=self._log_place)
        )

    def _uncaught(self, kind: type[BaseException], error: BaseException, trace: TracebackType | None) -> None:
        if issubclass(kind, KeyboardInterrupt):
            self._before[0](kind, error, trace)
            return
        self.handle(error)

    def _uncaught_in_thread(self, args: threading.ExceptHookArgs) -> None:
        if args.exc_value is None:
            return
        log.error("A fault in a thread of the program.", exc_info=args.exc_value)
        self._elsewhere.emit(args.exc_value)


def _where(error: BaseException) -> str:
    steps = extract_tb(error.__traceback__)
    place = f"{steps[-1].filename}:{steps[-1].lineno}" if steps else ""
    return f"{type(error).__name__} {place}"


def _log_qt(kind: QtMsgType, _context: QMessageLogContext, message: str) -> None:
    qt_log.log(_LEVELS[kind], "%s", message)
