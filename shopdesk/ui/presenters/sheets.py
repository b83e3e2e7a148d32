"""A unit sheet's texts: from a kept revision to the fields of a form, and back to a command.

Which fields a sheet has depends on how its level is set and on the kind of unit; ``asked`` says which.
What stands in a field that is not asked for is neither shown nor sent.
"""

import re
from collections.abc import Collection, Mapping
from gettext import gettext as _

from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.intervals import Interval
from shopdesk.domain.level_rules import EngineState, Flow, Stance
from shopdesk.domain.methods import SELECTOR_KINDS, LevelMethod, UnitKind
from shopdesk.domain.sheet import Plug, WasherNeed
from shopdesk.domain.text import match_key
from shopdesk.domain.units import read_whole
from shopdesk.services.acting import Actor
from shopdesk.services.sheets import IntervalTyped, SaveSheet, SheetView, TorqueTyped
from shopdesk.services.shopfacts import ShopFacts
from shopdesk.ui.presenters.exact import (
    exact_distance,
    exact_length,
    exact_temperature,
    exact_torque,
    exact_volume,
)

YES = "yes"
OPENING_FLOWS = (Flow.STREAM, Flow.PULSE, Flow.DRIP)
CLOSING_FLOWS = (Flow.DRIP, Flow.PULSE, Flow.STREAM, Flow.NONE)
LAYERS = ("maker_normal", "maker_severe", "shop_normal", "shop_severe")

_RUNNING = (LevelMethod.OVERFLOW_TUBE, LevelMethod.DIPSTICK, LevelMethod.SIGHT_GLASS)
_TORQUE = re.compile(r"/?torques/(\d+)/(\w+)")


def flow_field(when: str, flow: Flow) -> str:
    """Name the tick of a flow at opening or closing."""
    return f"flow_at_{when}/{flow.value}"


def plug_field(what: str, plug: Plug) -> str:
    """Name a plug's torque, tolerance or washer."""
    return f"{what} {plug.value}"


def method_of(texts: Mapping[str, str]) -> LevelMethod:
    """Give the way the level is set."""
    return LevelMethod(texts.get("level_method") or LevelMethod.OVERFLOW_TUBE)


def kind_of(texts: Mapping[str, str]) -> UnitKind:
    """Give the kind of unit."""
    return UnitKind(texts.get("kind") or UnitKind.AUTOMATIC)


def asked(texts: Mapping[str, str]) -> set[str]:
    """Give the fields a sheet of this kind and level method has, beyond those every sheet has."""
    method, kind = method_of(texts), kind_of(texts)
    names: set[str] = set()
    if method in _RUNNING:
        names |= {"engine"}
    if method in _RUNNING and kind in SELECTOR_KINDS:
        names |= {"selector_cycled"} | ({"selector_dwell_s"} if texts.get("selector_cycled") else set())
    if method is LevelMethod.OVERFLOW_TUBE:
        names |= {flow_field("opening", flow) for flow in OPENING_FLOWS}
        names |= {flow_field("closing", flow) for flow in CLOSING_FLOWS}
    if method is LevelMethod.DIPSTICK:
        names |= {"cold_low", "cold_high"}
    if method is LevelMethod.FILL_HOLE:
        names |= {"edge_offset", "edge_tolerance"}
    if method is LevelMethod.MEASURED_REFILL:
        names |= {"refill", "refill_tolerance"}
    else:
        names |= {"window_low", "window_high"}
    for plug in plugs(texts):
        names |= {plug_field(what, plug) for what in ("torque", "tolerance", "washer")}
    for layer in LAYERS:
        if not texts.get(f"{layer}/none_needed"):
            names |= {f"{layer}/distance", f"{layer}/months"}
    return names


def plugs(texts: Mapping[str, str]) -> tuple[Plug, ...]:
    """Give the plugs a unit of this sheet has."""
    has = {
        Plug.FILL: True,
        Plug.DRAIN: bool(texts.get("has_drain_plug")),
        Plug.LEVEL: method_of(texts) is LevelMethod.OVERFLOW_TUBE,
    }
    return tuple(plug for plug, is_there in has.items() if is_there)


