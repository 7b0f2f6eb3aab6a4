"""The one door for uploads: what a file is, told by its content, and whether it has access.

A file is checked and its pictures made before anything is stored, so that what is refused
leaves nothing behind.
"""

import hashlib
import io
import threading
from dataclasses import dataclass, field
from datetime import date, datetime

from django.conf import settings
from PIL import ExifTags, Image, ImageFile

from parts.record.actions.saving import Refused

from ..models import Photo

FORMATS = ("JPEG", "PNG", "WEBP", "HEIF")
# Some phones put several pictures into one JPEG; Pillow calls that MPO.
SAME = {"MPO": "JPEG"}
SUFFIX = {"JPEG": "jpg", "PNG": "png", "WEBP": "webp", "HEIF": "heic", "PDF": "pdf"}
TAKEN = "JPEG, PNG, WebP or HEIC"
# How a picture is turned upright, by the number in its own data.
TURNS = {
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_270,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_90,
}
QUARTER_TURNS = (5, 6, 7, 8)
# Memory that a picture may take while it is made smaller, for each pixel of the most allowed:
# 450 MB at 60 million. What each kind takes was measured at 59 million pixels.
BYTES_PER_PIXEL = 7.5

MB = 1024 * 1024  # as the setting counts them
# One picture at a time: several large ones at once would take the memory of a small machine.
_bench = threading.Semaphore(1)


@dataclass(frozen=True)
class Checked:
    """A file that has access.

    Args:
        format: What it is: JPEG, PNG, WEBP, HEIF or PDF.
        content: Its bytes, untouched.
        sha256: Their checksum, hexadecimal.
        width, height: Pixels, upright; 0 for a PDF.
        taken_on: The day in the picture's own data, if it tells one.
        shown: For a picture, upright JPEGs without metadata, by the pixels of the long side.
    """

    format: str
    content: bytes
    sha256: str
    width: int = 0
    height: int = 0
    taken_on: date | None = None
    shown: dict[int, bytes] = field(default_factory=dict)

    @property
    def suffix(self) -> str:
        return SUFFIX[self.format]


def check_picture(file) -> Checked:
    """Check an uploaded picture and make what is shown from it. Raises Refused."""
    content = _read(file, f"Send a picture: {TAKEN}.")
    with _bench:
        return _picture(content)


def check_paper(file) -> Checked:
    """Check an uploaded quote or receipt: a PDF or a picture. Raises Refused."""
    content = _read(file, f"Send a PDF or a picture: {TAKEN}.")
    if content[:1024].lstrip().startswith(b"%PDF-"):
        if b"%%EOF" not in content[-2048:]:
            raise Refused("This PDF is cut short: its end is missing. Send the whole file.")
        return Checked("PDF", content, hashlib.sha256(content).hexdigest())
    with _bench:
        return _picture(content, what=f"a PDF or a picture ({TAKEN})")


def _read(file, wanted: str) -> bytes:
    limit = settings.UPLOAD_LIMIT_BYTES
    if not file or not file.size:
        raise Refused(f"The file is empty. {wanted}")
    if file.size > limit:
        raise Refused(
            f"This file is {file.size / MB:.1f} MB; {limit / MB:.0f} MB is the most. "
            "Send a smaller copy."
        )
    file.seek(0)
    return file.read()


def _picture(content: bytes, what: str = f"a picture ({TAKEN})") -> Checked:
    # The PDF library turns this on for the whole process when it is first used; then a picture
    # that is cut short would come in half grey.
    ImageFile.LOAD_TRUNCATED_IMAGES = False
    # Bytes made to do harm can raise anything in a decoder: TypeError, struct.error, MemoryError.
    try:
        image = Image.open(io.BytesIO(content), formats=FORMATS)
    except (Image.DecompressionBombError, Image.DecompressionBombWarning):
        raise Refused(_too_many_pixels()) from None
    except Exception:  # noqa: BLE001
        raise Refused(f"This is not {what}, whatever its name says.") from None
    kind, size = SAME.get(image.format, image.format), image.size
    _small_enough(kind, image)
    turn, taken_on = _told_by(image)
    try:
        shown = _derive(image, TURNS.get(turn))
    except Exception:  # noqa: BLE001
        raise Refused("This picture is cut short or damaged. Send it again.") from None
    if turn in QUARTER_TURNS:
        size = size[::-1]
    return Checked(kind, content, hashlib.sha256(content).hexdigest(), *size, taken_on, shown)


