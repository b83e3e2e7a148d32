"""The counter's whole job by keyboard, stage by stage; everything in it is invented."""

from __future__ import annotations

from tests.journeys.keyboard import Keyboard

FLUID, WASHER = "Brandel ATF V6", "Copper washer 18"
SHOP = {
    "Your name": "Maya Kestrel", "State or country*": "Marrow State", "Phone": "303 555 0100",
    "Time zone*": "Denver", "On parts and fluids": "7.25", "On labor": "0",
}  # fmt: skip
VISIT = {
    "Phone": "303 555 0199", "E-mail": "nadia@example.com", "Plate": "HX 2210", "VIN": "LZZBWT2K3JA004417",
    "Model year": "2018", "Make": "Brightwater", "Model": "Tern", "Odometer": "61,250",
    "What the customer says": "Shudders at 40",
}  # fmt: skip
SHEET = {
    "Designation": "BT6-A", "Fluid specification": "DX-6", "Service refill": "4.2 qt",
    "Total capacity": "8.5 qt", "Level repeats to ±": "50 mL", "Window from": "95",
    "Window up to": "113 °F", "Seconds in each place": "3", "Fill plug: torque": "30 N·m",
    "Fill plug: give or take": "3 N·m", "Fill plug: washer": WASHER, "Drain plug: torque": "36",
    "Drain plug: give or take": "3", "Drain plug: washer": WASHER, "Level plug: torque": "7",
    "Level plug: give or take": "1", "Maker, normal use: distance": "60000 mi",
    "Maker, normal use: months": "60", "Cautions": "Never open the level plug with the engine off.",
    "Source": "Invented manual, edition 4, page 7-21", "Checked by": "R. Sandoval",
}  # fmt: skip
VOLUMES = (
    ("Drained", "3.03 L", "100 mL", "104"),
    ("Put in", "4", "30 mL", "68"),
    ("Spilled", "45 mL", "20 mL", "68"),
    ("Ran out at level check", "0.5 L", "25 mL", "104"),
)
CONDITIONS = (
    ("Vehicle stood level", "Yes"),
    ("Engine while the level was set", "Idling"),
    ("Selector cycled", "Yes"),
    ("Seconds in each position", "5"),
    ("Temperature when the level plug was opened", "97"),
    ("Flow at opening", "Stream"),
    ("Temperature when the level plug was closed", "104"),
    ("Flow at closing", "Drip"),
    ("Fill plug torque", "30 N·m"),
    ("Fill plug washer", "New"),
    ("Drain plug torque", "36"),
    ("Drain plug washer", "New"),
    ("Level plug torque", "7"),
    ("Level plug washer", "New"),
    ("How the old fluid looked", "2"),
)
_PICKED = {"Yes", "Idling", "Stream", "Drip", "New", "2"}


def fill_the_shelf(k: Keyboard) -> None:
    """Receive a fluid and a washer, each put on the list while its delivery waits."""
    k.key("Ctrl+5")
    k.key("Ctrl+Return")
    k.type(FLUID)
    k.press("New item")
    assert k.place == ("item", f"new:{FLUID}")
    k.fill({"Maker": "Brandel", "Price": "11.85", "Density": "850 kg/m3", "Specification 1": "DX-6"})
    k.choose("Basis 1", "Lic")
    k.write("License number 1", "J-60441")
    k.key("Ctrl+Return")
    k.fill({"Quantity": "24 qt", "Cost of all of it": "132.00", "Lot": "B-77"})
    k.key("Ctrl+Return")
    k.write("Item", WASHER)
    k.press("New item")
    k.choose("Kind", "Part")
    k.write("Price", "0.85")
    k.key("Ctrl+Return")
    k.fill({"Quantity": "50", "Cost of all of it": "9.50"})
    k.key("Ctrl+Return")
    assert k.complaints() == []


def take_in(k: Keyboard) -> None:
    """Open a work order for somebody new with a vehicle that is new."""
    k.key("Ctrl+N")
    k.type("Nadia Fell")
    k.key("Return")
    k.fill(VISIT)
    k.key("Ctrl+Return")
    assert k.complaints() == []
    assert k.place[0] == "work order"


def add_a_unit_with_its_sheet(k: Keyboard) -> None:
    """Add the gearbox on the vehicle's page, come back, and type its sheet in."""
    k.reach("Part of the work order: Price and consent")
    k.key("Left")
    k.key("Space")
    k.press("Add a unit")
    k.key("Space")
    k.choose("Kind", "Auto")
    k.write("Name", "6-speed automatic")
    k.key("Ctrl+Return")
    assert k.place[0] == "vehicle"
    k.key("Escape")
    k.press("Type a unit sheet")
    k.fill(SHEET)
    k.key("Ctrl+Return")
    assert k.complaints() == []
    assert k.place[0] == "work order"


def price_and_agree(k: Keyboard) -> None:
    """Write the lines, make the estimate, record the consent, move the vehicle into the bay."""
    k.reach("Part of the work order: Service")
    k.key("Right")
    k.key("Space")
    k.press("Add a line")
    k.type("Automatic fluid service, level set at temperature")
    k.fill({"Line 1: quantity": "1.4", "Line 1: price of one": "118.00"})
    for item, quantity in ((FLUID, "4"), (WASHER, "2")):
        k.choose("Add from the list: choose, then Enter", item)
        k.key("Return")
        k.key("Ctrl+A")
        k.type(quantity)
    for _step in ("keep the lines", "make the estimate", "open the form"):
        k.key("Ctrl+Return")
    k.write("Who that is", "owner")
    k.choose("How", "Phone")
    k.write("Number or address used", "303 555 0199")
    k.write("What was said, word for word", "Go ahead as quoted.")
    k.key("Ctrl+Return")
    k.key("Ctrl+Return")
    assert k.complaints() == []


def measure(k: Keyboard) -> None:
    """Begin the record and type in everything that was measured."""
    k.press("Start the service record")
    for name, value, within, temperature in VOLUMES:
        k.write(name, value)
        k.write(f"{name}: Read to within ±", within)
        k.write(f"{name}: Fluid's temperature when read", temperature)
    for name, value in CONDITIONS:
        if value in _PICKED:
            k.choose(name, value)
        else:
            k.write(name, value)
    k.settle()
    assert k.complaints() == []
