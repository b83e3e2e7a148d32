"""Texts of containers: how each stands, what can be done with it, and the commands that do it."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from gettext import gettext as _

from shopdesk.domain.counting import Stands
from shopdesk.domain.hazards import PICTOGRAM_NAMES, Pictogram, SignalWord
from shopdesk.services.acting import Actor
from shopdesk.services.cards import Card, SaveCard
from shopdesk.services.containers import GONE, ContainerView, EventKind, MeasureContainer, PourOver
from shopdesk.services.figures import Figures
from shopdesk.services.ledger import QUARANTINE
from shopdesk.ui.presenters.shelf import short_label

HERE, EMPTY, ASIDE, NOT_HERE = "here", "empty", "aside", "gone"
_SOON_DAYS = 30


def base_of_box(box: ContainerView, pieces: frozenset[int]) -> str:
    """Give the base unit of what a container holds; ``pieces`` are the items kept in pieces."""
    return "milli_each" if box.item_id in pieces else "ul"


def box_name(box: ContainerView) -> str:
    """Name a container with its item."""
    return f"{box.item} · {box_label(box)}"


def box_label(box: ContainerView) -> str:
    """Name a container beside its item."""
    return short_label(box.label, box.item)


def chosen_boxes(boxes: Iterable[ContainerView], choice: str, contains: str) -> tuple[ContainerView, ...]:
    """Give the containers of a choice whose item, label or lot has the words typed."""
    wanted = contains.casefold().split()
    return tuple(
        box
        for box in boxes
        if _is_of(box, choice)
        and all(word in f"{box.item} {box.label} {box.lot}".casefold() for word in wanted)
    )


def _is_of(box: ContainerView, choice: str) -> bool:
    if choice == ASIDE:
        return box.state == QUARANTINE
    return choice == NOT_HERE or (box.held == 0) == (choice == EMPTY)


def box_state(box: ContainerView, today: date) -> tuple[str, str]:
    """Say how a container stands: the key of its mark, and a word."""
    if box.state == GONE:
        return "plain", _("Gone")
    if box.state == QUARANTINE:
        return "late", _("Put aside")
    if box.held < 0:
        return "soon", _("Count it")
    if box.held == 0:
        return "plain", _("Empty")
    if box.good_until is not None and box.good_until < today:
        return "late", _("Past its date")
    if box.good_until is not None and (box.good_until - today).days <= _SOON_DAYS:
        return "soon", _("Use soon")
    return ("fine", _("Open")) if box.opened_on else ("plain", _("Closed"))


def box_facts(box: ContainerView, base: str, figures: Figures) -> tuple[tuple[str, str], ...]:
    """Give what is known of a container."""

    def day(on: date | None) -> str:
        return figures.day(on) if on else ""

    return (
        (_("Should hold"), figures.stock(base, box.held)),
        (_("Can hold"), figures.stock(base, box.capacity)),
        (_("Lot"), box.lot or "—"),
        (_("Received"), day(box.received_on)),
        (_("Opened"), day(box.opened_on) or _("not yet")),
        (_("Good until"), day(box.good_until)),
        (_("Supplier"), box.supplier),
        (_("Delivery note"), box.document_no),
        (_("Dip stick"), _shape_words(box, figures)),
    )


def _shape_words(box: ContainerView, figures: Figures) -> str:
    if box.shape is None:
        return ""
    sentence = _("{stands}, {height} high, {brim} brimful")
    return sentence.format(
        stands=_(box.shape.stands),
        height=figures.length(box.shape.height_um),
        brim=figures.volume(box.shape.brim_ul),
    )


def steps_of(box: ContainerView) -> tuple[EventKind, ...]:
    """Give what can befall a container as it stands."""
    if box.state == GONE:
        return ()
    if box.state == QUARANTINE:
        return (EventKind.RELEASED,)
    opened = () if box.opened_on else (EventKind.OPENED,)
    gone = (EventKind.GONE,) if box.held == 0 else ()
    return (*opened, EventKind.QUARANTINED, *gone)


def step_words(kind: EventKind) -> str:
    """Say a step on a button."""
    return {
        EventKind.OPENED: _("Open it"),
        EventKind.QUARANTINED: _("Put aside"),
        EventKind.RELEASED: _("Release"),
        EventKind.GONE: _("It is gone"),
    }.get(kind, "")


def done_words(kind: EventKind, box: ContainerView) -> str:
    """Say what was done with a container."""
    sentence = {
        EventKind.OPENED: _("{name} is open."),
        EventKind.QUARANTINED: _("{name} is put aside: nothing is poured from it."),
        EventKind.RELEASED: _("{name} may be used again."),
        EventKind.GONE: _("{name} is gone."),
    }[kind]
    return sentence.format(name=box_name(box))


def stands_choices() -> tuple[tuple[str, str], ...]:
    """Give how a drum may stand."""
    return tuple((each.value, _(each).capitalize()) for each in Stands)


def measure_command(box: ContainerView, texts: Mapping[str, str], actor: Actor, uid: str) -> MeasureContainer:
    """Give the command that keeps a container's shape and empty weight."""
    shaped = any(texts[name].strip() for name in ("height", "brim"))
    return MeasureContainer(
        actor=actor,
        uid=uid,
        container_id=box.id,
        version=box.card_version,
        stands=Stands(texts["stands"]) if shaped else None,
        height=texts["height"],
        brim=texts["brim"],
        dip_now=texts["dip_now"],
        content_now=texts["content_now"],
        tare=texts["tare"],
    )


