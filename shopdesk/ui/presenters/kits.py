"""Texts of kits: their parts as a form, and the command that keeps them."""

from collections.abc import Mapping, Sequence

from shopdesk.domain.errors import RuleBroken
from shopdesk.services.acting import Actor
from shopdesk.services.figures import Figures
from shopdesk.services.items import ItemView
from shopdesk.services.kits import KitPartRow, KitPartTyped, SaveKit
from shopdesk.ui.presenters.shelf import find_item

MOST = 8
"""How many parts a kit's form has room for."""


def item_field(place: int) -> str:
    """Name the field of a part, the first being 0."""
    return f"item{place}"


def quantity_field(place: int) -> str:
    """Name the field that says how many of a part one kit holds."""
    return f"quantity{place}"


def kit_texts(parts: Sequence[KitPartRow], figures: Figures) -> dict[str, str]:
    """Give a kit's parts as its form shows them."""
    texts = {item_field(place): "" for place in range(MOST)}
    texts |= {quantity_field(place): "" for place in range(MOST)}
    for place, part in enumerate(parts[:MOST]):
        fluid = part.base == "ul"
        texts[item_field(place)] = part.name
        texts[quantity_field(place)] = (
            figures.volume(part.quantity) if fluid else figures.pieces(part.quantity)
        )
    return texts


def kit_command(
    kit_id: int, texts: Mapping[str, str], items: Sequence[ItemView], actor: Actor, uid: str
) -> SaveKit:
    """Give the command that keeps a kit's parts; refuses a part that is not on the list, beside its field."""
    parts = []
    for place in _typed_places(texts):
        try:
            goods = find_item(items, texts[item_field(place)])
        except RuleBroken as refusal:
            raise RuleBroken(refusal.sentence, item_field(place)) from refusal
        parts.append(KitPartTyped(item_id=goods.id, quantity=texts[quantity_field(place)]))
    return SaveKit(actor=actor, uid=uid, item_id=kit_id, parts=tuple(parts))


def field_of(path: str, texts: Mapping[str, str]) -> str:
    """Give the form's field that a refusal of the command is about."""
    steps = path.split("/")
    places = _typed_places(texts)
    if len(steps) < 3 or not steps[1].isdecimal() or int(steps[1]) >= len(places):
        return item_field(0)
    place = places[int(steps[1])]
    return quantity_field(place) if steps[2] == "quantity" else item_field(place)


def _typed_places(texts: Mapping[str, str]) -> list[int]:
    return [place for place in range(MOST) if texts[item_field(place)].strip()]
