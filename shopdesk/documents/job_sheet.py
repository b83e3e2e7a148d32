"""The job sheet for the bay: large, in the order of work, with its cautions and boxes to write in."""

from collections.abc import Sequence
from dataclasses import dataclass
from gettext import gettext as _
from typing import Final

from shopdesk.documents import blocks
from shopdesk.documents.facts import TextBlock
from shopdesk.documents.fonts import Face, Fonts
from shopdesk.documents.ink import Shape
from shopdesk.documents.page import Flow, PaperName, finish
from shopdesk.documents.parts import (
    Words,
    gap,
    paragraph,
    row,
    rule,
    ruled,
    section,
    split,
    write_boxes,
)
from shopdesk.documents.stock import PaperSize
from shopdesk.documents.theme import GAP, HEAVY, LABEL, LINE, SMALL_GAP, Style

_NUMBER: Final = Style(size=34, leading=40, face=Face.STRONG)
_PLATE: Final = Style(size=24, leading=40, face=Face.STRONG)
_VALUE: Final = Style(size=13, leading=19, face=Face.STRONG)
_WINDOW: Final = Style(size=16, leading=19, face=Face.STRONG)
_STEP: Final = Style(size=12, leading=15)
_VIN: Final = Style(size=10, leading=14)
_FACT: Final = Style(size=11, leading=15, face=Face.STRONG)
_CAUTION: Final = Style(size=10.5, leading=15, face=Face.STRONG)
_WARNING: Final = Style(size=13, leading=18, face=Face.STRONG)
_BOXES_ACROSS: Final = 4
_BOX_ROOM: Final = 38.0


@dataclass(frozen=True, kw_only=True, slots=True)
class JobStep:
    """One step of the sheet's order of work, with the cautions that stand beside it."""

    text: str
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True, slots=True)
class WriteBox:
    """A box to fill in by hand: "Put in", "Drained"; `unit` is printed inside, at the right."""

    label: str
    unit: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class TorqueRow:
    """A fastener and its torque ("36 ft-lb (48.8 N·m)"); `note` says how, or which washer."""

    fastener: str
    torque: str
    note: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class JobSheetPaper:
    """`window` carries both scales as the shop shows them ("95–113 °F / 35–45 °C"); `source` says where
    the sheet's
    values were read, by whom and when. `notes` are further texts such as history ("last time 0.3 qt ran
    out").
    """

    shop_name: str
    number: str
    vehicle: str
    unit: str
    specification: str
    product: str
    planned_quantity: str
    level_method: str
    steps: tuple[JobStep, ...]
    boxes: tuple[WriteBox, ...]
    source: str
    plate: str = ""
    vin: str = ""
    key_tag: str = ""
    parked_at: str = ""
    odometer_in: str = ""
    promised: str = ""
    technician: str = ""
    service_method: str = ""
    window: str = ""
    complaint: str = ""
    warnings: tuple[str, ...] = ()
    torques: tuple[TorqueRow, ...] = ()
    cautions: tuple[str, ...] = ()
    notes: tuple[TextBlock, ...] = ()


def render_job_sheet(paper: JobSheetPaper, *, size: PaperSize, fonts: Fonts, copy_note: str = "") -> bytes:
    """The job sheet as a PDF, to be read at arm's length in poor light."""
    title = _("Work order {number}").format(number=paper.number)
    flow = Flow(size=size, fonts=fonts, name=PaperName(shop=paper.shop_name, title=title))
    _head(flow, paper)
    blocks.notice(flow, paper.warnings, _WARNING, HEAVY)
    _asked(flow, paper)
    _fluid_and_level(flow, paper)
    _steps(flow, paper.steps)
    _boxes(flow, paper.boxes)
    _torques(flow, paper.torques)
    blocks.text_blocks(flow, paper.notes)
    _cautions(flow, paper.cautions)
    blocks.text_blocks(flow, [TextBlock(title=_("Source of the sheet"), text=paper.source)])
    return finish(flow, copy_note)


def _head(flow: Flow, paper: JobSheetPaper) -> None:
    fonts, whole = flow.fonts, flow.column
    columns = blocks.shares(whole, (0.36, 0.36, 0.28))
    cells = [
        [Words(_("Work order"), LABEL), Words(paper.number, _NUMBER)],
        [Words(_("Plate") if paper.plate else "", LABEL), Words(paper.plate, _PLATE)],
        [Words(_("Key tag") if paper.key_tag else "", LABEL), Words(paper.key_tag, _PLATE)],
    ]
    flow.add(row(fonts, columns, cells))
    flow.add(rule(whole.x, whole.width, HEAVY, above=3, below=GAP))
    halves = split(whole, 2, of=2)
    vin = [Words(_("VIN {vin}").format(vin=paper.vin), _VIN)] if paper.vin else []
    vehicle = [*_labelled(_("Vehicle"), paper.vehicle), *vin]
    flow.add(row(fonts, halves, [vehicle, _labelled(_("Unit"), paper.unit)]))
    flow.add(gap(SMALL_GAP))
    blocks.heads_up(flow, _head_facts(paper), _FACT)


