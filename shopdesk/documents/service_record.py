"""The service record: what was measured, what follows from it, and how far it can be trusted."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from gettext import gettext as _
from typing import Final

from shopdesk.documents import blocks
from shopdesk.documents.facts import FluidUsed, Party, ShopHead, TextBlock, VehicleBlock
from shopdesk.documents.fonts import Face, Fonts
from shopdesk.documents.ink import Box, Ink, Photograph, Shape
from shopdesk.documents.page import Flow, PaperName, finish
from shopdesk.documents.parts import Band, Column, Words, boxed, gap, paragraph, row, section, split
from shopdesk.documents.parts import facts as facts_grid
from shopdesk.documents.stock import PaperSize, mm
from shopdesk.documents.theme import BODY, GAP, HAIR, LABEL, LINE, NOTE, SMALL_GAP, STRONG, WIDE_GAP, Style
from shopdesk.documents.window_chart import WindowChart, chart_bands

_PHOTOS_ACROSS: Final = 4
_PHOTO_HEIGHT: Final = mm(48)
_PHOTO_SIDE: Final = 800
_RESULT: Final = Style(size=11, leading=15, face=Face.STRONG)


class ConditionState(StrEnum):
    """How one condition of the level stands."""

    MET = "met"
    NOT_MET = "not met"
    NOT_RECORDED = "not recorded"


@dataclass(frozen=True, kw_only=True, slots=True)
class MeasuredFact:
    """One reading: what, its value with unit, the temperature it was taken at, the instrument and its ±."""

    what: str
    value: str
    at: str = ""
    instrument: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class BalanceRow:
    """One term of the balance. `sign` is "+", "−" or "=" as it enters; `value` "not recorded" when it was
    not."""

    sign: str
    what: str
    value: str
    at: str = ""
    spread: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class LevelCondition:
    """A condition of the level in words, how it stands, and the value it was judged by."""

    text: str
    state: ConditionState
    value: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class Deviation:
    """What was done otherwise than the sheet says, and why."""

    what: str
    reason: str


@dataclass(frozen=True, kw_only=True, slots=True)
class PhotoOnPaper:
    """A picture as a JPEG with its sides in pixels, and what it shows. On paper it is made smaller."""

    jpeg: bytes = field(repr=False)
    width: int
    height: int
    caption: str


@dataclass(frozen=True, kw_only=True, slots=True)
class ServiceRecordPaper:
    """One unit's service. The version without personal data simply has no `owner`, plate or VIN.

    `balance_result` is the sentence ("Came in low by 0.2 qt ± 0.1 qt") or the reason why it cannot be said;
    `level_verdict` the sentence on the level ("Level set: all 7 conditions recorded as met").
    """

    shop: ShopHead
    number: str
    date: str
    vehicle: VehicleBlock
    service: str
    facts: tuple[MeasuredFact, ...]
    level_verdict: str
    conditions: tuple[LevelCondition, ...]
    balance_result: str
    balance: tuple[BalanceRow, ...] = ()
    balance_note: str = ""
    owner: Party | None = None
    work_order: str = ""
    deviations: tuple[Deviation, ...] = ()
    new_fluid: str = ""
    new_fluid_range: str = ""
    new_fluid_assumption: str = ""
    average_age: str = ""
    next_due: str = ""
    next_due_reason: str = ""
    fluids: tuple[FluidUsed, ...] = ()
    specification: str = ""
    source: str = ""
    technicians: tuple[str, ...] = ()
    evidence_id: str = ""
    qr_text: str = ""
    key_fingerprint: str = ""
    photos: tuple[PhotoOnPaper, ...] = ()
    chart: WindowChart | None = None


def render_service_record(
    paper: ServiceRecordPaper, *, size: PaperSize, fonts: Fonts, copy_note: str = ""
) -> bytes:
    """The service record as a PDF: the results first, then everything they rest on."""
    title = _("Service record {number}").format(number=paper.number)
    flow = Flow(size=size, fonts=fonts, name=PaperName(shop=paper.shop.name, title=title))
    blocks.head(flow, paper.shop, title)
    blocks.heads_up(flow, _heading_facts(paper))
    blocks.parties(flow, [(_("Owner"), paper.owner)], paper.vehicle)
    _results(flow, paper)
    _facts(flow, paper.facts)
    _balance(flow, paper)
    _conditions(flow, paper.conditions)
    _chart(flow, paper.chart)
    _deviations(flow, paper.deviations)
    _photos(flow, paper.photos)
    blocks.fluid_table(flow, paper.fluids, _("Fluid put in"))
    blocks.text_blocks(flow, _closing_texts(paper))
    _evidence(flow, paper)
    return finish(flow, copy_note)


def _heading_facts(paper: ServiceRecordPaper) -> list[tuple[str, str]]:
    return [
        (_("Date"), paper.date),
        (_("Service"), paper.service),
        (_("Work order"), paper.work_order),
        (_("Technician"), ", ".join(paper.technicians)),
    ]


def _results(flow: Flow, paper: ServiceRecordPaper) -> None:
    """The sentences a reader looks for, in one frame."""
    inner = Column(flow.column.x + GAP, flow.column.width - 2 * GAP)
    new_fluid = [paper.new_fluid_range, paper.new_fluid_assumption]
    stacks = [
        (_("Level"), paper.level_verdict, [""]),
        (_("As it came in"), paper.balance_result, [""]),
        (_("New fluid now in the unit"), paper.new_fluid, new_fluid),
        (_("Average fluid age"), paper.average_age, [""]),
        (_("Next due"), paper.next_due, [paper.next_due_reason]),
    ]
    cells = [
        [Words(label, LABEL), Words(text, _RESULT), *(Words(note, LABEL) for note in notes)]
        for label, text, notes in stacks
        if text
    ]
    bands: list[Band] = []
    for start in range(0, len(cells), 2):
        pair = cells[start : start + 2]
        places = split(inner, len(pair), of=len(pair), between=WIDE_GAP)
        bands += [*(gap(SMALL_GAP) if bands else ()), *row(flow.fonts, places, pair)]
    flow.add([*gap(WIDE_GAP), *boxed(bands, flow.column, LINE, padding=5)])


def _facts(flow: Flow, facts: Sequence[MeasuredFact]) -> None:
    """Readings with a temperature or an instrument as a table; what was merely noted, close together."""
    read = [fact for fact in facts if fact.at or fact.instrument]
    noted = [(fact.what, fact.value) for fact in facts if not (fact.at or fact.instrument)]
    title = _("Measured")
    if read:
        columns = blocks.shares(flow.column, (0.36, 0.22, 0.14, 0.28))
        titles = (_("What"), _("Value"), _("At"), _("Instrument"))
        blocks.plain_table(flow, title, columns, titles, [_fact_row(flow, columns, fact) for fact in read])
        title = _("Noted")
    if noted:
        grid = facts_grid(flow.fonts, flow.column, noted, across=3, style=STRONG)
        flow.add([*section(flow.fonts, flow.column, title), *grid], keep=False)


def _fact_row(flow: Flow, columns: Sequence[Column], fact: MeasuredFact) -> list[Band]:
    texts = ((fact.what, BODY), (fact.value, STRONG), (fact.at, BODY), (fact.instrument, BODY))
    return row(flow.fonts, columns, [[Words(text, style)] for text, style in texts])


def _balance(flow: Flow, paper: ServiceRecordPaper) -> None:
    """The terms as they enter, their figures aligned, and the result in words beneath."""
    if not paper.balance:
        return
    columns = blocks.shares(flow.column, (0.04, 0.44, 0.18, 0.16, 0.18), right=(2, 3, 4))
    titles = ("", _("Volume"), _("Value"), _("At"), _("Give or take"))
    rows = [
        row(
            flow.fonts,
            columns,
            [
                [Words(term.sign, STRONG)],
                *([Words(text, STRONG if term.sign == "=" else BODY)] for text in _term_texts(term)),
            ],
        )
        for term in paper.balance
    ]
    blocks.plain_table(flow, _("Fluid balance"), columns, titles, rows)
    result = paragraph(flow.fonts, flow.column, paper.balance_result, STRONG)
    note = paragraph(flow.fonts, flow.column, paper.balance_note, NOTE)
    flow.add([*gap(SMALL_GAP), *result, *note])


def _term_texts(term: BalanceRow) -> tuple[str, str, str, str]:
    return term.what, term.value, term.at, term.spread


_MARKS: Final = {
    ConditionState.MET: Shape.DOT,
    ConditionState.NOT_MET: Shape.TRIANGLE,
    ConditionState.NOT_RECORDED: Shape.DIAMOND,
}


def _state_words(state: ConditionState) -> str:
    words = {
        ConditionState.MET: _("met"),
        ConditionState.NOT_MET: _("not met"),
        ConditionState.NOT_RECORDED: _("not recorded"),
    }
    return words[state]


def _conditions(flow: Flow, conditions: Sequence[LevelCondition]) -> None:
    """Every condition of the level, each with a drawn mark and the word for it."""
    if conditions:
        columns = blocks.shares(flow.column, (0.2, 0.48, 0.32))
        titles = (_("State"), _("Condition"), _("Recorded"))
        rows = [row(flow.fonts, columns, _condition_cells(condition)) for condition in conditions]
        blocks.plain_table(flow, _("Conditions of the level"), columns, titles, rows)


def _condition_cells(condition: LevelCondition) -> list[list[Words]]:
    style = BODY if condition.state is ConditionState.MET else STRONG
    return [
        [Words(_state_words(condition.state), style, _MARKS[condition.state])],
        [Words(condition.text)],
        [Words(condition.value)],
    ]


def _deviations(flow: Flow, deviations: Sequence[Deviation]) -> None:
    if deviations:
        columns = blocks.shares(flow.column, (0.42, 0.58))
        titles = (_("What"), _("Reason"))
        rows = [
            row(flow.fonts, columns, [[Words(deviation.what)], [Words(deviation.reason)]])
            for deviation in deviations
        ]
        blocks.plain_table(flow, _("Done otherwise than the sheet says"), columns, titles, rows)


def _closing_texts(paper: ServiceRecordPaper) -> list[TextBlock]:
    return [
        TextBlock(title=_("Specification"), text=paper.specification),
        TextBlock(title=_("Source of the sheet"), text=paper.source),
    ]


def _chart(flow: Flow, chart: WindowChart | None) -> None:
    if chart is not None:
        title = section(flow.fonts, flow.column, _("Warming up"))
        flow.add([*title, *chart_bands(flow.fonts, flow.column, chart)])


def _photos(flow: Flow, photos: Sequence[PhotoOnPaper]) -> None:
    """Pictures side by side with what they show beneath; each row stays whole."""
    title = section(flow.fonts, flow.column, _("Pictures"))
    across = min(max(len(photos), 3), _PHOTOS_ACROSS)
    for start in range(0, len(photos), across):
        group = photos[start : start + across]
        places = split(flow.column, len(group), of=across)
        captions = row(flow.fonts, places, [[Words(photo.caption, LABEL)] for photo in group])
        flow.add([*title, _photo_band(places, group), *captions])
        title = gap(SMALL_GAP)


def _photo_band(places: Sequence[Column], photos: Sequence[PhotoOnPaper]) -> Band:
    """Pictures in a row, as large as their column and the row's height let them be."""
    from shopdesk.documents.pictures import reduced  # few papers have pictures

    ink: list[Ink] = []
    tallest = 0.0
    for place, photo in zip(places, photos, strict=True):
        scale = min(place.width / photo.width, _PHOTO_HEIGHT / photo.height)
        wide, high = photo.width * scale, photo.height * scale
        small = reduced(photo.jpeg, _PHOTO_SIDE).content
        ink += [Photograph(place.x, 0, wide, high, small), Box(place.x, 0, wide, high, HAIR)]
        tallest = max(tallest, high)
    return Band(tallest + 2, tuple(ink))


