"""Words and signs of hazard for containers, as the Globally Harmonized System (GHS) names them.

The program ships no product's hazards: they are typed from the product's own safety data sheet,
with the sheet's date. Names and codes of the pictograms are the GHS's own (annex 1); the shapes on
the label are drawn by the program.
"""

from enum import StrEnum

from shopdesk.domain.words import N_


class SignalWord(StrEnum):
    """The signal word of the product's label; NONE where the sheet gives none."""

    NONE = ""
    WARNING = N_("Warning")
    DANGER = N_("Danger")


class Pictogram(StrEnum):
    """The nine pictograms by their GHS codes."""

    EXPLODING_BOMB = "GHS01"
    FLAME = "GHS02"
    FLAME_OVER_CIRCLE = "GHS03"
    GAS_CYLINDER = "GHS04"
    CORROSION = "GHS05"
    SKULL = "GHS06"
    EXCLAMATION_MARK = "GHS07"
    HEALTH_HAZARD = "GHS08"
    ENVIRONMENT = "GHS09"


PICTOGRAM_NAMES: dict[Pictogram, str] = {
    Pictogram.EXPLODING_BOMB: N_("Exploding bomb"),
    Pictogram.FLAME: N_("Flame"),
    Pictogram.FLAME_OVER_CIRCLE: N_("Flame over circle"),
    Pictogram.GAS_CYLINDER: N_("Gas cylinder"),
    Pictogram.CORROSION: N_("Corrosion"),
    Pictogram.SKULL: N_("Skull and crossbones"),
    Pictogram.EXCLAMATION_MARK: N_("Exclamation mark"),
    Pictogram.HEALTH_HAZARD: N_("Health hazard"),
    Pictogram.ENVIRONMENT: N_("Environment"),
}

#: What stands on a used-oil vessel, word for word (40 CFR 279.22(c)); never "waste oil".
USED_OIL = "USED OIL"
