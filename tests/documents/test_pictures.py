"""Pictures taken in: upright, small, without what a camera noted; damaged and huge ones refused."""

from __future__ import annotations

import random
from contextlib import suppress

import pytest
from PIL import Image

from shopdesk.documents.pictures import KEPT_SIDE, MOST_BYTES, cleaned, reduced
from shopdesk.domain.errors import RuleBroken
from tests.documents.cameras import HEIC, bomb, drawn, jpeg, png, read

RED, BLUE = (210, 30, 20), (20, 40, 200)


def _near(seen: object, wanted: tuple[int, int, int]) -> bool:
    assert isinstance(seen, tuple)
    return all(abs(a - b) < 40 for a, b in zip(seen, wanted, strict=True))


def test_that_nothing_a_camera_noted_is_kept() -> None:
    given = jpeg(drawn())
    assert b"Invented Camera Works" in given
    assert read(given).getexif().get_ifd(0x8825)
    kept = read(cleaned(given).content)
    assert not kept.getexif()
    assert set(kept.info) <= {"jfif", "jfif_version", "jfif_unit", "jfif_density"}
    assert b"Invented" not in cleaned(given).content
    assert b"Exif" not in cleaned(given).content


@pytest.mark.parametrize(
    ("orientation", "red_x", "red_y"),
    # Where the corner that lies at the upper left in the file stands when it is seen upright
    # (EXIF 2.3, tag 0112: row 0 and column 0 of the file are the named sides of the picture).
    [(1, 0, 0), (2, 1, 0), (3, 1, 1), (4, 0, 1), (5, 0, 0), (6, 1, 0), (7, 1, 1), (8, 0, 1)],
)
def test_that_a_picture_stands_upright(orientation: int, red_x: int, red_y: int) -> None:
    picture = cleaned(jpeg(drawn(), orientation=orientation))
    assert (picture.width, picture.height) == ((400, 300) if orientation < 5 else (300, 400))
    kept = read(picture.content)
    corners = {
        (x, y): kept.getpixel((int((x + 0.5) / 2 * kept.width), int((y + 0.5) / 2 * kept.height)))
        for x in (0, 1)
        for y in (0, 1)
    }
    assert [place for place, colour in corners.items() if _near(colour, RED)] == [(red_x, red_y)]


def test_that_large_pictures_become_small_ones_and_small_ones_stay() -> None:
    large = cleaned(jpeg(drawn(4000, 3000)))
    assert (large.width, large.height) == (KEPT_SIDE, KEPT_SIDE * 3 // 4)
    assert read(large.content).size == (large.width, large.height)
    small = cleaned(png(drawn(40, 30)))
    assert (small.width, small.height) == (40, 30)
    assert reduced(large.content, 320).width == 320


@pytest.mark.parametrize("mode", ["RGB", "RGBA", "L", "LA", "P", "1"])
def test_that_every_kind_of_png_is_read(mode: str) -> None:
    kept = read(cleaned(png(drawn(mode=mode))).content)
    assert kept.mode in ("RGB", "L")
    assert kept.size == (400, 300)


def test_that_sixteen_bits_of_grey_become_eight() -> None:
    grey = cleaned(png(Image.new("I;16", (40, 30), 32_896)))
    assert read(grey.content).getpixel((20, 15)) == 128


def test_that_what_is_see_through_is_white() -> None:
    kept = read(cleaned(png(Image.new("RGBA", (40, 30), (0, 0, 0, 0)))).content)
    assert kept.getpixel((20, 15)) == (255, 255, 255)


def test_that_a_telephones_heic_is_read() -> None:
    picture = cleaned(HEIC.read_bytes())
    assert (picture.width, picture.height) == (64, 48)
    kept = read(picture.content)
    assert kept.format == "JPEG"
    assert _near(kept.getpixel((10, 24)), RED)
    assert _near(kept.getpixel((54, 24)), BLUE)


def test_that_the_same_picture_has_the_same_bytes() -> None:
    given = jpeg(drawn())
    assert cleaned(given) == cleaned(given)


def test_that_a_picture_bomb_is_refused_before_it_is_unpacked() -> None:
    given = bomb()
    assert len(given) < 250_000
    with pytest.raises(RuleBroken, match="30000 × 30000 pixels") as refused:
        cleaned(given)
    assert refused.value.field == "picture"


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "empty"),
        (b"%PDF-1.7 and more", "JPEG, PNG and HEIC"),
        (b"GIF89a" + bytes(100), "JPEG, PNG and HEIC"),
        (b"hello", "JPEG, PNG and HEIC"),
        (b"\xff\xd8\xff" + bytes(MOST_BYTES), "25 MB"),
        (b"\xff\xd8\xff\xe0", "damaged"),
        (b"\x89PNG\r\n\x1a\n", "damaged"),
        (bytes(4) + b"ftypheic" + bytes(40), "damaged"),
        (png(drawn(8, 8)), "too small"),
    ],
)
def test_that_what_is_no_picture_is_refused_with_a_sentence(content: bytes, words: str) -> None:
    with pytest.raises(RuleBroken, match=words) as refused:
        cleaned(content)
    assert refused.value.field == "picture"


def test_that_a_cut_picture_is_refused() -> None:
    whole = jpeg(drawn(1200, 900))
    for share in (0.3, 0.6, 0.9):
        with pytest.raises(RuleBroken, match="damaged"):
            cleaned(whole[: int(len(whole) * share)])


def test_that_no_damage_does_more_than_refuse() -> None:
    chance = random.Random(20_261_125)
    sources = [jpeg(drawn(160, 120)), png(drawn(160, 120, "P")), png(drawn(160, 120)), HEIC.read_bytes()]
    kept = 0
    for _round in range(1500):
        content = bytearray(chance.choice(sources))
        if chance.random() < 0.3:
            del content[chance.randrange(len(content)) :]
        for _byte in range(chance.choice((0, 1, 4, 40)) if content else 0):
            content[chance.randrange(len(content))] = chance.randrange(256)
        with suppress(RuleBroken):
            assert max(read(cleaned(bytes(content)).content).size) <= KEPT_SIDE
            kept += 1
    assert 100 < kept < 1200
