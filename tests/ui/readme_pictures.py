"""Takes the README's pictures anew: pages of the demo shop and the papers of its main job.

Run: ``python -m tests.ui.readme_pictures`` (offscreen, about a minute). Writes resources/pictures/.
"""

import os
import tempfile
from collections.abc import Callable
from dataclasses import replace
from io import BytesIO
from pathlib import Path

import pypdfium2
from PySide6.QtCore import QBuffer, QByteArray, QEventLoop, QIODevice, QTimer

from shopdesk import launch
from shopdesk.cli.commands import paper_makers
from shopdesk.domain.stages import Stage
from shopdesk.services.demo.main_job import main_job
from shopdesk.services.demo.make import ensure_demo
from shopdesk.services.desk import Desk
from shopdesk.ui.app import make_application
from shopdesk.ui.program import Program
from shopdesk.ui.theme.look import LookChoice, Shade

PICTURES = Path(__file__).resolve().parents[2] / "resources" / "pictures"
WIDEST = 1280


def main() -> None:
    """Make the demo shop in a temporary folder and take every picture."""
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    PICTURES.mkdir(exist_ok=True)
    for old in PICTURES.glob("*.png"):
        old.unlink()
    with tempfile.TemporaryDirectory() as folder:
        address = str(Path(folder) / "demo.db")
        desk = ensure_demo(address, launch.open_desk)
        pages = _pages(desk)
        done, _before = desk.jobs.run(main_job(desk))
        for make in paper_makers(desk, done):
            paper = make()
            if not (PICTURES / _paper_name(paper.kind)).exists():
                _save_paper(paper.kind, paper.content)
        desk.close()
        for shade in (Shade.LIGHT, Shade.DARK):
            _take_pages(address, pages, shade)


def _pages(desk: Desk) -> dict[str, tuple[str, str]]:
    """Name the pages to show: a job half measured, and a vehicle with several units."""
    busy = max(desk.board.work_orders(stages=(Stage.IN_THE_BAY,)), key=lambda row: _measured(desk, row.id))
    vehicles = desk.intake.vehicles(most=60)
    driven = max(vehicles, key=lambda row: len(desk.intake.vehicle(row.id).units))
    return {
        "today": ("today", ""),
        "work-order": ("work order", str(busy.id)),
        "bay": ("bay", str(busy.id)),
        "vehicle": ("vehicle", str(driven.id)),
        "used-oil": ("used oil", ""),
        "second-opinion": ("verify", ""),
    }


def _measured(desk: Desk, work_order_id: int) -> int:
    """Say how many entries a work order's records hold."""
    records = desk.board.work_order(work_order_id).records
    return sum(len(desk.bay.record(row.record_id).entries) for row in records)


def _take_pages(address: str, pages: dict[str, tuple[str, str]], shade: Shade) -> None:
    app = make_application(["pictures"], "shopdesk")
    given = replace(
        launch.surroundings("log"),
        choice=LookChoice(shade=shade, percent=100, less_motion=True),
        open_shop=lambda announce: launch.open_desk(address, announce=announce),
    )
    program = Program(app, given)
    loop = QEventLoop()
    program.ready.connect(loop.quit)
    program.start()
    loop.exec()
    for name, (page, subject) in pages.items():
        if shade is Shade.DARK and name != "today":
            continue
        program.window.ways.go(page, subject)
        _settle(lambda: program.background.is_idle)
        _save_page(program, f"{name}-dark" if shade is Shade.DARK else name)
    program.window.close()
    app.shutdown()


def _settle(is_idle: Callable[[], bool]) -> None:
    """Let the window work until nothing is asked any more."""
    quiet = 0
    while quiet < 5:
        loop = QEventLoop()
        QTimer.singleShot(60, loop.quit)
        loop.exec()
        quiet = quiet + 1 if is_idle() else 0


def _save_page(program: Program, name: str) -> None:
    data = QByteArray()
    buffer = QBuffer(data)
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    program.window.grab().save(buffer, "PNG")  # type: ignore[call-overload]
    _save(bytes(data.data()), name, WIDEST)


def _paper_name(kind: str) -> str:
    return f"{kind.replace(' ', '-')}.png"


def _save_paper(kind: str, content: bytes) -> None:
    picture = pypdfium2.PdfDocument(content)[0].render(scale=1.4).to_pil()
    data = BytesIO()
    picture.save(data, "PNG")
    _save(data.getvalue(), _paper_name(kind).removesuffix(".png"), 860)


def _save(data: bytes, name: str, widest: int) -> None:
    """Save with few colours: small in the repository, sharp on a page."""
    from PIL import Image

    picture = Image.open(BytesIO(data)).convert("RGB")
    if picture.width > widest:
        picture = picture.resize((widest, round(picture.height * widest / picture.width)))
    picture.quantize(128).save(PICTURES / f"{name}.png", optimize=True)


if __name__ == "__main__":
    main()
