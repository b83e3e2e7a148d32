"""Somebody else changed the same thing: what they kept stands beside what was typed, nothing is lost."""

from collections.abc import Mapping
from gettext import gettext as _

from shopdesk.ui.widgets.fields import ChoiceField
from shopdesk.ui.widgets.form import Form


def show_both(form: Form, before: Mapping[str, str], now: Mapping[str, str]) -> None:
    """Say beside each field what somebody else put there since ``before``, and what saving will do."""
    typed = form.texts()
    for name, kept in now.items():
        if name in typed and kept != before.get(name, "") and kept != typed[name]:
            words = _words(form, name, kept) or _("nothing")
            form.set_error(name, _("Somebody else put meanwhile: {value}").format(value=words))
    form.set_error(
        "", _("Somebody else changed this meanwhile. Take over what you want, then save again: yours stays.")
    )


def meet_kept(form: Form, now: Mapping[str, str]) -> None:
    """A draft was put back: what it did not change follows what is kept ``now``.

    Where somebody else changed meanwhile what the draft changes too, both are shown.
    """
    if not form.is_from_draft:
        return
    begun, typed = dict(form.base), form.texts()
    form.follow({n: kept for n, kept in now.items() if n in typed and typed[n] == begun.get(n, "")})
    typed = form.texts()
    if any(n in typed and kept not in (begun.get(n, ""), typed[n]) for n, kept in now.items()):
        show_both(form, begun, now)
    form.begin_from(now)


def _words(form: Form, name: str, kept: str) -> str:
    field = form.field(name)
    if isinstance(field, ChoiceField):
        return field.words_of(kept)
    return " / ".join(kept.splitlines())
