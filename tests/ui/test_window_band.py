"""The window band and the large advice, as widgets."""

from collections.abc import Callable

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QWidget

from shopdesk.ui.presenters.window_band import band_picture
from shopdesk.ui.theme.look import Look, LookChoice, Shade
from shopdesk.ui.widgets.advice_sign import AdviceSign, Sign
from shopdesk.ui.widgets.window_band import WindowBand
from tests.ui.presenters.shops import US_FIGURES
from tests.ui.warm_ups import after, record_with, warm_up

Shown = Callable[..., QWidget]
RISING = ((0, 26_000), (60, 27_800), (120, 29_600), (180, 31_400))


def band(look: Look) -> WindowBand:
    found = WindowBand(look, "Temperature against the clock")
    found.set_picture(band_picture(warm_up(*RISING), record_with(), after(200), US_FIGURES))
    return found


def test_that_all_it_shows_is_said_in_words(look: Look, shown: Shown) -> None:
    part = band(look)
    shown(part, 600, 240)
    assert part.accessibleName() == "Temperature against the clock"
    said = part.accessibleDescription()
    assert "Window 95–113 °F / 35–45 °C." in said
    assert "Open in 1:40 min, then 6 min to close." in said
    assert said.endswith("10:03 AM, 88.52 °F, tapped, Rhea Sandoval")


def test_that_the_arrow_keys_walk_along_the_readings(look: Look, shown: Shown) -> None:
    part = band(look)
    shown(part, 600, 240)
    part.setFocus()
    QTest.keyClick(part, Qt.Key.Key_Left)
    QTest.keyClick(part, Qt.Key.Key_Left)
    assert part.told().startswith("10:01 AM, 82.04 °F")
    part.set_picture(band_picture(warm_up(*RISING, (240, 33_000)), record_with(), after(250), US_FIGURES))
    assert part.told().startswith("10:01 AM, 82.04 °F")
    for _step in range(9):
        QTest.keyClick(part, Qt.Key.Key_Right)
    assert part.told().startswith("10:04 AM, 91.4 °F")


def test_that_a_band_without_readings_is_no_stop_for_the_tab_key(look: Look) -> None:
    part = WindowBand(look, "Temperature against the clock")
    part.set_picture(band_picture(warm_up(), record_with(), after(0), US_FIGURES))
    assert part.focusPolicy() is Qt.FocusPolicy.NoFocus


def test_that_the_window_is_green_and_nothing_of_it_is_amber(look: Look, shown: Shown) -> None:
    part = band(look)
    shown(part, 600, 240)
    for shade in (Shade.LIGHT, Shade.DARK):
        look.choose(LookChoice(shade=shade, less_motion=True))
        image = part.grab().toImage()
        seen = {image.pixelColor(x, y).name() for x in range(0, 600, 3) for y in range(0, 240, 3)}
        assert look.colour("ok_soft").name() in seen
        assert look.colour("fluid").name() not in seen
        assert look.colour("fluid_soft").name() not in seen


def test_that_the_large_word_fits_at_any_text_size(look: Look, shown: Shown) -> None:
    sign = AdviceSign(look)
    shown(sign, 420, 300)
    for percent in (100, 200):
        look.choose(LookChoice(shade=Shade.LIGHT, percent=percent, less_motion=True))
        sign.show_advice(Sign.WARN, "Too hot: let it cool", "", "", "Too hot: let it cool.")
        sign.resize(420, sign.sizeHint().height())
        image = sign.grab().toImage()
        ground = look.colour("late_soft").name()
        edge = [image.pixelColor(410, y).name() for y in range(6, image.height() - 6)]
        assert set(edge) == {ground}, percent


def test_that_the_sign_says_word_and_time_to_a_screen_reader(look: Look) -> None:
    sign = AdviceSign(look)
    sign.show_advice(Sign.GO, "Open now", "5:00 min left", "at least 3 min", "Open now. 5:00 min left.")
    assert sign.accessibleName() == "Open now"
    assert sign.accessibleDescription() == "Open now. 5:00 min left."
    assert (sign.word, sign.left) == ("Open now", "5:00 min left")