def sometimes() -> set[str]:
    """Give every field that only some sheets have."""
    names = {"engine", "selector_cycled", "selector_dwell_s", "cold_low", "cold_high", "edge_offset"}
    names |= {"edge_tolerance", "refill", "refill_tolerance", "window_low", "window_high"}
    names |= {flow_field("opening", flow) for flow in OPENING_FLOWS}
    names |= {flow_field("closing", flow) for flow in CLOSING_FLOWS}
    names |= {plug_field(what, plug) for what in ("torque", "tolerance", "washer") for plug in Plug}
    names |= {f"{layer}/{what}" for layer in LAYERS for what in ("distance", "months")}
    return names


def usual_texts(kind: UnitKind = UnitKind.AUTOMATIC) -> dict[str, str]:
    """Give the texts a new sheet begins with: what is usual for most units (common practice, no source)."""
    runs = kind in SELECTOR_KINDS
    method = LevelMethod.OVERFLOW_TUBE if runs else LevelMethod.FILL_HOLE
    return {
        "kind": kind.value,
        "level_method": method.value,
        "engine": EngineState.IDLING.value if runs else "",
        "selector_cycled": YES if runs else "",
        "vehicle_level": YES,
        "has_drain_plug": YES,
        flow_field("opening", Flow.STREAM): YES,
        flow_field("closing", Flow.DRIP): YES,
    }


def sheet_texts(view: SheetView, shop: ShopFacts) -> dict[str, str]:
    """Give the texts of a form that shows a revision; reading them again gives what is kept."""
    body, level = view.body, view.body.level
    texts = {
        "designation": view.designation,
        "kind": view.kind.value,
        "specification": view.specification,
        "service_fill": exact_volume(view.service_fill_ul, shop),
        "total": exact_volume(view.total_ul, shop),
        "level_method": level.method.value,
        "level_repeatability": exact_volume(body.level_repeatability_ul, shop),
        "vehicle_level": YES if level.attitude_level else "",
        "stance": level.stance.value if level.stance else "",
        "window_low": exact_temperature(level.window_low_mc, shop),
        "window_high": exact_temperature(level.window_high_mc, shop),
        "cold_low": exact_temperature(level.cold_low_mc, shop),
        "cold_high": exact_temperature(level.cold_high_mc, shop),
        "engine": level.engine.value if level.engine else "",
        "selector_cycled": YES if level.selector_cycled else "",
        "selector_dwell_s": "" if level.selector_dwell_s is None else str(level.selector_dwell_s),
        "edge_offset": exact_length(level.edge_offset_um),
        "edge_tolerance": exact_length(level.edge_tolerance_um),
        "refill": exact_volume(level.refill_ul, shop),
        "refill_tolerance": exact_volume(level.refill_tolerance_ul, shop),
        "has_drain_plug": YES if body.has_drain_plug else "",
        "cautions": "\n".join(body.cautions),
        "source": view.source,
        "checked_by": view.checked_by,
    }
    texts |= {flow_field("opening", f): YES if f in level.flow_at_opening else "" for f in OPENING_FLOWS}
    texts |= {flow_field("closing", f): YES if f in level.flow_at_closing else "" for f in CLOSING_FLOWS}
    return texts | _plug_texts(view, shop) | _interval_texts(view)


def _plug_texts(view: SheetView, shop: ShopFacts) -> dict[str, str]:
    texts: dict[str, str] = {}
    for torque in view.body.torques:
        texts[plug_field("torque", torque.plug)] = exact_torque(torque.torque_mnm, shop)
        texts[plug_field("tolerance", torque.plug)] = exact_torque(torque.tolerance_mnm, shop)
    for washer in view.body.washers:
        texts[plug_field("washer", washer.plug)] = washer.text
    return texts


def _interval_texts(view: SheetView) -> dict[str, str]:
    texts: dict[str, str] = {}
    for layer in LAYERS:
        interval: Interval | None = getattr(view.body, layer)
        if interval is not None:
            texts[f"{layer}/distance"] = exact_distance(interval.distance_tenths, interval.distance_unit)
            texts[f"{layer}/months"] = "" if interval.months is None else str(interval.months)
            texts[f"{layer}/none_needed"] = YES if interval.none_needed else ""
    return texts


