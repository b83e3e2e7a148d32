"""What each rule of a second opinion asks of a record, in a sentence."""

from gettext import gettext as _

from shopdesk.domain.verify import Rule


def asks(rule: Rule) -> str:
    """Give what a rule asks."""
    return {**_level(), **_volumes(), **_work(), **_told()}[rule]


def _level() -> dict[Rule, str]:
    return {
        Rule.ATTITUDE: _("The vehicle stood level while the level was set, where the sheet asks for it."),
        Rule.STANCE: _("The vehicle stood on its wheels or raised, as the sheet asks."),
        Rule.ENGINE: _("The engine idled or was off, as the sheet asks."),
        Rule.SELECTOR: _("The selector went through all positions, in each as long as the sheet asks."),
        Rule.WINDOW_OPEN: _("At opening the fluid is inside the sheet's window, bounds included."),
        Rule.WINDOW_CLOSE: _("At closing the fluid is inside the sheet's window, bounds included."),
        Rule.WINDOW_READING: _("The level was read with the fluid inside the sheet's window."),
        Rule.FLOW_OPEN: _("At opening there ran what the sheet asks for; nothing means too low."),
        Rule.FLOW_CLOSE: _("At closing there ran what the sheet asks for."),
        Rule.EDGE: _("The fluid stood at the sheet's distance from the edge, within its tolerance."),
        Rule.MARKS: _("The level stood between the marks for the temperature it was read at."),
        Rule.DRAINED: _("The drained fluid was measured, as this way of setting the level needs it."),
        Rule.QUANTITY: _("The quantity the sheet names was put in."),
        Rule.CLOSED_BEFORE_OPENED: _("The level plug was closed after it was opened."),
        Rule.COOLED_WHILE_OPEN: _("With the engine idling, fluid does not get colder while it is open."),
        Rule.WARMED_TOO_FAST: _("Between opening and closing it warmed by no more than a unit can."),
        Rule.DEGREES_TAKEN_FOR_OTHERS: _("No temperature would fit the window in the other scale only."),
        Rule.RAN_OUT_WITHOUT_FLOW: _("Where fluid ran out, a flow was seen, and the other way about."),
        Rule.AS_FOUND: _("How the unit came in is the same by the volumes and by the check before draining."),
    }  # fmt: skip


def _volumes() -> dict[Rule, str]:
    return {
        Rule.VOLUME_MISSING: _("All that went in and came out was measured; a spill is never a silent zero."),
        Rule.CONTAINER: _("The container lost what was put in, within what both can be read to."),
        Rule.OVER_TOTAL: _("No more was drained or put in than the unit holds."),
        Rule.SPILLED_OVER_PUT_IN: _("No more was spilled than was put in."),
        Rule.RAN_OUT_OVER_PUT_IN: _("No more ran out at the level check than was put in."),
        Rule.VOLUME_TAKEN_FOR_OTHER: _("Put in and drained do not differ as liters, quarts and gallons do."),
        Rule.FAR_FROM_DRAINED: _("What went in and what came out are as near as in a unit that drove in."),
        Rule.METHOD: _("The volumes are those of what is said to have been done."),
        Rule.ROUNDS: _("Rounds are counted without a gap."),
        Rule.SHELF: _("What left the shelf for this job is what was put in."),
    }  # fmt: skip


def _work() -> dict[Rule, str]:
    return {
        Rule.ORDER: _("Steps that must come before others did, by the times they were done."),
        Rule.TORQUE_MISSING: _("Each plug that was opened has its torque, where the sheet gives one."),
        Rule.TORQUE: _("Each torque lies in the sheet's range, or its reason is given."),
        Rule.TORQUE_TAKEN_FOR_OTHER: _("No torque differs from the sheet's by 1.356, as ft-lb and N·m do."),
        Rule.PLUG: _("No plug was closed that the unit does not have."),
        Rule.CALIBRATION: _("Each tool was in calibration on the day of the work."),
        Rule.WASHER_MISSING: _("Each plug that takes a washer says which it got."),
        Rule.WASHERS_FROM_SHELF: _("As many new washers left the shelf as were fitted."),
        Rule.PRODUCT_MISSING: _("The fluid that was put in is named."),
        Rule.SPECIFICATION: _("The fluid claims the specification that the unit's sheet asks for."),
        Rule.STOP: _("Where the old fluid called for a stop, the work stopped, or went on in writing."),
    }


def _told() -> dict[Rule, str]:
    return {
        Rule.FUTURE: _("No time lies in the future."),
        Rule.AFTER_INVOICE: _("No work is recorded after the invoice."),
        Rule.OTHER_DAY: _("Times lie on the day of the work."),
        Rule.CORRECTION: _("Whoever corrected an entry said why."),
        Rule.STATED: _("The figures told on paper or in the file are those that follow from the facts."),
    }
