"""Safekeeping: proving that the records are whole and that everything derived follows from them."""

from collections.abc import Callable
from dataclasses import dataclass

from shopdesk.services.acting import Office
from shopdesk.services.check_evidence import (
    check_chain,
    check_estimates,
    check_file,
    check_guards,
    check_keys,
    check_papers,
)
from shopdesk.services.check_figures import (
    check_due,
    check_index,
    check_invoices,
    check_numbers,
    check_payments,
    check_stock,
)
from shopdesk.services.check_shelf import check_counts, check_deliveries
from shopdesk.services.checking import Finding, Report

__all__ = ["CheckResult", "Finding", "Safekeeping"]

_CHECKS: tuple[Callable[[Office, Report], None], ...] = (
    check_file,
    check_guards,
    check_chain,
    check_estimates,
    check_papers,
    check_keys,
    check_invoices,
    check_payments,
    check_stock,
    check_deliveries,
    check_counts,
    check_numbers,
    check_due,
    check_index,
)


@dataclass(frozen=True, kw_only=True, slots=True)
class CheckResult:
    """What is not as it must be, and how many of what was looked at.

    ``links`` of the audit chain and the ``rows`` they vouch for, issued ``invoices``, kept ``files``,
    stock ``layers``, ``units`` with their next due, ``documents`` of the index.
    """

    findings: tuple[Finding, ...]
    links: int
    rows: int
    invoices: int
    files: int
    layers: int
    units: int
    documents: int


class Safekeeping:
    """The room where the shop's records are looked after."""

    def __init__(self, office: Office) -> None:
        self._office = office

    def check(self) -> CheckResult:
        """Work out again everything that follows from the facts, and say what differs; changes nothing."""
        report = Report()
        for check in _CHECKS:
            check(self._office, report)
        seen = report.looked_at
        return CheckResult(
            findings=report.findings,
            links=seen["links"],
            rows=seen["rows"],
            invoices=seen["invoices"],
            files=seen["files"],
            layers=seen["layers"],
            units=seen["units"],
            documents=seen["documents"],
        )
