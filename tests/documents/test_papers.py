"""Every paper, read back."""

import subprocess
import sys
from collections.abc import Callable
from dataclasses import fields, is_dataclass, replace
from enum import Enum
from hashlib import sha256
from pathlib import Path

import pytest

from shopdesk.documents.estimate import EstimatePaper, render_estimate
from shopdesk.documents.facts import PriceLine, SumLine
from shopdesk.documents.fonts import Fonts
from shopdesk.documents.invoice import render_invoice
from shopdesk.documents.job_sheet import render_job_sheet
from shopdesk.documents.service_record import render_service_record
from shopdesk.documents.sticker import render_sticker
from shopdesk.documents.stock import A4, LETTER, TWO_BY_TWO_INCH, PaperSize
from tests.documents import examples
from tests.documents.reading import Letter, letters, line_of, sizes, solid, symbols, texts, words

DEFERRAL = (
    "These reminders do not replace the vehicle maker's service information, the product's safety data "
    "sheet, or the rules where you work. If they differ, follow those."
)
SIGNED = replace(examples.ESTIMATE, authorisations=(examples.CONSENT,))
TAXED = replace(examples.ESTIMATE, taxes=(SumLine(label="Sales tax 8.25 %", amount="5.09"),), total="223.99")
SHEETS: list[tuple[Callable[..., bytes], object]] = [
    (render_estimate, examples.ESTIMATE),
    (render_estimate, SIGNED),
    (render_estimate, TAXED),
    (render_job_sheet, examples.JOB_SHEET),
    (render_invoice, examples.INVOICE),
    (render_service_record, examples.RECORD),
    (render_service_record, examples.UNPROVEN),
]
every_sheet = pytest.mark.parametrize(
    ("render", "paper"), SHEETS, ids=[f"{type(paper).__name__}{at}" for at, (_, paper) in enumerate(SHEETS)]
)
both_sizes = pytest.mark.parametrize("size", [LETTER, A4], ids=lambda size: size.name)


def numbered(value: object, tokens: list[str]) -> object:
    """A paper's data with a token of its own in every text; empty ones, QR text and signs stay."""
    if isinstance(value, Enum) or value == "":
        return value
    if isinstance(value, str):
        tokens.append(f"q{len(tokens):03}z")
        return tokens[-1]
    if isinstance(value, tuple):
        return tuple(numbered(part, tokens) for part in value)
    if is_dataclass(value) and not isinstance(value, type):
        names = [field.name for field in fields(value) if field.name not in ("qr_text", "sign")]
        return replace(value, **{name: numbered(getattr(value, name), tokens) for name in names})
    return value


@every_sheet
@both_sizes
def test_that_every_field_of_the_data_stands_on_the_paper(
    render: Callable[..., bytes], paper: object, size: PaperSize, fonts: Fonts
) -> None:
    tokens: list[str] = []
    marked = numbered(paper, tokens)
    shown = words(render(marked, size=size, fonts=fonts))
    # A signed estimate shows the sum agreed to, and asks for none.
    unsaid = (
        {marked.authorise_up_to} if isinstance(marked, EstimatePaper) and marked.authorisations else set()
    )
    assert {token for token in tokens if token not in shown} == unsaid
    assert len(tokens) > 30


@every_sheet
@both_sizes
def test_that_every_page_has_its_exact_size_its_number_and_the_closing_sentence(
    render: Callable[..., bytes], paper: object, size: PaperSize, fonts: Fonts
) -> None:
    pdf = render(paper, size=size, fonts=fonts)
    pages = texts(pdf)
    for number, page in enumerate(pages, start=1):
        shown = " ".join(page.split())
        assert f"Page {number} of {len(pages)}" in shown
        assert solid(DEFERRAL) in solid(shown.replace(f"Page {number} of {len(pages)}", ""))
    for box in sizes(pdf):
        assert box == pytest.approx((0, 0, size.width, size.height), abs=0.28)  # 0.1 mm


@every_sheet
@both_sizes
def test_that_no_letter_stands_outside_the_margins(
    render: Callable[..., bytes], paper: object, size: PaperSize, fonts: Fonts
) -> None:
    pdf = render(paper, size=size, fonts=fonts)
    for page in range(len(texts(pdf))):
        for letter in letters(pdf, page):
            assert letter.left >= 50
            assert letter.right <= size.width - 50
            assert letter.bottom >= 30
            assert letter.top <= size.height - 30


