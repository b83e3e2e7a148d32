"""A whole service in Bay view, by keyboard alone and by large targets alone; then all must agree."""

from __future__ import annotations

from datetime import timedelta
from io import BytesIO
from pathlib import Path

import pytest
from PIL import Image

from shopdesk.domain.level import Arrived
from shopdesk.domain.proof import ProofVerdict
from shopdesk.domain.record import current
from shopdesk.domain.stages import Stage
from shopdesk.launch import open_desk
from shopdesk.services.photos import PhotoSubject
from shopdesk.services.setup import AddPerson
from shopdesk.ui.presenters.verdict import done_otherwise
from tests.documents.reading import solid, words
from tests.journeys.bay_work import ByGloves, ByKeyboard, Hands, whole_service
from tests.journeys.conftest import Run, Start
from tests.ui.shop_window import NOW, StandingClock
from tests.ui.work_shop import make_work_shop

FIRST, SECOND = "Rhea Sandoval", "Ivo Marsh"
RECORD, ORDER = 2, 2
_WHERE = 0x8825  # the block of Exif that holds the place


def shop_with_two_technicians(template: Path, file: Path) -> int:
    """Make the shop; the second technician's number is given back."""
    make_work_shop(template, file)
    rooms = open_desk(f"sqlite:///{file}", clock=StandingClock())
    try:
        rooms.setup.add_person(AddPerson(actor=rooms.actor(), name=SECOND, role="technician"))
        return next(person.id for person in rooms.setup.people() if person.name == SECOND)
    finally:
        rooms.close()


def picture(folder: Path) -> str:
    """A photo with the place where it was taken, as a telephone writes it."""
    file = folder / "fluid.jpg"
    where = Image.Exif()
    where.get_ifd(_WHERE)[1] = "N"
    Image.new("RGB", (640, 480), (120, 70, 20)).save(file, exif=where)
    with Image.open(file) as taken:
        assert taken.getexif().get_ifd(_WHERE)
    return str(file)


def assert_kept(run: Run) -> None:
    """The record holds what was done, by whom and when, and what follows from it."""
    view = run.rooms.bay.record(RECORD)
    kept = {f"{entry.field}:{entry.round}": entry for entry in current(e.entry for e in view.entries)}
    # One US liquid quart is 0.946 352 946 L (NIST Handbook 44, appendix C), rounded half up to a microlitre.
    figures = {
        "drained:1": 3_030_000, "put_in:1": 3_028_329, "spilled:1": 45_000, "put_in:2": 757_082,
        "spilled:2": 0, "ran_out:2": 500_000, "open_temperature:1": 35_556, "open_temperature:2": 38_333,
        "close_temperature:2": 40_000, "drain_plug_torque:1": 48_809, "level_plug_torque:1": 24_405,
        "appearance:1": 2, "particles:1": 1, "vehicle_level:1": 1, "selector_dwell:1": 5,
    }  # fmt: skip
    assert {name: kept[name].value_int for name in figures} == figures
    flows = [
        kept[name].value_text for name in ("flow_at_opening:1", "flow_at_opening:2", "flow_at_closing:2")
    ]
    assert flows == ["none", "stream", "drip"]
    assert view.people == (FIRST, SECOND)
    assert f"Handed over: {FIRST} to {SECOND}." in [e.entry.value_text for e in view.entries]
    assert (view.outcome.proof.verdict, view.finished) == (ProofVerdict.PROVEN, True)
    assert [each.key for each in done_otherwise(view)] == []
    balance = view.outcome.balance
    # By hand as read: 3.028 + 0.757 - 0.045 - 0.5 - 3.03 = 0.21 L; what came out was warm, which adds 0.05 L.
    assert balance.delta_ul == pytest.approx(260_000, abs=5_000)
    assert (balance.arrived, balance.missing) == (Arrived.LOW, ())
    assert {term.instrument for term in balance.terms if term.reading_u_ul} == {"Pump 1", "Drain pan 2"}


def assert_times(run: Run) -> None:
    """Every step has its own minute, in the order of the work; the readings of the warm-up lie between."""
    view = run.rooms.bay.record(RECORD)
    steps = [e.entry for e in view.entries if e.entry.field == "step"]
    done = [entry.measured_at for entry in steps]
    assert len(done) == 10
    assert None not in done
    assert done == sorted(done)  # type: ignore[type-var]
    assert len(set(done)) == len(done)
    readings = run.rooms.warmups.view(RECORD).readings
    assert [round(each.mc * 1.8 / 1000 + 32) for each in readings] == [88, 90, 92, 94, 96, 101]
    assert {each.person for each in readings} == {SECOND}
    assert all(NOW < each.at < NOW + timedelta(hours=1) for each in readings)
    (photo,) = run.rooms.photos.of(PhotoSubject.RECORD, RECORD)
    kept = Image.open(BytesIO(run.rooms.photos.picture(photo.photo_id)))
    assert not kept.getexif().get_ifd(_WHERE)


def assert_paper(run: Run, folder: Path) -> None:
    """The paper says what the record says."""
    k, file = run.keyboard, folder / "record.pdf"
    k.open_row("Papers", "Service record")
    run.ask.answers = [str(file)]
    k.press("Save")
    k.settle()
    text = solid(words(file.read_bytes()))
    for said in ("Level set", "3.03 L", "0.53 qt", FIRST, SECOND, "LM 902", "36 ft-lb"):
        assert solid(said) in text, said
    assert run.rooms.safekeeping.check().findings == ()


@pytest.mark.parametrize("hands", [ByKeyboard, ByGloves])
def test_that_a_whole_service_is_done_in_the_bay(
    hands: type[Hands], start: Start, sqlite_template: Path, tmp_path: Path
) -> None:
    second = shop_with_two_technicians(sqlite_template, tmp_path / "shop.db")
    clock = StandingClock()
    run = start(str(tmp_path / "shop.db"), clock=clock)
    run.program.window.resize(1280, 800)
    run.keyboard.key("F11")
    run.keyboard.key("Return")  # the only vehicle in the bays
    assert run.keyboard.place == ("bay", str(ORDER))
    whole_service(hands(run, clock), picture(tmp_path), second)
    page = hands(run, clock).page
    assert page.working.people.text() == f"At work: {SECOND}  ·  before: {FIRST}"
    hands(run, clock).done()
    assert run.rooms.board.work_order(ORDER).stage is Stage.FINISHED
    assert_kept(run)
    assert_times(run)
    assert_paper(run, tmp_path)
