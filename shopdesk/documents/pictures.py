"""Pictures taken in: opened with care, turned upright, freed of all that a camera wrote into them.

What is kept is always a JPEG of our own making: no place, no date, no serial number, no hidden second
picture. Formats are told by their first bytes and opened by their own reader, never by trying all.
"""

import struct
import warnings
from collections.abc import Callable
from dataclasses import dataclass
from gettext import gettext as _
from io import BytesIO
from typing import Final

from PIL import ExifTags, Image, ImageCms
from PIL.JpegImagePlugin import JpegImageFile
from PIL.PngImagePlugin import PngImageFile

from shopdesk.domain.errors import RuleBroken

MOST_BYTES: Final = 25_000_000
MOST_PIXELS: Final = 50_000_000
KEPT_SIDE: Final = 1600
MEDIA: Final = "image/jpeg"

_LEAST_SIDE: Final = 16
_QUALITY: Final = 86
_HEIC_BRANDS: Final = (b"heic", b"heix", b"heim", b"heis", b"hevc", b"mif1", b"msf1")
#: What Pillow and libheif raise for a file that is not as its format says.
_DAMAGED: Final = (
    OSError,
    SyntaxError,
    ValueError,
    EOFError,
    struct.error,
    IndexError,
    KeyError,
    TypeError,
    RuntimeError,
    MemoryError,
)

_TURNS: Final = {
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_270,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_90,
}


@dataclass(frozen=True, kw_only=True, slots=True)
class Picture:
    """A picture as it is kept: the bytes of a JPEG, and its sides in pixels."""

    content: bytes
    width: int
    height: int


def cleaned(content: bytes, *, longest: int = KEPT_SIDE) -> Picture:
    """Make the picture that is kept of a camera's file: JPEG, PNG or HEIC.

    Raises RuleBroken (field ``picture``) with a sentence for a file that is too large, damaged, or no
    picture of these kinds. Needs up to six bytes of memory for each of its pixels.
    """
    image = opened(content, longest=longest)
    return _written(image, longest)


def reduced(content: bytes, longest: int) -> Picture:
    """Make a smaller picture of a kept one."""
    return _written(opened(content, longest=longest), longest)


def opened(content: bytes, *, longest: int) -> Image.Image:
    """Open a picture upright, in red, green and blue, or in grey.

    A JPEG may come at a half, a quarter or an eighth of its size, but never below ``longest``.
    Raises RuleBroken (field ``picture``).
    """
    if len(content) > MOST_BYTES:
        raise RuleBroken(_("The picture is larger than 25 MB; take it with fewer pixels."), "picture")
    reader = _reader_of(content)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # a camera's odd notes, which are not kept anyhow
            return _plain(_upright(reader(content, longest)))
    except _DAMAGED as trouble:
        sentence = _("The picture is damaged: it cannot be read to its end.")
        raise RuleBroken(sentence, "picture") from trouble


def _reader_of(content: bytes) -> Callable[[bytes, int], Image.Image]:
    if not content:
        raise RuleBroken(_("The file is empty."), "picture")
    if content.startswith(b"\xff\xd8\xff"):
        return _jpeg
    if content.startswith(b"\x89PNG\r\n\x1a\n"):
        return _png
    if content[4:8] == b"ftyp" and content[8:12] in _HEIC_BRANDS:
        return _heic
    sentence = _("This is no picture that can be read: JPEG, PNG and HEIC can.")
    raise RuleBroken(sentence, "picture")


def _jpeg(content: bytes, longest: int) -> Image.Image:
    image = JpegImageFile(BytesIO(content))
    _check_size(image.size)
    scale = longest / max(image.size)
    if scale < 1:
        image.draft(None, (max(1, round(image.width * scale)), max(1, round(image.height * scale))))
    image.load()
    return image


def _png(content: bytes, _longest: int) -> Image.Image:
    image = PngImageFile(BytesIO(content))
    _check_size(image.size)
    image.load()
    return image


def _heic(content: bytes, _longest: int) -> Image.Image:
    """Opened by the library itself, which has turned it upright already; loaded here: few are HEIC."""
    import pi_heif

    heif = pi_heif.open_heif(content, convert_hdr_to_8bit=True)
    _check_size(heif.size)
    image: Image.Image = heif.to_pillow()
    image.info.pop("exif", None)
    return image


def _check_size(size: tuple[int, int]) -> None:
    """Before anything is unpacked: a small file can hold a picture that fills all memory."""
    if size[0] * size[1] > MOST_PIXELS:
        sentence = _("The picture has {width} × {height} pixels; at most 50 million can be read.")
        raise RuleBroken(sentence.format(width=size[0], height=size[1]), "picture")
    if min(size) < _LEAST_SIDE:
        raise RuleBroken(_("The picture is too small to show anything."), "picture")


def _upright(image: Image.Image) -> Image.Image:
    turn = _TURNS.get(_orientation(image))
    return image if turn is None else image.transpose(turn)


def _orientation(image: Image.Image) -> int:
    """A camera's damaged notes do not make its picture worthless: it then stays as it lies."""
    try:
        found = image.getexif().get(ExifTags.Base.Orientation)
    except _DAMAGED:
        return 1
    return found if isinstance(found, int) else 1


def _plain(image: Image.Image) -> Image.Image:
    """Eight bits of red, green and blue or of grey, in the usual colours; what is see-through is white."""
    if image.mode.startswith("I"):
        return image.convert("I").point([value // 256 for value in range(65_536)], "L")
    if "A" in image.mode or "transparency" in image.info:
        on_white = Image.new("RGBA", image.size, "white")
        on_white.alpha_composite(image.convert("RGBA"))
        return on_white.convert("RGB")
    if image.mode in ("RGB", "L"):
        return _usual_colours(image)
    return image.convert("L" if image.mode in ("1", "LA") else "RGB")


def _usual_colours(image: Image.Image) -> Image.Image:
    """Telephones take pictures in wider colours; the fluid must not look paler than it was."""
    profile = image.info.get("icc_profile")
    if not profile or image.mode != "RGB":
        return image
    try:
        source = ImageCms.ImageCmsProfile(BytesIO(profile))
        turned = ImageCms.profileToProfile(image, source, ImageCms.createProfile("sRGB"))
    except (ImageCms.PyCMSError, OSError):  # no profile that means anything: the numbers as they are
        return image
    return image if turned is None else turned


def _written(image: Image.Image, longest: int) -> Picture:
    """Write a JPEG that holds nothing but the pixels."""
    scale = min(1.0, longest / max(image.size))
    if scale < 1:
        size = (max(1, round(image.width * scale)), max(1, round(image.height * scale)))
        image = image.resize(size, Image.Resampling.LANCZOS)
    bare = Image.new(image.mode, image.size)
    bare.paste(image)
    buffer = BytesIO()
    bare.save(buffer, "JPEG", quality=_QUALITY, optimize=True)
    return Picture(content=buffer.getvalue(), width=bare.width, height=bare.height)