@every_sheet
def test_that_a_copy_says_so_on_every_page_and_changes_nothing_else(
    render: Callable[..., bytes], paper: object, fonts: Fonts
) -> None:
    original = texts(render(paper, size=LETTER, fonts=fonts))
    copy = texts(render(paper, size=LETTER, fonts=fonts, copy_note="printed 5 Mar 2027 10:14"))
    mark = solid("COPY · printed 5 Mar 2027 10:14")
    assert all(mark in solid(page) for page in copy)
    assert [solid(page).replace(mark, "") for page in copy] == [solid(page) for page in original]


_DIGEST = """
from enum import Enum
from hashlib import sha256
from pathlib import Path
from shopdesk.documents.fonts import Fonts
from shopdesk.documents.stock import LETTER, TWO_BY_TWO_INCH
from tests.documents.test_papers import SHEETS, examples, render_sticker
fonts = Fonts(Path("resources/fonts"))
total = sha256()
for render, paper in SHEETS:
    total.update(render(paper, size=LETTER, fonts=fonts))
total.update(render_sticker(examples.STICKER, label=TWO_BY_TWO_INCH, fonts=fonts))
print(total.hexdigest())
"""


def test_that_the_same_data_gives_the_same_bytes_in_any_process(fonts: Fonts) -> None:
    total = sha256()
    for render, paper in SHEETS:
        total.update(render(paper, size=LETTER, fonts=fonts))
    total.update(render_sticker(examples.STICKER, label=TWO_BY_TWO_INCH, fonts=fonts))
    root = Path(__file__).parents[2]
    for seed in ("1", "2"):
        other = subprocess.run(
            [sys.executable, "-c", _DIGEST],
            cwd=root,
            env={"PYTHONHASHSEED": seed, "TZ": "Asia/Tokyo", "LC_ALL": "C.UTF-8", "PATH": ""},
            capture_output=True,
            text=True,
            check=True,
        )
        assert other.stdout.strip() == total.hexdigest()


def test_that_amounts_and_sums_of_an_invoice_stand_on_one_decimal_column(fonts: Fonts) -> None:
    pdf = render_invoice(examples.INVOICE, size=LETTER, fonts=fonts)
    for amount in ("154.00", "58.00", "61.70", "218.90", "5.09", "3.14", "−50.00"):
        right_edges = [run[-1].right for run in _runs(pdf, amount) if run[-1].right > LETTER.width * 0.85]
        assert right_edges, amount
        assert right_edges == pytest.approx([LETTER.width - 51.0] * len(right_edges), abs=1.0)


def _runs(pdf: bytes, text: str) -> list[list[Letter]]:
    found = letters(pdf)
    shown = "".join(letter.text for letter in found)
    starts = [at for at in range(len(shown)) if shown.startswith(text, at)]
    return [found[at : at + len(text)] for at in starts]


def test_that_the_symbol_on_an_invoice_reads_as_its_plain_text(fonts: Fonts) -> None:
    pdf = render_invoice(examples.INVOICE, size=LETTER, fonts=fonts)
    assert symbols(pdf) == [examples.INVOICE.qr_text]


def test_that_the_symbol_on_a_service_record_reads_as_its_plain_text(fonts: Fonts) -> None:
    pdf = render_service_record(examples.RECORD, size=A4, fonts=fonts)
    assert symbols(pdf, len(texts(pdf)) - 1) == [examples.RECORD.qr_text]


def test_that_a_symbol_keeps_letters_beyond_ascii(fonts: Fonts) -> None:
    paper = replace(examples.INVOICE, qr_text="FACTURE 7\nTOTAL 1 024,50 €\nŁódź")
    assert symbols(render_invoice(paper, size=LETTER, fonts=fonts)) == [paper.qr_text]


def test_that_an_estimate_without_consent_ends_in_lines_to_sign(fonts: Fonts) -> None:
    shown = words(render_estimate(examples.ESTIMATE, size=LETTER, fonts=fonts))
    assert "At most 218.90 before tax without asking me again." in shown
    assert "Name Signature Date and time" in shown
    assert "Consent on record" not in shown


def test_that_an_estimate_with_consent_shows_it_and_asks_for_no_signature(fonts: Fonts) -> None:
    shown = words(render_estimate(SIGNED, size=LETTER, fonts=fonts))
    assert "Consent on record" in shown
    assert "Signature" not in shown


def test_that_an_estimate_without_tax_lines_says_that_tax_comes_on_the_invoice(fonts: Fonts) -> None:
    sentence = "Sales tax is added on the invoice."
    assert sentence in words(render_estimate(examples.ESTIMATE, size=LETTER, fonts=fonts))
    assert sentence not in words(render_estimate(TAXED, size=LETTER, fonts=fonts))


