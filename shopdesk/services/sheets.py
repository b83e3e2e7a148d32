"""Unit sheets: the shop's own data for a designation, typed in with its source, revision by revision."""

import json
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from gettext import gettext as _
from typing import Any

from sqlalchemy import Select, func, select

from shopdesk.domain import text
from shopdesk.domain.errors import NotFound, RuleBroken
from shopdesk.domain.intervals import Interval, Layer
from shopdesk.domain.methods import LevelMethod, UnitKind
from shopdesk.domain.proof import EngineState, Flow, LevelRules, Stance
from shopdesk.domain.sheet import Plug, PlugTorque, SheetBody, WasherNeed, check_sheet, usual_steps
from shopdesk.persistence import canonical
from shopdesk.persistence.tables.units import sheet_revision, specification, unit_sheet
from shopdesk.services.acting import AnyRow, Command, Office, Reading, Writing
from shopdesk.services.plain import from_plain, to_plain
from shopdesk.services.typed import Typed, key_of, under


@dataclass(frozen=True, kw_only=True, slots=True)
class IntervalTyped:
    """An interval as typed: "60,000 mi" and/or whole months; or that none is needed."""

    distance: str = ""
    months: int | None = None
    none_needed: bool = False


@dataclass(frozen=True, kw_only=True, slots=True)
class TorqueTyped:
    """A plug's torque as typed, with its tolerance either side if the source gives one."""

    plug: Plug
    torque: str
    tolerance: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class SaveSheet(Command):
    """A new sheet, or the next revision of the sheet with this designation. Quantities are text."""

    designation: str
    kind: UnitKind
    specification: str
    level_method: LevelMethod
    window_low: str = ""
    window_high: str = ""
    engine: EngineState | None = None
    selector_cycled: bool = False
    selector_dwell_s: int | None = None
    vehicle_level: bool = True
    flow_at_opening: tuple[Flow, ...] = (Flow.STREAM,)
    flow_at_closing: tuple[Flow, ...] = (Flow.DRIP,)
    service_fill: str = ""
    total: str = ""
    refill_tolerance: str = ""
    level_repeatability: str = ""
    refill: str = ""
    edge_offset: str = ""
    edge_tolerance: str = ""
    stance: Stance | None = None
    cold_low: str = ""
    cold_high: str = ""
    has_drain_plug: bool = True
    torques: tuple[TorqueTyped, ...] = ()
    washers: tuple[WasherNeed, ...] = ()
    maker_normal: IntervalTyped = IntervalTyped()
    maker_severe: IntervalTyped = IntervalTyped()
    shop_normal: IntervalTyped = IntervalTyped()
    shop_severe: IntervalTyped = IntervalTyped()
    cautions: tuple[str, ...] = ()
    source: str
    checked_by: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class SheetKept:
    """Which sheet and revision a command made."""

    sheet_id: int
    revision_id: int
    revision: int


@dataclass(frozen=True, kw_only=True, slots=True)
class SheetView:
    """A sheet's revision as it stands; volumes in microlitres."""

    sheet_id: int
    revision_id: int
    revision: int
    designation: str
    kind: UnitKind
    specification: str
    specification_id: int
    service_fill_ul: int | None
    total_ul: int | None
    body: SheetBody
    source: str
    checked_by: str
    written_utc: datetime


def specification_id_of(writing: Writing, name: str, field: str) -> int:
    """Give the id of a fluid specification; one that was not written before is added."""
    wanted = text.required(name, field=field, label=_("the fluid specification"), most=120)
    key = key_of(wanted, field=field, most=120)
    found = writing.connection.execute(
        select(specification.c.id).where(specification.c.sort_key == key)
    ).scalar()
    return int(found) if found is not None else writing.add(specification, name=wanted, sort_key=key)


def read_interval(typed: Typed, interval: IntervalTyped, layer: Layer, field: str) -> Interval | None:
    """Give the interval that was typed, None when nothing was."""
    with under(field):
        if interval.months is not None and not 1 <= interval.months <= 600:
            raise RuleBroken(_("Write whole months between 1 and 600."), "months")
        distance = typed.distance(interval.distance, "distance") if interval.distance.strip() else None
    if distance is None and interval.months is None and not interval.none_needed:
        return None
    return Interval(
        layer=layer,
        distance_tenths=distance.value if distance else None,
        distance_unit=distance.unit if distance else None,
        months=interval.months,
        none_needed=interval.none_needed,
    )


