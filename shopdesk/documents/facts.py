"""Facts that several papers share. Every figure arrives as text, ready to read, with its unit.

Nothing here is formatted, converted or added up: who fills these types has done that. An empty text or an
empty tuple means "does not apply" and leaves no trace on the paper.
"""

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True, slots=True)
class ShopHead:
    """Who issues the paper. `registrations` are whole texts: "Registration ARD 00218", "EPA ID
    XYZ000000001"."""

    name: str
    address: tuple[str, ...] = ()
    phone: str = ""
    email: str = ""
    registrations: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True, slots=True)
class Party:
    """A customer, keeper or payer; `lines` hold the address, telephone, tax number."""

    name: str
    lines: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True, slots=True)
class VehicleBlock:
    """The vehicle as it stands on a paper; odometer texts carry their unit and any doubt ("118,240 mi,
    stated")."""

    description: str = ""
    plate: str = ""
    vin: str = ""
    unit: str = ""
    odometer_in: str = ""
    odometer_out: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class PriceLine:
    """One line of work or goods. `amount` is the line's net; `unit` stands apart so that quantities align.

    `condition` (new, used, rebuilt) belongs to parts; `detail` are further texts beneath, such as a part
    number.
    """

    kind: str
    text: str
    amount: str
    quantity: str = ""
    unit: str = ""
    unit_price: str = ""
    condition: str = ""
    detail: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True, slots=True)
class SumLine:
    """A label and a sum under the lines: a subtotal, a tax, a payment."""

    label: str
    amount: str


@dataclass(frozen=True, kw_only=True, slots=True)
class Authorisation:
    """Consent as recorded. `when` carries its time zone; `words` is what was agreed, word for word;
    `up_to` is net."""

    who: str
    when: str
    how: str
    words: str
    up_to: str
    relation: str = ""
    contact: str = ""
    taken_by: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class FluidUsed:
    """What identifies a fluid put into a unit. `claim` says on what basis it meets the specification."""

    product: str
    maker: str = ""
    kind: str = ""
    claim: str = ""
    quantity: str = ""
    lot: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class TextBlock:
    """A titled text of the shop or of its place: warranty, storage terms, a notice the law asks for."""

    title: str
    text: str