def targets(box: ContainerView, boxes: Sequence[ContainerView]) -> tuple[tuple[str, str], ...]:
    """Give the containers that a container may be poured into."""
    return tuple(
        (str(each.id), " · ".join(part for part in (box_label(each), each.lot) if part))
        for each in boxes
        if each.item_id == box.item_id and each.id != box.id and each.state not in (QUARANTINE, GONE)
    )


def pour_command(box: ContainerView, texts: Mapping[str, str], actor: Actor, uid: str) -> PourOver:
    """Give the command that pours from one container into another."""
    return PourOver(
        actor=actor,
        uid=uid,
        from_id=box.id,
        into_id=int(texts["into_id"] or 0),
        quantity=texts["quantity"],
        reason=texts["reason"],
    )


def signal_choices() -> tuple[tuple[str, str], ...]:
    """Give the signal words."""
    return tuple((word.value, _(word) if word else _("None")) for word in SignalWord)


def pictogram_words() -> tuple[tuple[Pictogram, str], ...]:
    """Give the nine pictograms with their names."""
    return tuple((sign, f"{_(name)} ({sign})") for sign, name in PICTOGRAM_NAMES.items())


def hazard_texts(card: Card) -> dict[str, str]:
    """Give what stands on a card's hazards as a form shows it."""
    return {
        "signal_word": card.signal_word.value,
        "hazard_text": card.hazard_text,
        "emergency_phone": card.emergency_phone,
        "opened_days": str(card.opened_days or ""),
        **{sign.value: "yes" if sign in card.pictograms else "" for sign in Pictogram},
    }


def hazard_command(
    card: Card, texts: Mapping[str, str], figures: Figures, actor: Actor, uid: str, sds_on: date | None
) -> SaveCard:
    """Give the command that keeps a card's hazards; everything else on the card stays."""
    return SaveCard(
        actor=actor,
        uid=uid,
        item_id=card.item_id,
        version=card.version,
        part_kind=card.part_kind,
        inner=_size(card.inner_um),
        outer=_size(card.outer_um),
        thickness=_size(card.thickness_um),
        material=card.material,
        signal_word=SignalWord(texts["signal_word"]),
        hazard_text=texts["hazard_text"],
        pictograms=tuple(sign for sign in Pictogram if texts[sign.value]),
        emergency_phone=texts["emergency_phone"],
        sds_on=sds_on,
        opened_days=texts["opened_days"],
        lead_days=str(card.lead_days or ""),
        supplier_id=card.supplier_id,
        supplier_code=card.supplier_code,
        core=figures.money(card.core_minor, sign=False) if card.core_minor else "",
        billing_rule=card.billing_rule,
    )


def _size(um: int | None) -> str:
    return f"{um / 1000:g} mm" if um is not None else ""


def hazard_facts(card: Card, figures: Figures) -> tuple[tuple[str, str], ...]:
    """Say what is known of a product's hazards, and from which sheet."""
    sheet = " · ".join(
        part for part in (card.sds_name, figures.day(card.sds_on) if card.sds_on else "") if part
    )
    return (
        (_("Signal word"), _(card.signal_word) if card.signal_word else _("none")),
        (_("Pictograms"), ", ".join(_(PICTOGRAM_NAMES[sign]) for sign in card.pictograms) or _("none")),
        (_("Safety data sheet"), sheet or _("none kept yet")),
        (_("Good after opening"), _("{days} days").format(days=card.opened_days) if card.opened_days else ""),
        (_("Hazards"), card.hazard_text),
    )
