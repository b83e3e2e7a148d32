"""A job's result as data (see resources/schemas/job-result.json) and in words."""

from typing import Any

from shopdesk.domain.intervals import NextDue
from shopdesk.domain.level import Balance
from shopdesk.domain.proof import Proof
from shopdesk.domain.renewal import FreshShare
from shopdesk.services.figures import Figures
from shopdesk.services.job import JobView
from shopdesk.services.record_paper import balance_words


def as_data(
    view: JobView, figures: Figures, *, uid: str, already_kept: bool, papers: list[str]
) -> dict[str, Any]:
    """Give the result as JSON data; volumes in µL, money in minor units."""
    done = view.done
    return {
        "format": "shopdesk-job-result/1",
        "id": uid,
        "already_kept": already_kept,
        "work_order": done.work_order_number,
        "balance": _balance(view.outcome.balance, figures),
        "proof": _proof(view.outcome.proof),
        "fresh_share": _fresh(view.outcome.fresh),
        "due": _due(view.due, figures) if view.due else None,
        "invoice": {
            "number": done.invoice.number,
            "currency": done.invoice.currency,
            "lines": [
                {
                    "text": line.text,
                    "quantity_milli": line.quantity_milli,
                    "net_minor": line.net_minor,
                    "tax_minor": line.tax_minor,
                }
                for line in view.lines
            ],
            "net_minor": done.invoice.net_minor,
            "tax_minor": done.invoice.tax_minor,
            "total_minor": done.invoice.total_minor,
            "paid_minor": done.paid_minor,
        },
        "stock": [
            {
                "item": left.item,
                "base": left.base,
                "drawn": left.drawn,
                "left": left.left,
                "short": left.short,
                "cost_minor": left.cost_minor,
            }
            for left in done.stock
        ],
        "papers": papers,
        "notes": list(done.notes),
    }


def _balance(balance: Balance, figures: Figures) -> dict[str, Any]:
    return {
        "delta_ul": balance.delta_ul,
        "two_u_ul": balance.two_u_ul,
        "arrived": balance.arrived.value,
        "sentence": balance_words(figures, balance),
        "missing": [term.value for term in balance.missing],
        "dominant": str(balance.dominant),
        "assumptions": list(balance.assumptions),
    }


def _proof(proof: Proof) -> dict[str, Any]:
    return {
        "verdict": proof.verdict.value,
        "sentence": proof.sentence,
        "conditions": [
            {
                "key": str(each.key),
                "text": each.text,
                "state": each.state.value,
                "measured": each.measured,
                "low": each.low,
                "high": each.high,
            }
            for each in proof.conditions
        ],
    }


def _fresh(fresh: FreshShare) -> dict[str, Any]:
    bounds = {"share": fresh.share, "low": fresh.low, "high": fresh.high}
    texts = {name: None if value is None else f"{value:.4f}" for name, value in bounds.items()}
    return {**texts, "assumption": fresh.assumption, "reason": fresh.reason}


def _due(due: NextDue, figures: Figures) -> dict[str, Any]:
    days = {"by_time": due.on_by_time, "by_distance": due.on_by_distance, "due_on": due.due_on}
    shown = None
    if due.odometer_tenths is not None and due.odometer_unit is not None:
        shown = figures.distance(due.odometer_tenths, due.odometer_unit)
    return {
        "odometer": shown,
        "odometer_tenths": due.odometer_tenths,
        "odometer_unit": due.odometer_unit,
        **{name: day.isoformat() if day else None for name, day in days.items()},
        "decided_by": due.decided_by.value,
        "layer": due.layer.value if due.layer else None,
        "severe": due.severe,
        "assumed_rate": due.assumed_rate,
        "reason": due.reason,
    }
