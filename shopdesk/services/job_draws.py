"""What finished work takes off the shelf: fluids from the containers they were poured from, parts as billed.

Work that went back into the bay is finished again: only what differs from before moves.
"""

from dataclasses import replace
from gettext import gettext as _

from shopdesk.domain.errors import RuleBroken
from shopdesk.services.acting import Writing
from shopdesk.services.kits import parts_billed
from shopdesk.services.pouring import said_by_item, sources_by_item
from shopdesk.services.stock import Draw, Drawn, draw, drawn_before, drawn_without_record, undraw


def draw_fluids(
    writing: Writing, item_id: int, put_in: int, work_order_id: int, record_id: int
) -> list[Drawn]:
    """What was put in leaves the containers that were named; other products in it leave as they were said."""
    sources = sources_by_item(writing, record_id)
    others = {other: ul for other, ul in said_by_item(writing, record_id).items() if other != item_id}
    if sum(others.values()) > put_in:
        raise RuleBroken(_("The containers of other products gave more than was put in."), "sources")
    wanted = {item_id: put_in - sum(others.values()), **others}
    drawn: list[Drawn] = []
    for each, quantity in wanted.items():
        drawn += _draw_rest(
            writing,
            Draw(
                item_id=each,
                quantity=quantity,
                work_order_id=work_order_id,
                record_id=record_id,
                sources=sources.get(each, ()),
            ),
        )
    return drawn


def _draw_rest(writing: Writing, wanted: Draw) -> list[Drawn]:
    """Work that went back into the bay is finished again: only what differs from before moves.

    What was corrected to less goes back into the containers it came from.
    """
    rest = wanted.quantity - drawn_before(writing, wanted)
    if rest < 0:
        return [undraw(writing, replace(wanted, quantity=-rest, sources=()))]
    return [draw(writing, replace(wanted, quantity=rest))] if rest else []


def draw_parts(writing: Writing, work_order_id: int) -> list[Drawn]:
    """Parts leave the shelf as billed, kits as their parts; what is no longer billed goes back."""
    billed = parts_billed(writing, work_order_id)
    before = drawn_without_record(writing, work_order_id)
    drawn: list[Drawn] = []
    for item_id in sorted({*billed, *before}):
        wanted = Draw(item_id=item_id, quantity=billed.get(item_id, 0), work_order_id=work_order_id)
        drawn += _draw_rest(writing, wanted)
    return drawn