def _volume(typed: Typed, value: str, field: str) -> int | None:
    if not value.strip():
        return None
    ul = typed.volume(value, field).value
    if ul == 0:
        raise RuleBroken(_("This volume cannot be nothing; leave it empty if it is not known."), field)
    return ul


def _length(typed: Typed, value: str, field: str, least: int | None = None) -> int | None:
    if not value.strip():
        return None
    um = typed.length(value, field).value
    if least is not None and um < least:
        raise RuleBroken(_("A tolerance is no less than nothing."), field)
    return um


def read_level_rules(typed: Typed, command: SaveSheet) -> LevelRules:
    """Give the level rules that were typed; temperatures are read exactly."""
    bounds = {
        field: typed.temperature(value, field).value if value.strip() else None
        for field, value in (
            ("window_low", command.window_low),
            ("window_high", command.window_high),
            ("cold_low", command.cold_low),
            ("cold_high", command.cold_high),
        )
    }
    return LevelRules(
        method=command.level_method,
        window_low_mc=bounds["window_low"],
        window_high_mc=bounds["window_high"],
        engine=command.engine,
        selector_cycled=command.selector_cycled,
        selector_dwell_s=command.selector_dwell_s,
        attitude_level=command.vehicle_level,
        flow_at_opening=frozenset(command.flow_at_opening),
        flow_at_closing=frozenset(command.flow_at_closing),
        refill_ul=_volume(typed, command.refill, "refill"),
        refill_tolerance_ul=_volume(typed, command.refill_tolerance, "refill_tolerance"),
        edge_offset_um=_length(typed, command.edge_offset, "edge_offset"),
        edge_tolerance_um=_length(typed, command.edge_tolerance, "edge_tolerance", least=0),
        stance=command.stance,
        cold_low_mc=bounds["cold_low"],
        cold_high_mc=bounds["cold_high"],
    )


def _torques(typed: Typed, command: SaveSheet) -> tuple[PlugTorque, ...]:
    torques: list[PlugTorque] = []
    for at, torque in enumerate(command.torques):
        with under(f"torques/{at}"):
            tolerance = (
                typed.torque(torque.tolerance, "tolerance").value if torque.tolerance.strip() else None
            )
            value = typed.torque(torque.torque, "torque").value
            if any(each.plug is torque.plug for each in torques):
                raise RuleBroken(_("This plug already has its torque."), "plug")
            torques.append(PlugTorque(plug=torque.plug, torque_mnm=value, tolerance_mnm=tolerance))
    return tuple(torques)


def read_body(typed: Typed, command: SaveSheet) -> SheetBody:
    """Give the sheet's body as typed."""
    repeatability = _volume(typed, command.level_repeatability, "level_repeatability")
    return SheetBody(
        level=read_level_rules(typed, command),
        has_drain_plug=command.has_drain_plug,
        level_repeatability_ul=repeatability,
        torques=_torques(typed, command),
        washers=tuple(
            WasherNeed(plug=w.plug, text=text.clean(w.text, field=f"washers/{at}/text", most=120))
            for at, w in enumerate(command.washers)
        ),
        maker_normal=read_interval(typed, command.maker_normal, Layer.MAKER, "maker_normal"),
        maker_severe=read_interval(typed, command.maker_severe, Layer.MAKER, "maker_severe"),
        shop_normal=read_interval(typed, command.shop_normal, Layer.SHOP, "shop_normal"),
        shop_severe=read_interval(typed, command.shop_severe, Layer.SHOP, "shop_severe"),
        steps=usual_steps(command.level_method, command.kind, has_drain_plug=command.has_drain_plug),
        cautions=tuple(
            text.clean(c, field=f"cautions/{at}", most=300)
            for at, c in enumerate(command.cautions)
            if c.strip()
        ),
    )


def save_sheet(writing: Writing, command: SaveSheet) -> SheetKept:
    """Keep a sheet, or its next revision; the same values again make no new revision."""
    typed = writing.typed_here()
    designation = text.required(
        command.designation, field="designation", label=_("the designation"), most=120
    )
    service_fill = _volume(typed, command.service_fill, "service_fill")
    total = _volume(typed, command.total, "total")
    body = read_body(typed, command)
    check_sheet(body, service_fill_ul=service_fill, total_ul=total)
    row = {
        "sheet_id": _sheet_id(writing, designation, command.kind),
        "specification_id": specification_id_of(writing, command.specification, "specification"),
        "level_method": command.level_method.value,
        "service_fill_ul": service_fill,
        "total_ul": total,
        "body_text": canonical.canonical_json(to_plain(body)),
        "source_text": text.required(
            command.source, field="source", label=_("where these values are written"), most=1000
        ),
        "checked_by": text.clean(command.checked_by, field="checked_by", most=120),
    }
    return _same_as_last(writing, row) or _next_revision(writing, row)


