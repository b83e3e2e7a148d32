"""What to do with the level plug, in words: large ones, and how much time is left."""

import re
from dataclasses import dataclass
from datetime import datetime
from fractions import Fraction
from gettext import gettext as _

from shopdesk.domain.warmup import Basis, Crossing, Forecast
from shopdesk.domain.window_advice import Advice, Left, Say
from shopdesk.services.figures import Figures, shown_unit
from shopdesk.services.warmup import WarmUp, to_ms

#: What must be done at once; the others can wait. Worth a sound.
AT_ONCE = frozenset({Say.OPEN_NOW, Say.CLOSE_NOW, Say.TOO_HOT})

_MINUTE_MS = 60_000
_TAP = re.compile(r"\+ ?([1-9][0-9]?)")
_EXACT_BELOW_MS = 10 * _MINUTE_MS


@dataclass(frozen=True, kw_only=True, slots=True)
class AdviceWords:
    """The advice as it stands on the screen. ``left`` counts down; ``reach`` is its range in words."""

    say: Say
    word: str
    sentence: str
    left: str = ""
    reach: str = ""
    rests_on: str = ""
    stale: bool = False

    @property
    def spoken(self) -> str:
        """All of it in one line."""
        return " ".join(part for part in (f"{self.word}.", self.left, self.reach, self.sentence) if part)


def advice_words(warm: WarmUp, advice: Advice | None, now: datetime, figures: Figures) -> AdviceWords:
    """Give the words of an advice; without a window there is nothing to wait for."""
    if advice is None:
        sentence = _("The sheet gives no window: the level is set at any temperature.")
        return AdviceWords(say=Say.READ, word=_("No window"), sentence=sentence)
    word = _(advice.say.value)
    left, reach = _left_words(warm.forecast, advice, now)
    return AdviceWords(
        say=advice.say,
        word=word[:1].upper() + word[1:],
        sentence=advice.sentence,
        left=left,
        reach=reach or _none_words(warm.forecast, advice),
        rests_on=_rests_on(warm, advice, figures),
        stale=advice.stale,
    )


def _left_words(found: Forecast | None, advice: Advice, now: datetime) -> tuple[str, str]:
    """How long until the window opens, or until it ends, and the range of that."""
    left = advice.left
    if found is None or left is None or left.likely_ms is None:
        return "", ""
    waiting = advice.say is Say.WAIT or (found.opens is not None and not _is_past(found.opens, now))
    if waiting:
        first = _("Open in {time}").format(time=countdown(left.likely_ms))
        then = _to_close(found)
        return (_("{first}, then {time} to close").format(first=first, time=then) if then else first), _reach(
            left
        )
    return _("{time} left in the window").format(time=countdown(left.likely_ms)), _reach(left)


def _is_past(opens: Crossing, now: datetime) -> bool:
    return opens.reached or (opens.at_ms is not None and opens.at_ms <= to_ms(now))


def _to_close(found: Forecast) -> str:
    opens, closes = found.opens, found.closes
    if opens is None or closes is None or opens.at_ms is None or closes.at_ms is None:
        return ""
    return short_time(closes.at_ms - opens.at_ms)


def _reach(left: Left) -> str:
    if left.least_ms is None:
        return ""
    if left.most_ms is None:
        return _("at least {time}").format(time=short_time(left.least_ms))
    return _("between {least} and {most}").format(
        least=short_time(left.least_ms), most=short_time(left.most_ms)
    )


def _none_words(found: Forecast | None, advice: Advice) -> str:
    """Why there is no time to tell, where one would be expected."""
    expected = advice.say in (Say.WAIT, Say.OPEN_NOW, Say.LET_RUN)
    if not expected or found is None or (advice.left is not None and advice.left.likely_ms is not None):
        return ""
    return found.sentence


def _rests_on(warm: WarmUp, advice: Advice, figures: Figures) -> str:
    last = warm.last
    if last is None or advice.mc is None:
        return ""
    read = _("Last reading {temperature} at {time}").format(
        temperature=figures.temperature(last.mc), time=figures.clock(last.at)
    )
    if advice.stale:
        return _("{reading}: old, read again.").format(reading=read)
    if advice.measured:
        return f"{read}."
    return _("{reading}; about {temperature} by now.").format(
        reading=read, temperature=about_temperature(advice.mc, figures)
    )


def about_temperature(mc: int, figures: Figures) -> str:
    """Give an expected temperature in whole degrees: it was not read."""
    from shopdesk.domain import units

    unit = figures.shop.temperature_unit
    return f"{figures.number(units.from_mc(mc, unit), 0)} {shown_unit(unit)}"


def countdown(ms: int) -> str:
    """Give a time as minutes and seconds, "3:05 min"; from ten minutes on as whole minutes."""
    if ms >= _EXACT_BELOW_MS:
        return short_time(ms)
    minutes, seconds = divmod(ms // 1000, 60)
    return _("{minutes}:{seconds:02d} min").format(minutes=minutes, seconds=seconds)


def short_time(ms: int) -> str:
    """Give a time in whole minutes, or in seconds below one."""
    if ms < _MINUTE_MS:
        return _("{n} s").format(n=max(0, round(ms / 1000)))
    return _("{n} min").format(n=(ms + _MINUTE_MS // 2) // _MINUTE_MS)


def headline(warm: WarmUp, now: datetime, figures: Figures) -> str:
    """Say in one line what the band shows."""
    if warm.window is None:
        return _("No window on the sheet.")
    window = _("Window {bounds}.").format(bounds=figures.window(warm.window.low_mc, warm.window.high_mc))
    words = advice_words(warm, warm.advice(now), now, figures)
    parts = [window, words.rests_on, f"{words.left}." if words.left else words.reach]
    return " ".join(part for part in parts if part)


def worth_words(warm: WarmUp, figures: Figures) -> str:
    """Say what one degree of the shop's is worth on this unit, in mL; nothing where it is not known."""
    if warm.per_degree_ul is None:
        return ""
    unit = figures.shop.temperature_unit
    per_degree = Fraction(warm.per_degree_ul, 1000) * (Fraction(5, 9) if unit == "degf" else 1)
    return _("1 {unit} is worth about {volume} mL on this unit").format(
        unit=shown_unit(unit), volume=figures.number(per_degree, 1)
    )


def rate_words(warm: WarmUp, figures: Figures) -> str:
    """Say how fast it warms and what that was taken from."""
    found = warm.forecast
    if found is None or found.basis is Basis.NONE or found.mc_per_minute is None:
        return ""
    unit = figures.shop.temperature_unit
    rate = Fraction(found.mc_per_minute, 1000) * (Fraction(9, 5) if unit == "degf" else 1)
    return _("{rate} {unit} a minute, {basis}").format(
        rate=figures.number(rate, 1), unit=shown_unit(unit), basis=_(found.basis.value)
    )


def taps(figures: Figures) -> tuple[int, ...]:
    """Give the degrees that one tap is worth, in the shop's unit."""
    return (-1, 1, 2, 5) if figures.shop.temperature_unit == "degf" else (-1, 1, 2, 3)


def tap_of(text: str) -> int | None:
    """Read "+2" as two degrees above the last reading; None for anything else."""
    found = _TAP.fullmatch(text.strip())
    return None if found is None else int(found.group(1))
