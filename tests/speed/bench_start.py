"""How fast the window opens: first paint, usable, idle memory; against an empty PySide6 window.

Prints medians and ratios and asserts nothing. Run: ``python -m tests.speed.bench_start``.
Goals (ratios in one run): first paint at most 1.4, usable at most 4, idle memory at most 2.5.
"""

import os
import statistics
import subprocess
import sys
import tempfile
import time
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

CLONE = Path(__file__).resolve().parents[2]
ROUNDS = 7

EMPTY = """
import sys
from PySide6.QtCore import QEvent, QObject, QTimer
from PySide6.QtWidgets import QApplication, QMainWindow
class Eye(QObject):
    def eventFilter(self, watched, event):
        if event.type() is QEvent.Type.Paint:
            watched.removeEventFilter(self)
            print("painted", flush=True)
            QTimer.singleShot(0, lambda: print("usable", flush=True))
        return False
app = QApplication(sys.argv)
window = QMainWindow()
window.resize(1280, 800)
eye = Eye()
window.installEventFilter(eye)
window.show()
QTimer.singleShot(60000, app.quit)
app.exec()
"""

OURS = """
import sys
from shopdesk import launch
from shopdesk.ui.app import make_application
app = make_application(sys.argv, "shopdesk")
from shopdesk.ui.program import Program
from PySide6.QtCore import QEvent, QObject, QTimer
class Eye(QObject):
    def eventFilter(self, watched, event):
        if event.type() is QEvent.Type.Paint:
            watched.removeEventFilter(self)
            print("painted", flush=True)
        return False
program = Program(app, launch.surroundings("log"))
eye = Eye()
program.window.installEventFilter(eye)
program.ready.connect(lambda: print("usable", flush=True))
program.start()
QTimer.singleShot(60000, app.quit)
app.exec()
"""


@dataclass(frozen=True, slots=True)
class Start:
    """One start: milliseconds to the first paint and to usable, idle memory in MB."""

    painted: float
    usable: float
    megabytes: float


def measure(script: str, surroundings: dict[str, str]) -> Start:
    """Start a script in a fresh process and read what it says."""
    begun = time.perf_counter()
    process = subprocess.Popen(
        [sys.executable, "-c", script], cwd=CLONE, env=surroundings, stdout=subprocess.PIPE, text=True
    )
    marks: dict[str, float] = {}
    assert process.stdout is not None
    for line in process.stdout:
        marks[line.strip()] = (time.perf_counter() - begun) * 1000
        if "usable" in marks:
            break
    with suppress(subprocess.TimeoutExpired):
        process.wait(1)  # idle for a second before its memory is read
    status = Path(f"/proc/{process.pid}/status").read_text()
    resident = next(int(line.split()[1]) for line in status.splitlines() if line.startswith("VmRSS"))
    process.kill()
    process.wait()
    return Start(marks["painted"], marks["usable"], resident / 1024)


def main() -> None:
    """Measure both in turn and print medians with their ratios."""
    with tempfile.TemporaryDirectory() as home:
        database = Path(home) / "shop.db"
        surroundings = {
            **os.environ,
            "QT_QPA_PLATFORM": os.environ.get("QT_QPA_PLATFORM", "offscreen"),
            "SHOPDESK_DATABASE": str(database),
            "HOME": home,
            "XDG_CONFIG_HOME": home,
            "XDG_STATE_HOME": home,
            "PYTHONPATH": str(CLONE),
        }
        job = CLONE / "tests" / "jobs" / "us.json"
        command = [sys.executable, "-m", "shopdesk", "job", str(job)]
        subprocess.run(command, cwd=CLONE, env=surroundings, check=True, stdout=subprocess.DEVNULL)
        measure(EMPTY, surroundings), measure(OURS, surroundings)  # once to warm the disk
        pairs = [(measure(EMPTY, surroundings), measure(OURS, surroundings)) for _ in range(ROUNDS)]
    for name in ("painted", "usable", "megabytes"):
        empty = statistics.median(getattr(pair[0], name) for pair in pairs)
        ours = statistics.median(getattr(pair[1], name) for pair in pairs)
        ratio = statistics.median(getattr(pair[1], name) / getattr(pair[0], name) for pair in pairs)
        print(f"{name:10} empty {empty:7.1f}  ours {ours:7.1f}  ratio {ratio:.2f}")


if __name__ == "__main__":
    main()
