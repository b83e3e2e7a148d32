"""Texts that nobody should type and somebody will."""

from random import Random

ODD = (
    "", " ", "0", "-1", "1e9", "9**9**9", "NaN", "\u202ereversed", "a\u0300" * 40, "\0", "\ud800",
    "<b>x</b>", "'; DROP TABLE vehicle; --", "\u0661\u0662\u0663", "1,234", "12,5 qt", "x" * 5000,
    "\t\n", "\u540d\u524d", "=1+1", "%s%n", "{}", "5.1 qt", "36 lbf*ft", "84310 mi", "25 Nov 2026",
    "16:30", "name@example.com", "303 555 0188",
)  # fmt: skip


def odd_text(dice: Random) -> str:
    """Give one of them, or a piece of several."""
    if dice.random() < 0.6:
        return dice.choice(ODD)
    return "".join(dice.choice(ODD)[: dice.randrange(1, 12)] for _part in range(dice.randrange(1, 4)))
