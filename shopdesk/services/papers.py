"""Papers: filled from the facts, rendered, and the issued ones kept with their hash.

An invoice's content is frozen in its row; its bytes follow from it and are kept once made, so a
missing one can always be made again. Estimates are kept as issued too. Job sheets, service records
and stickers are made from the facts whenever they are asked for.
"""

import json
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime
from gettext import gettext as _
from hashlib import sha256

from sqlalchemy import insert, select

from shopdesk.documents.estimate import render_estimate
from shopdesk.documents.fonts import Fonts
from shopdesk.documents.invoice import InvoicePaper, render_invoice
from shopdesk.documents.job_sheet import render_job_sheet
from shopdesk.documents.service_record import render_service_record
from shopdesk.documents.sticker import render_sticker, render_sticker_sheet
from shopdesk.documents.stock import LABEL_SIZES, PAPER_SIZES, LabelSize, PaperSize
from shopdesk.domain.errors import NotFound
from shopdesk.persistence.tables.billing import invoice, paper, stored_file
from shopdesk.persistence.tables.work import estimate
from shopdesk.services.acting import Command, Office, Reading, Writing
from shopdesk.services.estimate_paper import estimate_paper
from shopdesk.services.job_sheet_paper import job_sheet_paper
from shopdesk.services.plain import from_plain
from shopdesk.services.record_paper import service_record_paper
from shopdesk.services.shopfacts import ShopFacts
from shopdesk.services.signing import Keys
from shopdesk.services.sticker_paper import sticker_paper


@dataclass(frozen=True, kw_only=True, slots=True)
class PaperBytes:
    """A paper as a PDF. ``unprintable`` are characters that no bundled font has; they print as a mark."""

    kind: str
    name: str
    media: str
    content: bytes
    unprintable: tuple[str, ...] = ()

    @property
    def sha(self) -> str:
        """SHA-256 of the bytes, in hexadecimal."""
        return sha256(self.content).hexdigest()


@dataclass(frozen=True, kw_only=True, slots=True)
class KeepPaper(Command):
    """Keeps an issued paper's bytes with their hash."""

    kind: str
    subject_id: int


@dataclass(frozen=True, kw_only=True, slots=True)
class PaperKept:
    """A kept paper."""

    name: str
    sha: str


@dataclass(frozen=True, kw_only=True, slots=True)
class KeptPaperRow:
    """One kept paper of a work order, an invoice, or a record."""

    kind: str
    subject_id: int
    name: str
    sha: str
    at_utc: datetime


def _paper_size(shop: ShopFacts) -> PaperSize:
    return PAPER_SIZES[shop.paper_size]


def _label_size(shop: ShopFacts) -> LabelSize:
    return LABEL_SIZES[shop.label_size]