def _head_facts(paper: JobSheetPaper) -> list[tuple[str, str]]:
    return [
        (_("Promised for"), paper.promised),
        (_("Technician"), paper.technician),
        (_("Odometer in"), paper.odometer_in),
        (_("Parked at"), paper.parked_at),
    ]


def _labelled(label: str, text: str, style: Style = _VALUE) -> list[Words]:
    return [Words(label, LABEL), Words(text, style)] if text else []


def _asked(flow: Flow, paper: JobSheetPaper) -> None:
    if paper.complaint:
        label = paragraph(flow.fonts, flow.column, _("What was asked"), LABEL)
        text = paragraph(flow.fonts, flow.column, paper.complaint, _STEP)
        flow.add([*gap(GAP), *label, *text])


def _fluid_and_level(flow: Flow, paper: JobSheetPaper) -> None:
    """What goes in, how much, and how the level is set: the figures looked for most often."""
    fonts, columns = flow.fonts, blocks.shares(flow.column, (0.34, 0.34, 0.32))
    fluid = [
        _labelled(_("Specification"), paper.specification),
        _labelled(_("Product"), paper.product),
        _labelled(_("Planned quantity"), paper.planned_quantity, _WINDOW),
    ]
    level = [
        _labelled(_("Service"), paper.service_method),
        _labelled(_("How the level is set"), paper.level_method),
        _labelled(_("Temperature window"), paper.window, _WINDOW),
    ]
    line = rule(flow.column.x, flow.column.width, LINE, above=GAP, below=SMALL_GAP)
    flow.add([*line, *row(fonts, columns, fluid), *gap(SMALL_GAP), *row(fonts, columns, level)])


def _steps(flow: Flow, steps: Sequence[JobStep]) -> None:
    """The order of work: a square to tick, the step, and beside it its cautions."""
    columns = blocks.shares(flow.column, (0.035, 0.035, 0.27, 0.66))
    titles = row(
        flow.fonts, columns, [[], [], [Words(_("Order of work"), LABEL)], [Words(_("Take care"), LABEL)]]
    )
    rows = [
        ruled(row(flow.fonts, columns, _step_cells(number, step)), flow.column, above=3, below=3)
        for number, step in enumerate(steps, start=1)
    ]
    flow.table(gap(GAP + SMALL_GAP), [*titles, *gap(2)], rows)


def _step_cells(number: int, step: JobStep) -> list[list[Words]]:
    return [
        [Words("\u00a0", _STEP, Shape.SQUARE)],
        [Words(str(number), _FACT)],
        [Words(step.text, _STEP)],
        [Words(text, _CAUTION, Shape.CAUTION) for text in step.cautions],
    ]


def _boxes(flow: Flow, boxes: Sequence[WriteBox]) -> None:
    """Boxes to write in, a few to a line."""
    title = section(flow.fonts, flow.column, _("Write down as you go"))
    for start in range(0, len(boxes), _BOXES_ACROSS):
        group = boxes[start : start + _BOXES_ACROSS]
        places = split(flow.column, len(group), of=_BOXES_ACROSS, between=0)
        pairs = [(box.label, box.unit) for box in group]
        flow.add([*title, *write_boxes(flow.fonts, places, pairs, room=_BOX_ROOM)])
        title = []


def _torques(flow: Flow, torques: Sequence[TorqueRow]) -> None:
    if torques:
        columns = blocks.shares(flow.column, (0.34, 0.34, 0.32))
        rows = [
            row(
                flow.fonts,
                columns,
                [[Words(line.fastener, _STEP)], [Words(line.torque, _VALUE)], [Words(line.note, _STEP)]],
            )
            for line in torques
        ]
        titles = (_("Fastener"), _("Torque"), _("How"))
        blocks.plain_table(flow, _("Torques"), columns, titles, rows)


def _cautions(flow: Flow, texts: Sequence[str]) -> None:
    if texts:
        title = section(flow.fonts, flow.column, _("Cautions for the whole job"))
        flow.add([*title, *blocks.cautions(flow, flow.column, texts, _CAUTION)])