def test_that_a_2000_character_line_prints_in_full_over_pages(fonts: Fonts) -> None:
    numbered = " ".join(f"word{at:04}" for at in range(400))[:2000]
    line = replace(examples.LINES[0], text=numbered, detail=(numbered.upper(),))
    paper = replace(examples.INVOICE, lines=(line, *examples.LINES))
    pdf = render_invoice(paper, size=LETTER, fonts=fonts)
    shown = words(pdf)
    assert len(texts(pdf)) >= 2
    for word in (*numbered.split(), *numbered.upper().split()):
        assert word in shown


@pytest.mark.parametrize("count", [25, 60])
def test_that_many_lines_all_print_with_their_heading_on_each_page(count: int, fonts: Fonts) -> None:
    lines = tuple(
        PriceLine(kind="Part", text=f"Item no. {at:03}", amount=f"{at}.00", quantity="1", unit="pc")
        for at in range(1, count + 1)
    )
    pdf = render_invoice(replace(examples.INVOICE, lines=lines), size=LETTER, fonts=fonts)
    pages = texts(pdf)
    for line in lines:
        assert sum(line.text in page for page in pages) == 1
    assert all("Work and goods" in page for page in pages if "Item no." in page)


def test_that_twenty_five_consents_on_one_invoice_all_print(fonts: Fonts) -> None:
    given = tuple(replace(examples.CONSENT, words=f"Consent number {at}.") for at in range(1, 26))
    shown = words(render_invoice(replace(examples.INVOICE, authorisations=given), size=LETTER, fonts=fonts))
    assert all(consent.words in shown for consent in given)


def test_that_the_sums_of_an_invoice_stay_together_on_one_page(fonts: Fonts) -> None:
    for count in range(10, 26):
        lines = examples.LINES[:1] * count
        pages = texts(render_invoice(replace(examples.INVOICE, lines=lines), size=LETTER, fonts=fonts))
        with_total = [page for page in pages if "Balance due" in page]
        assert len(with_total) == 1
        assert "Parts and fluids" in with_total[0]
        assert "Total" in with_total[0]


def test_that_a_record_names_each_state_in_words(fonts: Fonts) -> None:
    shown = words(render_service_record(examples.UNPROVEN, size=LETTER, fonts=fonts))
    assert "not met Closed within 95–113 °F 115 °F" in shown
    assert "not recorded Flow at closing a drip" in shown
    assert "met Vehicle level" in shown


def test_that_the_terms_of_the_balance_stand_with_their_signs(fonts: Fonts) -> None:
    shown = words(render_service_record(examples.RECORD, size=LETTER, fonts=fonts))
    for term in (
        "+ Put in 4.00 qt",
        "− Spilled 0.05 qt",
        "− Drained 3.20 qt",
        "= At the level temperature 0.22 qt",
    ):
        assert term in shown


def test_that_a_record_without_personal_data_has_no_place_for_it(fonts: Fonts) -> None:
    shown = words(render_service_record(examples.UNPROVEN, size=LETTER, fonts=fonts))
    for text in ("Owner", "Plate", "VIN", "Odometer", examples.CUSTOMER.name):
        assert text not in shown


def test_that_the_job_sheet_prints_its_number_large(fonts: Fonts) -> None:
    pdf = render_job_sheet(examples.JOB_SHEET, size=LETTER, fonts=fonts)
    first = line_of(pdf, "2117")[0]
    assert first.top - first.bottom >= 22


def test_that_a_caution_stands_beside_its_step(fonts: Fonts) -> None:
    pdf = render_job_sheet(examples.JOB_SHEET, size=LETTER, fonts=fonts)
    step, caution = line_of(pdf, "Loosen the fill plug.")[0], line_of(pdf, "Loosen the FILL plug")[0]
    assert caution.bottom == pytest.approx(step.bottom, abs=2)
    assert caution.left > step.right


def test_that_every_caution_of_a_long_step_prints_on_the_next_page_too(fonts: Fonts) -> None:
    steps = tuple(
        replace(
            examples.JOB_SHEET.steps[0], text=f"Step {at}", cautions=tuple(f"Care {at}-{n}" for n in range(5))
        )
        for at in range(12)
    )
    shown = words(render_job_sheet(replace(examples.JOB_SHEET, steps=steps), size=LETTER, fonts=fonts))
    assert all(f"Care {at}-{n}" in shown for at in range(12) for n in range(5))


def test_that_the_sticker_is_a_document_of_one_page_of_its_label(fonts: Fonts) -> None:
    pdf = render_sticker(examples.STICKER, label=TWO_BY_TWO_INCH, fonts=fonts)
    assert sizes(pdf) == [pytest.approx((0, 0, 144, 144), abs=0.28)]