def _evidence(flow: Flow, paper: ServiceRecordPaper) -> None:
    """The signed code of the record, and beside it how it is checked."""
    if not (paper.evidence_id or paper.qr_text):
        return
    column = blocks.beside_symbol(flow, paper.qr_text)
    bands = paragraph(flow.fonts, column, _("This record in the shop's books"), LABEL)
    bands += paragraph(flow.fonts, column, paper.evidence_id, STRONG)
    if paper.key_fingerprint:
        bands += [*gap(SMALL_GAP), *paragraph(flow.fonts, column, _("Signed with the shop's key"), LABEL)]
        bands += paragraph(flow.fonts, column, paper.key_fingerprint, STRONG)
        bands += [*gap(SMALL_GAP), *paragraph(flow.fonts, column, _how_to_check(), NOTE)]
    flow.add([*gap(WIDE_GAP), *blocks.with_symbol(flow, bands, paper.qr_text)])


def _how_to_check() -> str:
    return _(
        "The square code holds the main facts of this record, signed by the shop. Anybody can check it from "
        "a picture, without a network, with verify-record in the program that made this paper; a changed "
        "letter or figure is refused. Ask the shop itself for its key and compare it with the one above. The "
        "signature shows who stands for the readings and that they are unchanged, not that they were taken "
        "well."
    )