def sheet_command(texts: Mapping[str, str], actor: Actor, uid: str) -> SaveSheet:
    """Give the command that keeps a sheet or its next revision. RuleBroken for what is no whole number."""
    wanted = asked(texts)
    sent = {name: text for name, text in texts.items() if name in wanted or name not in sometimes()}

    def get(name: str) -> str:
        return sent.get(name, "")

    return SaveSheet(
        actor=actor,
        uid=uid,
        designation=get("designation"),
        kind=kind_of(texts),
        specification=get("specification"),
        level_method=method_of(texts),
        window_low=get("window_low"),
        window_high=get("window_high"),
        cold_low=get("cold_low"),
        cold_high=get("cold_high"),
        engine=EngineState(get("engine")) if get("engine") else None,
        selector_cycled=bool(get("selector_cycled")),
        selector_dwell_s=_whole(get("selector_dwell_s"), "selector_dwell_s", least=0, most=600),
        vehicle_level=bool(get("vehicle_level")),
        stance=Stance(get("stance")) if get("stance") else None,
        **_flows(texts),  # type: ignore[arg-type]
        service_fill=get("service_fill"),
        total=get("total"),
        refill=get("refill"),
        refill_tolerance=get("refill_tolerance"),
        edge_offset=get("edge_offset"),
        edge_tolerance=get("edge_tolerance"),
        level_repeatability=get("level_repeatability"),
        has_drain_plug=bool(get("has_drain_plug")),
        torques=_torques(sent),
        washers=tuple(
            WasherNeed(plug=plug, text=get(plug_field("washer", plug)))
            for plug in Plug
            if get(plug_field("washer", plug)).strip()
        ),
        **{layer: _interval(sent, layer) for layer in LAYERS},  # type: ignore[arg-type]
        cautions=tuple(line.strip() for line in get("cautions").splitlines() if line.strip()),
        source=get("source"),
        checked_by=get("checked_by"),
    )


def _flows(texts: Mapping[str, str]) -> dict[str, tuple[Flow, ...]]:
    if method_of(texts) is not LevelMethod.OVERFLOW_TUBE:
        return {}
    return {
        "flow_at_opening": tuple(f for f in OPENING_FLOWS if texts.get(flow_field("opening", f))),
        "flow_at_closing": tuple(f for f in CLOSING_FLOWS if texts.get(flow_field("closing", f))),
    }


def _torques(sent: Mapping[str, str]) -> tuple[TorqueTyped, ...]:
    return tuple(
        TorqueTyped(
            plug=plug,
            torque=sent.get(plug_field("torque", plug), ""),
            tolerance=sent.get(plug_field("tolerance", plug), ""),
        )
        for plug in Plug
        if (sent.get(plug_field("torque", plug), "") + sent.get(plug_field("tolerance", plug), "")).strip()
    )


def _interval(sent: Mapping[str, str], layer: str) -> IntervalTyped:
    return IntervalTyped(
        distance=sent.get(f"{layer}/distance", ""),
        months=_whole(sent.get(f"{layer}/months", ""), f"{layer}/months", least=1, most=600),
        none_needed=bool(sent.get(f"{layer}/none_needed")),
    )


def _whole(text: str, field: str, *, least: int, most: int) -> int | None:
    return read_whole(text, field=field, least=least, most=most) if text.strip() else None


def field_of_refusal(path: str, command: SaveSheet) -> str:
    """Give the form's field a refusal is about."""
    found = _TORQUE.fullmatch(path)
    if found is not None and int(found[1]) < len(command.torques):
        what = "tolerance" if found[2] == "tolerance" else "torque"
        return plug_field(what, command.torques[int(found[1])].plug)
    if path == "washers":
        return next((plug_field("washer", each.plug) for each in command.washers), path)
    first = {
        "flow_at_opening": flow_field("opening", Flow.STREAM),
        "flow_at_closing": flow_field("closing", Flow.DRIP),
    }
    return first.get(path, path)


def check_designation(typed: str, known: Collection[str]) -> None:
    """Refuse a new sheet whose designation another sheet has; ``known`` are match keys."""
    if match_key(typed.strip()) in known:
        sentence = _("There is a sheet for {designation} already; open it to write its next revision.")
        raise RuleBroken(sentence.format(designation=typed.strip()), "designation")