class Papers:
    """The room where papers are made."""

    def __init__(self, office: Office, fonts: Callable[[], Fonts], keys: Keys) -> None:
        self._office = office
        self._keys = keys
        self._fonts = fonts  # read on first use: not every run makes a paper

    def invoice(self, invoice_id: int) -> PaperBytes:
        """Give an issued invoice: the kept bytes, or the same made from its frozen content."""
        with self._office.reading() as reading:
            kept = self._kept(reading, "invoice", invoice_id)
            row = reading.one(invoice, invoice_id, _("That invoice is not there."))
            shop = reading.shop
        name = _("invoice-{number}.pdf").format(number=row.number)
        if kept is not None:
            return PaperBytes(kind="invoice", name=name, media="application/pdf", content=kept)
        content = from_plain(InvoicePaper, json.loads(row.snapshot))
        made = render_invoice(content, size=_paper_size(shop), fonts=self._fonts())
        return self._paper("invoice", name, made, row.snapshot)

    def estimate(self, work_order_id: int) -> PaperBytes:
        """Give the newest estimate of a work order with the consents recorded so far."""
        with self._office.reading() as reading:
            newest = reading.connection.execute(
                select(estimate.c.id)
                .where(estimate.c.work_order_id == work_order_id)
                .order_by(estimate.c.revision.desc())
                .limit(1)
            ).scalar()
            if newest is None:
                raise NotFound(_("There is no estimate yet."), "estimate")
            content = estimate_paper(reading, int(newest))
            shop = reading.shop
        name = _("estimate-{number}-{revision}.pdf").format(number=content.number, revision=content.revision)
        made = render_estimate(content, size=_paper_size(shop), fonts=self._fonts())
        return self._paper("estimate", name, made, _all_text(content))

    def job_sheet(self, record_id: int) -> PaperBytes:
        """Give the bay's sheet for one service record."""
        with self._office.reading() as reading:
            content = job_sheet_paper(reading, record_id)
            shop = reading.shop
        made = render_job_sheet(content, size=_paper_size(shop), fonts=self._fonts())
        return self._paper(
            "job sheet", _("job-sheet-{number}.pdf").format(number=content.number), made, _all_text(content)
        )

    def service_record(self, record_id: int, *, personal: bool = True) -> PaperBytes:
        """Give the service record; without ``personal`` it names no person, plate or VIN."""
        self._keys.public()  # made now in a shop that has none yet
        with self._office.reading() as reading:
            content = service_record_paper(reading, record_id, personal=personal)
            shop = reading.shop
        made = render_service_record(content, size=_paper_size(shop), fonts=self._fonts())
        name = _("service-record-{number}.pdf") if personal else _("service-record-{number}-no-names.pdf")
        return self._paper("service record", name.format(number=content.number), made, _all_text(content))

    def sticker(self, record_id: int, *, on_sheet: bool = False) -> PaperBytes:
        """Give the next-due sticker on the shop's label, or on a sheet of paper to cut out."""
        with self._office.reading() as reading:
            number, content = sticker_paper(reading, record_id)
            shop = reading.shop
        label, fonts = _label_size(shop), self._fonts()
        if on_sheet:
            made = render_sticker_sheet((content,), size=_paper_size(shop), label=label, fonts=fonts)
        else:
            made = render_sticker(content, label=label, fonts=fonts)
        name = _("sticker-{number}-sheet.pdf") if on_sheet else _("sticker-{number}.pdf")
        return self._paper("sticker", name.format(number=number), made, _all_text(content))

    def _paper(self, kind: str, name: str, made: bytes, text: str) -> PaperBytes:
        return PaperBytes(
            kind=kind,
            name=name,
            media="application/pdf",
            content=made,
            unprintable=self._fonts().missing_glyphs(text),
        )

    @staticmethod
    def _kept(reading: Reading, kind: str, subject_id: int) -> bytes | None:
        return reading.connection.execute(
            select(stored_file.c.bytes)
            .join(paper, paper.c.sha == stored_file.c.sha)
            .where(paper.c.kind == kind, paper.c.subject == kind, paper.c.subject_id == subject_id)
            .order_by(paper.c.id.desc())
            .limit(1)
        ).scalar()

    def keep(self, command: KeepPaper) -> PaperKept:
        """Keep the bytes of an issued invoice (or of a work order's newest estimate) with their hash."""
        making = {"invoice": self.invoice, "estimate": self.estimate}
        made = making[command.kind](command.subject_id)

        def work(writing: Writing) -> PaperKept:
            keep_bytes(writing, command.kind, command.subject_id, made)
            return PaperKept(name=made.name, sha=made.sha)

        return self._office.carry_out(command, work, PaperKept)

    def kept(self, kind: str, subject_id: int) -> Sequence[KeptPaperRow]:
        """Give the kept papers of one subject, oldest first."""
        with self._office.reading() as reading:
            rows = reading.connection.execute(
                select(paper.c.kind, paper.c.subject_id, paper.c.name, paper.c.sha, paper.c.at_utc)
                .where(paper.c.subject == kind, paper.c.subject_id == subject_id)
                .order_by(paper.c.id)
            )
            return tuple(KeptPaperRow(**row._mapping) for row in rows)


def keep_bytes(writing: Writing, kind: str, subject_id: int, made: PaperBytes) -> None:
    """Keep a paper's bytes once, under their hash."""
    known = writing.connection.execute(
        select(stored_file.c.sha).where(stored_file.c.sha == made.sha)
    ).scalar()
    if known is None:
        writing.connection.execute(
            insert(stored_file).values(sha=made.sha, media=made.media, bytes=made.content)
        )
    listed = writing.connection.execute(
        select(paper.c.id).where(
            paper.c.kind == kind,
            paper.c.subject == kind,
            paper.c.subject_id == subject_id,
            paper.c.sha == made.sha,
        )
    ).scalar()
    if listed is None:
        writing.add_fact(paper, kind=kind, subject=kind, subject_id=subject_id, name=made.name, sha=made.sha)


def _all_text(content: object) -> str:
    return str(content)