def _sheet_id(writing: Writing, designation: str, kind: UnitKind) -> int:
    key = key_of(designation, field="designation", most=120)
    found = writing.connection.execute(
        select(unit_sheet.c.id, unit_sheet.c.kind).where(unit_sheet.c.sort_key == key)
    ).one_or_none()
    if found is None:
        return writing.add(unit_sheet, designation=designation, sort_key=key, kind=kind.value)
    if found.kind != kind.value:
        sentence = _("The sheet {designation} is for a unit of another kind: {kind}.")
        raise RuleBroken(sentence.format(designation=designation, kind=found.kind), "kind")
    return int(found.id)


def _last(reading: Reading, sheet_id: int) -> AnyRow | None:
    return reading.connection.execute(
        select(sheet_revision)
        .where(sheet_revision.c.sheet_id == sheet_id)
        .order_by(sheet_revision.c.revision.desc())
        .limit(1)
    ).one_or_none()


def _same_as_last(writing: Writing, row: dict[str, object]) -> SheetKept | None:
    last = _last(writing, int(str(row["sheet_id"])))
    if last is None or any(getattr(last, name) != value for name, value in row.items()):
        return None
    return SheetKept(sheet_id=last.sheet_id, revision_id=last.id, revision=last.revision)


def _next_revision(writing: Writing, row: dict[str, object]) -> SheetKept:
    sheet_id = int(str(row["sheet_id"]))
    highest = writing.connection.execute(
        select(func.max(sheet_revision.c.revision)).where(sheet_revision.c.sheet_id == sheet_id)
    ).scalar()
    revision = (highest or 0) + 1
    revision_id = writing.add_chained(sheet_revision, revision=revision, **row)
    return SheetKept(sheet_id=sheet_id, revision_id=revision_id, revision=revision)


def sheet_view(reading: Reading, *, sheet_id: int | None = None, revision_id: int | None = None) -> SheetView:
    """Give one revision, or the newest of a sheet; NotFound when there is none."""
    wanted = (
        sheet_revision.c.id == revision_id
        if revision_id is not None
        else sheet_revision.c.sheet_id == sheet_id
    )
    found = reading.connection.execute(_views().where(wanted).limit(1)).one_or_none()
    if found is None:
        raise NotFound(_("That unit sheet is not there."), "sheet")
    return _view(found)


def _views() -> Select[Any]:
    return (
        select(
            sheet_revision,
            unit_sheet.c.designation,
            unit_sheet.c.kind,
            specification.c.name.label("specification"),
        )
        .join(unit_sheet, unit_sheet.c.id == sheet_revision.c.sheet_id)
        .join(specification, specification.c.id == sheet_revision.c.specification_id)
        .order_by(sheet_revision.c.revision.desc())
    )


def _view(row: AnyRow) -> SheetView:
    return SheetView(
        sheet_id=row.sheet_id,
        revision_id=row.id,
        revision=row.revision,
        designation=row.designation,
        kind=UnitKind(row.kind),
        specification=row.specification,
        specification_id=row.specification_id,
        service_fill_ul=row.service_fill_ul,
        total_ul=row.total_ul,
        body=from_plain(SheetBody, json.loads(row.body_text)),
        source=row.source_text,
        checked_by=row.checked_by,
        written_utc=row.at_utc,
    )


class Sheets:
    """The room where the shop's unit sheets are kept."""

    def __init__(self, office: Office) -> None:
        self._office = office

    def save(self, command: SaveSheet) -> SheetKept:
        """Keep a sheet or its next revision."""
        return self._office.carry_out(command, lambda writing: save_sheet(writing, command), SheetKept)

    def sheet(self, sheet_id: int) -> SheetView:
        """Give the newest revision of a sheet."""
        with self._office.reading() as reading:
            return sheet_view(reading, sheet_id=sheet_id)

    def all(self) -> Sequence[SheetView]:
        """Give the newest revision of every sheet, by designation."""
        newest = select(func.max(sheet_revision.c.id)).group_by(sheet_revision.c.sheet_id).scalar_subquery()
        with self._office.reading() as reading:
            rows = reading.connection.execute(
                _views().where(sheet_revision.c.id.in_(newest)).order_by(None).order_by(unit_sheet.c.sort_key)
            )
            return tuple(_view(row) for row in rows)
