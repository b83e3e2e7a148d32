"""Texts of counting: what is to count, which readings a method needs, and what a reading shows."""

from collections.abc import Iterable, Mapping, Sequence
from gettext import gettext as _
from gettext import ngettext

from shopdesk.domain.counting import CountMethod
from shopdesk.services.acting import Actor, new_uid
from shopdesk.services.count_sheets import CountSheetView, SheetRow, ToCount
from shopdesk.services.counting import Count, Counted, CountReading
from shopdesk.services.figures import Figures
from shopdesk.services.items import ItemKind
from shopdesk.services.shelf_reports import ShrinkageRow
from shopdesk.ui.presenters.shelf import short_label, signed_money, signed_stock

ALL, FLUIDS, PARTS, LEFT = "all", "fluids", "parts", "left"

FIELDS: Mapping[CountMethod, tuple[str, ...]] = {
    CountMethod.WHOLE: ("whole", "rest", "rest_within"),
    CountMethod.DIP: ("dip", "within", "temperature"),
    CountMethod.WEIGHT: ("gross", "tare", "within", "temperature"),
    CountMethod.SIGHT_GLASS: ("reading", "within", "temperature"),
    CountMethod.COUNTER: ("reading", "within", "temperature"),
}
"""The readings that each method takes, in the order in which they are read."""

READINGS = tuple(dict.fromkeys(name for names in FIELDS.values() for name in names))


def fields_of(line: ToCount, method: CountMethod) -> tuple[str, ...]:
    """Give the readings a line takes; pieces are counted and no more."""
    return FIELDS[method] if line.kind is ItemKind.FLUID else ("whole",)


def methods_of(line: ToCount) -> tuple[CountMethod, ...]:
    """Give the ways in which a line can be counted, the likeliest first."""
    if line.kind is not ItemKind.FLUID:
        return (CountMethod.WHOLE,)
    likeliest = CountMethod.DIP if line.can_dip else CountMethod.WHOLE
    return (likeliest, *(method for method in CountMethod if method is not likeliest))


def method_words(method: CountMethod) -> str:
    """Name a way of counting on a button."""
    return _(method).capitalize()


def reasons() -> tuple[tuple[str, str], ...]:
    """Give the usual reasons of a difference: a key and its words."""
    words = (
        _("Used and not written down"),
        _("Spilled or leaked"),
        _("Delivered short or over"),
        _("Counted wrongly the last time"),
        _("Taken for the shop itself"),
        _("Not known"),
    )
    return (("", _("No reason needed")), *((each, each) for each in words))


def container_number(line: ToCount) -> str:
    """Name a line's container beside its item: a name of its own, or its number alone."""
    return short_label(line.container, line.item)


def line_name(line: ToCount) -> str:
    """Name one line of a sheet."""
    return " · ".join(part for part in (line.item, container_number(line)) if part)


def in_order(lines: Iterable[ToCount], flagged: frozenset[int]) -> tuple[ToCount, ...]:
    """Put first what jobs used more of than the shelf held."""
    return tuple(sorted(lines, key=lambda line: line.item_id not in flagged))


def chosen_lines(lines: Sequence[ToCount], choice: str) -> tuple[ToCount, ...]:
    """Give the lines of a choice: all, fluids, parts, or those not counted yet."""
    return tuple(line for line in lines if _is_chosen(line, choice))


def _is_chosen(line: ToCount, choice: str) -> bool:
    if choice == LEFT:
        return not line.counted
    return choice == ALL or (line.kind is ItemKind.FLUID) == (choice == FLUIDS)


def line_state(line: ToCount, flagged: frozenset[int], figures: Figures) -> tuple[str, str]:
    """Say how a line stands: the key of its mark, and words."""
    if line.counted:
        if line.difference:
            return "plain", signed_stock(figures, line.base, line.difference)
        return "fine", _("As it should be")
    return ("soon", _("Count it")) if line.item_id in flagged else ("plain", "")


def sheet_note(view: CountSheetView) -> str:
    """Say how far a sheet is."""
    done = sum(line.counted for line in view.lines)
    sentence = _("Sheet {number}: {done} of {all} counted")
    words = sentence.format(number=view.number, done=done, all=len(view.lines))
    return " · ".join(part for part in (words, _("closed") if view.closed else "", view.note) if part)


def sheet_line(row: SheetRow, figures: Figures) -> str:
    """Say what a sheet in the list is."""
    counts = ngettext("{n} count", "{n} counts", row.counts).format(n=row.counts)
    parts = (figures.day_of(row.opened_utc), counts, row.note)
    return " · ".join(part for part in parts if part)


def count_command(
    line: ToCount, sheet_id: int, texts: Mapping[str, str], actor: Actor, uid: str = ""
) -> Count:
    """Give the command of a count from what stands in the form."""
    method = CountMethod(texts["method"])
    wanted = fields_of(line, method)
    readings = {name: texts.get(name, "") for name in READINGS if name in wanted}
    reason = ": ".join(part for part in (texts.get("why", ""), texts.get("reason", "").strip()) if part)
    return Count(
        actor=actor,
        uid=uid or new_uid(),
        item_id=line.item_id,
        container_id=line.container_id,
        sheet_id=sheet_id,
        method=method,
        reason=reason,
        whole=readings.get("whole", ""),
        rest=readings.get("rest", ""),
        rest_within=readings.get("rest_within", ""),
        dip=readings.get("dip", ""),
        gross=readings.get("gross", ""),
        tare=readings.get("tare", ""),
        reading=readings.get("reading", ""),
        within=readings.get("within", ""),
        temperature=readings.get("temperature", ""),
    )


def reading_facts(line: ToCount, read: CountReading, figures: Figures) -> tuple[tuple[str, str], ...]:
    """Say what a reading shows beside what the ledger says."""
    width = read.content.half_width + read.allowance
    counted = figures.stock(line.base, read.content.quantity)
    if width:
        counted = _("{counted} ± {width}").format(counted=counted, width=figures.stock(line.base, width))
    return (
        (_("Reads as"), counted),
        (_("Ledger says"), figures.stock(line.base, read.expected)),
        (_("Difference"), signed_stock(figures, line.base, read.difference)),
    )


def verdict(read: CountReading) -> tuple[str, str]:
    """Say what a difference means: the key of a mark, and a sentence."""
    if read.needs_reason:
        return "soon", _("More than the reading can show: choose the reason, or read again.")
    if read.difference:
        return "fine", _("Within what the reading can show.")
    return "fine", _("As it should be.")


def kept_sentence(line: ToCount, kept: Counted, figures: Figures) -> str:
    """Say what a count booked."""
    if not kept.difference:
        return _("{name}: as it should be.").format(name=line_name(line))
    sentence = _("{name}: {difference} booked, {money}; {held} on hand now.")
    return sentence.format(
        name=line_name(line),
        difference=signed_stock(figures, line.base, kept.difference),
        money=signed_money(figures, kept.cost_minor) or figures.money(0),
        held=figures.stock(line.base, kept.on_hand),
    )


def missing_words(row: ShrinkageRow, figures: Figures) -> str:
    """Say how much of a product went missing, or was too much."""
    return signed_stock(figures, row.base, -row.shrinkage.lost)


def missing_state(row: ShrinkageRow) -> tuple[str, str]:
    """Say whether what went missing is more than counting and the shop's share explain."""
    if row.shrinkage.alarming:
        return "late", _("More than it may be")
    return "fine", _("Within its limit")
