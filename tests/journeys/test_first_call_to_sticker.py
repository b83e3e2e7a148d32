"""From the first run to a printed sticker in the real window, by keyboard alone; then all must agree."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

from shopdesk.domain.record import current
from shopdesk.domain.stages import Stage
from shopdesk.launch import open_desk
from shopdesk.services.setup import FirstRun
from shopdesk.ui.screens.work_order.screen import WorkOrderScreen
from tests.documents.reading import solid, symbols, words
from tests.journeys.conftest import Run, Start, wait_until_ready
from tests.journeys.counter_work import (
    FLUID,
    SHOP,
    WASHER,
    add_a_unit_with_its_sheet,
    fill_the_shelf,
    measure,
    price_and_agree,
    take_in,
)

# One US liquid quart is 0.946 352 946 L (NIST Handbook 44, appendix C), rounded half up to a microlitre.
_FOUR_QUARTS, _TWENTY_FOUR = 3_785_412, 22_712_471
# By hand: 1.4 × 118.00 + 4 × 11.85 + 2 × 0.85; 7.25 % of the goods only.
_NET, _TAX, _TOTAL = 214_30, 3_56, 217_86


def order_page(run: Run) -> WorkOrderScreen:
    screen = run.program.window.ways.screen
    assert isinstance(screen, WorkOrderScreen)
    return screen


def work_through(run: Run) -> None:
    """Do everything from the delivery to the payment; the verdict is looked at on the way."""
    k = run.keyboard
    fill_the_shelf(k)
    take_in(k)
    add_a_unit_with_its_sheet(k)
    price_and_agree(k)
    measure(k)
    badge = order_page(run).service.level.badge.accessibleName()
    assert badge.startswith("Level set: all"), badge
    for stage in (Stage.FINISHED, Stage.INVOICED):
        k.key("Ctrl+Return")
        assert run.rooms.board.work_order(1).stage is stage
    k.choose("Paid with", "Cash")
    k.key("Ctrl+Return")


def assert_kept(run: Run) -> None:
    """What stands in the database is what was typed, to the cent and the microlitre."""
    order = run.rooms.board.work_order(1)
    assert order.invoice is not None
    assert (order.plate, order.customer, order.odometer_in_tenths) == ("HX 2210", "Nadia Fell", 612_500)
    assert (order.invoice.total_minor, order.invoice.open_minor) == (_TOTAL, 0)
    (payment,) = run.rooms.invoices.invoice(order.invoice.id).payments
    assert payment.amount_minor == _TOTAL
    kept = {e.field: e for e in current(each.entry for each in run.rooms.bay.record(1).entries)}
    volumes = {name: kept[name].value_int for name in ("drained", "put_in", "spilled", "ran_out")}
    assert volumes == {
        "drained": 3_030_000,
        "put_in": _FOUR_QUARTS,
        "spilled": 45_000,
        "ran_out": 500_000,
    }
    # °C = (°F − 32) / 1.8, in thousandths; 36 lbf·ft at 1.355 817 948 N·m (NIST SP 811, B.8).
    assert (kept["open_temperature"].value_int, kept["close_temperature"].value_int) == (36_111, 40_000)
    assert (kept["fill_plug_torque"].value_int, kept["drain_plug_torque"].value_int) == (30_000, 48_809)
    assert {kept[f"{plug}_plug_washer"].value_text for plug in ("fill", "drain", "level")} == {"new washer"}
    left = {row.name: row.on_hand for row in run.rooms.stock.on_hand()}
    assert left == {FLUID: _TWENTY_FOUR - _FOUR_QUARTS, WASHER: 48_000}
    assert run.rooms.safekeeping.check().findings == ()


def save_and_print(run: Run, folder: Path) -> dict[str, bytes]:
    """Open every paper from the list, save it and print it; what was saved is what was printed."""
    k, papers = run.keyboard, dict[str, bytes]()
    for name in ("Estimate", "Job sheet", "Service record", "Sticker", "Invoice"):
        k.open_row("Papers", name)
        file = folder / f"{name}.pdf"
        run.ask.answers = [str(file), "Counter laser"]
        k.press("Save")
        k.key("Ctrl+P")
        assert run.printing.printed[-1] == ("Counter laser", file.read_bytes())
        papers[name] = file.read_bytes()
        k.key("Escape")
        assert k.place == ("work order", "1")
    return papers


def assert_papers_agree(run: Run, papers: dict[str, bytes]) -> None:
    """Papers and their square codes say what is kept."""
    invoice = words(papers["Invoice"])
    for minor in (_NET, _TAX, _TOTAL):
        assert str(Decimal(minor).scaleb(-2)) in invoice
    assert "Nadia Fell" in invoice
    assert "214.30" in words(papers["Estimate"])
    record = solid(words(papers["Service record"]))
    for said in ("Level set", "3.03 L", "LZZBWT2K3JA004417", "61,250 mi"):
        assert solid(said) in record, said
    assert "Never open the level plug with the engine off." in words(papers["Job sheet"])
    due = run.rooms.due.of_unit(1)
    assert due is not None
    (code,) = symbols(papers["Sticker"], dpi=600)
    assert "121,250 mi" in code  # 61,250 and the sheet's 60,000
    assert solid("121,250") in solid(words(papers["Sticker"]))
    assert "Nadia" not in code


def test_that_the_whole_job_is_done_by_keyboard_from_the_first_run_to_the_sticker(
    start: Start, tmp_path: Path
) -> None:
    run = start(str(tmp_path / "shop.db"))
    k = run.keyboard
    assert k.place == ("first run", "")
    k.type("Alder Driveline")
    k.fill(SHOP)
    wait_until_ready(run, lambda: k.key("Ctrl+Return"))
    assert k.place == ("today", "")
    work_through(run)
    assert_kept(run)
    assert_papers_agree(run, save_and_print(run, tmp_path))
    assert run.rooms.safekeeping.check().findings == ()


def test_that_the_same_job_is_done_on_postgresql(start: Start, postgres_url: str) -> None:
    rooms = open_desk(postgres_url)
    rooms.setup.first_run(
        FirstRun(
            actor=rooms.actor(), name="Alder Driveline", owner="Maya Kestrel", currency="USD",
            place="Marrow State", locale="en_US", zone="America/Denver", volume_unit="qt",
            temperature_unit="degf", torque_unit="lbf*ft", distance_unit="mi", tax_name="Sales tax",
            tax_on_parts="7.25", tax_on_labour="0", tax_on_fees="0", paper_size="Letter", label_size="2x2 in",
        )
    )  # fmt: skip
    rooms.close()
    run = start(postgres_url)
    work_through(run)
    assert_kept(run)
