"""A job file's service as evidence, without a shop: the same sheet, entries and product, nothing kept."""

from collections.abc import Mapping
from dataclasses import replace
from datetime import date, datetime
from typing import Any, cast
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from shopdesk.domain import units
from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.expansion import LEAST_DENSITY, MOST_DENSITY
from shopdesk.domain.methods import ServiceMethod
from shopdesk.domain.numerals import NumberStyle
from shopdesk.domain.record import Entry, Setting
from shopdesk.domain.text import match_key
from shopdesk.domain.verify import Evidence
from shopdesk.services.acting import Actor, Reading
from shopdesk.services.bay import read_entry
from shopdesk.services.job_entries import service_entries
from shopdesk.services.plain import fields_from_plain
from shopdesk.services.sheets import SaveSheet, read_body
from shopdesk.services.shopfacts import neutral_shop
from shopdesk.services.typed import Typed, under

_NOBODY = Actor(person_id=0, station_id=0)


def evidence_from_job(document: Mapping[str, Any], now: datetime) -> Evidence:
    """Read what a job file, already checked against its schema, says about its service.

    Raises RuleBroken with a JSON path for what cannot be read. What was billed and consented is not
    looked at. A fluid that the file does not describe is taken to suit its unit.
    """
    typed = _typed(document)
    service, sheet = document["service"], document["sheet"]
    with under("/sheet"):
        command = SaveSheet(actor=_NOBODY, style=NumberStyle.STRICT, **fields_from_plain(SaveSheet, sheet))
        body = read_body(typed, command)
        service_fill, total = (_volume(typed, sheet, name) for name in ("service_fill", "total"))
    with under("/unit"):
        own_total = _volume(typed, document.get("unit", {}), "total")
    product = _product(document)
    return Evidence(
        entries=_entries(typed, service),
        setting=Setting(
            sheet=body,
            kind=command.kind,
            method=ServiceMethod(service["method"]),
            total_ul=own_total or total,
            service_fill_ul=service_fill,
            density_kg_m3=_density(product),
        ),
        done_on=date.fromisoformat(service["done_on"]) if "done_on" in service else _today(document, now),
        now=now,
        specification=command.specification,
        claims=_claims(service, product, command.specification),
    )


def _typed(document: Mapping[str, Any]) -> Typed:
    """Files give every quantity its unit; only what a quart is may differ."""
    imperial = bool(document.get("shop", {}).get("imperial", False))
    return Typed(shop=replace(neutral_shop(), imperial=imperial), style=NumberStyle.STRICT)


def _today(document: Mapping[str, Any], now: datetime) -> date:
    try:
        zone = ZoneInfo(document.get("shop", {}).get("zone", "UTC"))
    except (ZoneInfoNotFoundError, ValueError) as trouble:
        raise RuleBroken(str(trouble), "/shop/zone") from trouble
    return now.astimezone(zone).date()


def _volume(typed: Typed, section: Mapping[str, Any], name: str) -> int | None:
    text = section.get(name, "")
    return typed.volume(text, name).value if text.strip() else None


def _entries(typed: Typed, service: Mapping[str, Any]) -> tuple[Entry, ...]:
    """The entries as ``enter`` would keep them; a file names no tool, so no shop is asked for one."""
    no_shop = cast(Reading, None)
    entries = []
    for at, placed in enumerate(service_entries(service), start=1):
        try:
            values = read_entry(no_shop, placed.entry, typed)
        except RuleBroken as refusal:
            refusal.field = placed.place_of(refusal.field)
            raise
        del values["typed"], values["instrument_id"]
        entries.append(Entry(id=at, **values))  # type: ignore[arg-type]
    return tuple(entries)


def _product(document: Mapping[str, Any]) -> tuple[int, Mapping[str, Any]] | None:
    """The file's own description of the fluid, with its place."""
    fluid = match_key(document["service"].get("fluid", ""))
    items = enumerate(document.get("items", ()))
    return next(((at, each) for at, each in items if match_key(each["name"]) == fluid), None)


def _density(product: tuple[int, Mapping[str, Any]] | None) -> int | None:
    if product is None or not product[1].get("density", "").strip():
        return None
    with under(f"/items/{product[0]}"):
        text = product[1]["density"]
        return units.read_density(text, field="density", least=LEAST_DENSITY, most=MOST_DENSITY).value


def _claims(
    service: Mapping[str, Any], product: tuple[int, Mapping[str, Any]] | None, specification: str
) -> tuple[str, ...] | None:
    if not service.get("fluid", "").strip():
        return None
    if product is None:
        return (specification,)
    return tuple(claim["specification"] for claim in product[1].get("claims", ()))