def _small_enough(kind: str, image: Image.Image) -> None:
    """Refuse a picture that would take more memory than one of the most pixels should.

    Raises Refused.
    """
    pixels, bands = image.width * image.height, image.getbands()
    if kind == "WEBP":
        each = 17
    elif kind == "HEIF":
        each = 10 if "A" in bands else 7
    elif kind == "JPEG":
        # A large one is decoded at a fraction of its size; one in several scans is held whole.
        each = 1.5 if max(image.size) >= 4 * Photo.SIZES[0] else 4
        if "progressive" in image.info or len(bands) > 3:
            each += 2 * len(bands)
    else:
        each = 9.2 if "A" in bands else 5.3
    limit = settings.UPLOAD_LIMIT_PIXELS
    most = int(limit * min(1, BYTES_PER_PIXEL / each))
    if pixels > most:
        of = f" for a {kind} like this" if most < limit else ""
        raise Refused(_too_many_pixels(f"{image.width} × {image.height} pixels", most, of))


def _too_many_pixels(has: str = "far more pixels", most: int = 0, of: str = "") -> str:
    most = most or settings.UPLOAD_LIMIT_PIXELS
    return f"This picture has {has}; {most / 1e6:.0f} million is the most{of}. Send a smaller copy."


def _told_by(image: Image.Image) -> tuple[int, date | None]:
    """How a picture is turned (1 is upright), and the day it tells; odd data tell nothing."""
    turn = 1
    try:
        exif = image.getexif()
        turn = exif.get(ExifTags.Base.Orientation, 1)
        text = exif.get_ifd(ExifTags.IFD.Exif).get(ExifTags.Base.DateTimeOriginal) or exif.get(
            ExifTags.Base.DateTime
        )
        return turn, datetime.strptime(str(text).strip("\0 "), "%Y:%m:%d %H:%M:%S").date()
    except Exception:  # noqa: BLE001
        return turn, None


def _derive(image: Image.Image, turn: Image.Transpose | None) -> dict[int, bytes]:
    """Return the pictures that are shown, upright.

    The size comes down before the turn: only then does the JPEG decoder work at a fraction of
    the size, which is quicker and needs a twentieth of the memory.
    """
    profile = image.info.get("icc_profile")
    if image.mode.startswith("I"):  # 16 bits of grey, which the library cannot make smaller
        image = image.point(lambda value: value / 256).convert("L")
    image.thumbnail((Photo.SIZES[0],) * 2, Image.Resampling.LANCZOS, reducing_gap=2.0)
    if turn is not None:
        image = image.transpose(turn)
    if image.mode in ("RGBA", "LA", "PA") or "transparency" in image.info:
        paper = Image.new("RGB", image.size, "white")
        image = image.convert("RGBA")
        paper.paste(image, mask=image.getchannel("A"))
        image = paper
    elif image.mode != "RGB":
        image = image.convert("RGB")
        profile = None
    for name in ("comment", "xmp", "exif", "photoshop", "icc_profile"):
        image.info.pop(name, None)
    shown = {}
    for side in Photo.SIZES:
        image.thumbnail((side, side), Image.Resampling.LANCZOS)
        out = io.BytesIO()
        image.save(out, "JPEG", quality=82, optimize=True, progressive=True, icc_profile=profile)
        shown[side] = out.getvalue()
    return shown
