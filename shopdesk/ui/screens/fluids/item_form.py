"""An item as a form: what it is, what it costs, when to order, and which specifications it suits."""

from collections.abc import Callable, Mapping, Sequence
from gettext import gettext as _

from PySide6.QtCore import Signal

from shopdesk.services.items import ItemKind
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.presenters.items import (
    LEAST_CLAIMS,
    MOST_CLAIMS,
    amount_reader,
    basis_choices,
    claim_field,
    claims_in,
    class_choices,
    density_reader,
    kind_choices,
    price_reader,
    sale_unit_choices,
    usual_package,
)
from shopdesk.ui.theme.look import Look
from shopdesk.ui.widgets.fields import ChoiceField, NumberField, TextField
from shopdesk.ui.widgets.form import Form
from shopdesk.ui.widgets.plain_label import PlainLabel
from shopdesk.ui.widgets.search_field import SearchField

_CLAIM_PARTS = ("specification", "basis", "licence_no")


class ItemForm(Form):
    """Claims are rows at the end: as many as are filled, and one more on demand; ``kind_shown`` tells that
    the fields are those of another kind now."""

    kind_shown = Signal()

    def __init__(self, look: Look, work: AtWork) -> None:
        super().__init__(look, columns=3, least_width=180)
        self._form_look = look
        self._work = work
        self._rows = 0
        self._specifications: tuple[str, ...] = ()
        self._name_fields()
        self._price_fields()
        self._mark_fields()
        self._claims_heading: PlainLabel = self.heading(_("Specifications it is said to suit"))
        self.more_claims(LEAST_CLAIMS)
        self._kind.edited.connect(self._kind_picked)
        self._unit.edited.connect(self._price.show_again)
        self._kind_changed()

    @property
    def kind(self) -> ItemKind:
        """The kind chosen."""
        return ItemKind(self._kind.text() or ItemKind.FLUID)

    def offer(self, specifications: Sequence[str]) -> None:
        """Offer the specifications that are known already."""
        self._specifications = tuple(specifications)
        for at in range(self._rows):
            self._offer_at(at)

    def hold_kind(self, held: bool) -> None:
        """Keep the kind as it is: what is kept in litres cannot become pieces."""
        self._kind.control.setEnabled(not held)
        self._kind.set_help(_("Stays as it is") if held else "")

    def more_claims(self, rows: int) -> None:
        """Show at least so many rows of claims."""
        while self._rows < min(rows, MOST_CLAIMS):
            self._add_claim(self._rows)
            self._rows += 1
        self._show_for_kind()

    def add_claim(self) -> None:
        """Show one row more and put the keyboard there."""
        self.more_claims(self._rows + 1)
        self.field(claim_field(self._rows - 1, "specification")).setFocus()

    def fill(self, texts: Mapping[str, str]) -> None:
        """Put in what is known; rows of claims are made as needed."""
        self.more_claims(claims_in(texts))
        if texts.get("kind"):
            self._unit.set_choices(sale_unit_choices(ItemKind(texts["kind"])))
        super().fill(texts)
        self._kind_changed()

    def _name_fields(self) -> None:
        look = self._form_look
        help_line = _("As it stands on the shelf and on papers")
        self.add(TextField(look, "name", _("Name"), help_line=help_line), 2)
        self._kind = self.add(ChoiceField(look, "kind", _("Kind"), kind_choices()))
        self.add(TextField(look, "maker", _("Maker")))
        self.add(TextField(look, "part_number", _("Part number")))
        self._package = self.add(NumberField(look, "package", _("One package"), self._amount("package")))

    def _price_fields(self) -> None:
        look, figures = self._form_look, self._work.figures
        self._price = self.add(
            NumberField(look, "price", _("Price"), price_reader(figures, lambda: self._unit.text()))
        )
        self._unit = self.add(ChoiceField(look, "sale_unit", _("Sold by"), sale_unit_choices(ItemKind.FLUID)))
        self.add(ChoiceField(look, "tax_class", _("Taxed as"), class_choices()))

    def _mark_fields(self) -> None:
        look = self._form_look
        self._order_at = self.add(
            NumberField(
                look,
                "order_at",
                _("Order at"),
                self._amount("order_at"),
                help_line=_("Drawn as the mark on the glass"),
            )
        )
        self._fill_to = self.add(
            NumberField(
                look, "fill_to", _("Fill up to"), self._amount("fill_to"), help_line=_("A full glass")
            )
        )
        self._density = self.add(
            NumberField(
                look,
                "density",
                _("Density"),
                density_reader,
                help_line=_("At 15 °C, from the data sheet, such as 850 kg/m3"),
                more_help=_(
                    "The fluid grows when it is warm. With its density, what came out hot and what went in "
                    "cold are compared at one temperature."
                ),
            )
        )

    def _amount(self, field: str) -> Callable[[str], str]:
        return amount_reader(self._work.figures, lambda: self.kind, field)

    def _add_claim(self, at: int) -> None:
        look = self._form_look
        number = at + 1
        self.add(SearchField(look, claim_field(at, "specification"), _("Specification {n}").format(n=number)))
        self.add(
            ChoiceField(look, claim_field(at, "basis"), _("Basis {n}").format(n=number), basis_choices())
        )
        self.add(TextField(look, claim_field(at, "licence_no"), _("License number {n}").format(n=number)))
        self._offer_at(at)

    def _offer_at(self, at: int) -> None:
        field = self.field(claim_field(at, "specification"))
        if isinstance(field, SearchField):
            field.offer(self._specifications)

    def _kind_picked(self) -> None:
        """A package that nobody typed follows the kind."""
        shop = self._work.figures.shop
        if self._package.text() in {usual_package(shop, kind) for kind in ItemKind}:
            self._package.set_text(usual_package(shop, self.kind))
        self._kind_changed()

    def _kind_changed(self) -> None:
        self._unit.set_choices(sale_unit_choices(self.kind))
        for field in (self._package, self._price, self._order_at, self._fill_to):
            field.show_again()
        self._show_for_kind()

    def _show_for_kind(self) -> None:
        fluid = self.kind is ItemKind.FLUID
        self._density.setVisible(fluid)
        self._claims_heading.setVisible(fluid)
        for at in range(self._rows):
            for part in _CLAIM_PARTS:
                self.field(claim_field(at, part)).setVisible(fluid)
        self.arrange()
        self.kind_shown.emit()
