"""Estimates and consents in words, and the consent form as a command."""

from collections.abc import Mapping
from gettext import gettext as _

from shopdesk.services.acting import Actor
from shopdesk.services.board import ConsentRow, EstimateRow, WorkOrderView
from shopdesk.services.figures import Figures
from shopdesk.services.work import ConsentHow, RecordConsent
from shopdesk.ui.presenters.work_orders import estimate_is_current, newest_estimate

Choices = list[tuple[str, str]]


def how_choices() -> Choices:
    """Give the ways in which a customer agrees."""
    return [(how.value, _(how.value).capitalize()) for how in ConsentHow]


def estimate_words(row: EstimateRow, figures: Figures) -> str:
    """Give an estimate in one line."""
    words = _("Revision {n}: {amount} before tax, {when}").format(
        n=row.revision, amount=figures.money(row.net_minor), when=figures.stamp(row.at_utc)
    )
    if row.valid_until is not None:
        words = _("{words}, valid until {day}").format(words=words, day=figures.day(row.valid_until))
    return words


def estimate_state(view: WorkOrderView, figures: Figures) -> tuple[str, str]:
    """Give the mark and the words for how the lines stand against the newest estimate."""
    newest = newest_estimate(view)
    if newest is None:
        return "unknown", _("No estimate yet")
    if estimate_is_current(view):
        return "fine", _("Estimate revision {n} holds").format(n=newest.revision)
    difference = figures.money(view.net_minor - newest.net_minor)
    return "soon", _("The lines differ from revision {n} by {amount}").format(
        n=newest.revision, amount=difference
    )


def agreed_state(view: WorkOrderView, figures: Figures) -> tuple[str, str]:
    """Give the mark and the words for how the lines stand against what was agreed."""
    if view.agreed_minor is None:
        return "unknown", _("Not agreed yet")
    agreed = figures.money(view.agreed_minor)
    if view.net_minor > view.agreed_minor:
        over = figures.money(view.net_minor - view.agreed_minor)
        return "late", _("Agreed up to {agreed}; the lines are {over} above").format(agreed=agreed, over=over)
    return "fine", _("Agreed up to {agreed} before tax").format(agreed=agreed)


def consent_words(row: ConsentRow, figures: Figures) -> tuple[str, str]:
    """Give a consent: who, how and up to what; and what was said, to whom and when."""
    who = f"{row.person} ({row.relation})" if row.relation else row.person
    how = f"{_(row.how)} {row.reached_at}".strip()
    first = _("{who}, {how}, up to {amount} before tax").format(
        who=who, how=how, amount=figures.money(row.up_to_minor)
    )
    second = _("“{said}”, {when}, taken by {person}").format(
        said=row.said, when=figures.stamp(row.given_at), person=row.taken_by
    )
    return first, second


def first_texts(view: WorkOrderView) -> dict[str, str]:
    """Give the empty consent form; the payer is the usual one to ask."""
    return {
        "person": view.customer,
        "relation": _("owner"),
        "how": ConsentHow.PHONE.value,
        "reached_at": "",
        "up_to": "",
        "said": "",
    }


def consent_command(actor: Actor, uid: str, view: WorkOrderView, texts: Mapping[str, str]) -> RecordConsent:
    """Give the command that keeps a consent."""
    return RecordConsent(
        actor=actor,
        uid=uid,
        work_order_id=view.id,
        person=texts["person"],
        relation=texts["relation"],
        how=ConsentHow(texts["how"]),
        reached_at=texts["reached_at"],
        said=texts["said"],
        up_to=texts["up_to"],
    )
