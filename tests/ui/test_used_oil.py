"""Used oil by keyboard: a vessel, what is put in, a count, a pick-up, and a rule chosen."""

from pathlib import Path

from shopdesk.ui.screens.used_oil import ADD, COUNT, HAUL, VESSEL, UsedOilScreen
from shopdesk.ui.theme.look import Look
from tests.ui.shop_window import ShopInWindow, assert_tab_walks, shop_in_window


def keep(shop: ShopInWindow, screen: UsedOilScreen, verb: str, **texts: str) -> None:
    screen.show_form(verb)
    for name, text in texts.items():
        screen.forms[verb].field(name).setFocus()
        shop.type(text)
    shop.key("Ctrl+Return")


def test_that_used_oil_is_followed_from_the_vessel_to_the_pick_up(look: Look, small_shop: Path) -> None:
    with shop_in_window(look, small_shop, real=("used oil",)) as shop:
        shop.show()
        screen = shop.go("used oil")
        assert isinstance(screen, UsedOilScreen)
        keep(shop, screen, VESSEL, name="Tank by the door", capacity="100 L", place="Back wall")
        keep(shop, screen, ADD, quantity="60 L", reason="from before")
        keep(shop, screen, COUNT, reading="58 L", within="3 L")
        keep(shop, screen, HAUL, quantity="50 L")
        assert screen.forms[HAUL].field("carrier").error == "Write who took it away."
        screen.forms[HAUL].field("carrier").set_text("Larkmoor Oil Run")
        shop.key("Ctrl+Return")
        (row,) = shop.rooms.used_oil.vessels()
        assert row.held_ul == 8_000_000
        assert "No rule" in screen.capacity.text()
        assert_tab_walks(shop, screen)


def test_that_the_vessel_of_the_pick_up_is_the_one_whose_moves_are_shown(
    look: Look, small_shop: Path
) -> None:
    with shop_in_window(look, small_shop, real=("used oil",)) as shop:
        shop.show()
        screen = shop.go("used oil")
        assert isinstance(screen, UsedOilScreen)
        for name in ("Drum", "Tank"):
            keep(shop, screen, VESSEL, name=name, capacity="100 L", place="Back wall")
            keep(shop, screen, ADD, quantity="60 L", reason="from before")
        screen.vessels.selectRow(0)
        shop.settle()
        assert [row.quantity_ul for row in screen.moves.rows] == [60_000_000]
        screen.show_form(HAUL)
        for name, text in (("vessel", "2"), ("quantity", "50 L"), ("carrier", "Larkmoor Oil Run")):
            screen.forms[HAUL].field(name).set_text(text)
        shop.key("Ctrl+Return")
        row = screen.vessels.current()
        assert row is not None
        assert row.name == "Tank"
        assert [move.quantity_ul for move in screen.moves.rows] == [-50_000_000, 60_000_000]
