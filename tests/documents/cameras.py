"""Files as cameras make them: pictures with notes about where they were taken, damaged ones, bombs."""

from __future__ import annotations

import struct
import zlib
from io import BytesIO
from pathlib import Path

from PIL import ExifTags, Image, ImageDraw

HEIC = Path(__file__).with_name("corner.heic")
"""64 × 48 pixels, red at the left and blue at the right; made for these tests with a HEVC encoder."""


def drawn(width: int = 400, height: int = 300, mode: str = "RGB") -> Image.Image:
    """Give a picture whose upper left quarter is red and whose rest is blue."""
    image = Image.new("RGB", (width, height), (20, 40, 200))
    ImageDraw.Draw(image).rectangle((0, 0, width // 2 - 1, height // 2 - 1), fill=(210, 30, 20))
    return image.convert(mode)


def jpeg(image: Image.Image, *, orientation: int = 1, place: bool = True, **options: object) -> bytes:
    """Write a JPEG as a telephone does, with its place and the way it was held."""
    exif = Image.Exif()
    exif[ExifTags.Base.Orientation] = orientation
    exif[ExifTags.Base.Make] = "Invented Camera Works"
    if place:
        gps = exif.get_ifd(ExifTags.IFD.GPSInfo)
        gps[ExifTags.GPS.GPSLatitudeRef] = "N"
        gps[ExifTags.GPS.GPSLatitude] = (51.0, 28.0, 38.0)
    buffer = BytesIO()
    image.save(buffer, "JPEG", exif=exif, **options)
    return buffer.getvalue()


def png(image: Image.Image) -> bytes:
    """Write a PNG."""
    buffer = BytesIO()
    image.save(buffer, "PNG")
    return buffer.getvalue()


def bomb(width: int = 30_000, height: int = 30_000) -> bytes:
    """Write a small PNG that unpacks to a picture of many pixels, all black."""

    def chunk(name: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))

    packer = zlib.compressobj(9)
    rows = b"".join(packer.compress(bytes(width // 8 + 1)) for _row in range(height)) + packer.flush()
    head = struct.pack(">IIBBBBB", width, height, 1, 0, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", rows) + chunk(b"IEND", b"")


def read(content: bytes) -> Image.Image:
    """Open a kept picture with a reader of its own."""
    image = Image.open(BytesIO(content))
    image.load()
    return image
