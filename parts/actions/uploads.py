"""The one door for uploads: what a file is, told by its content, and whether it may come in.

A file is checked and its pictures made before anything is stored, so that what is refused
leaves nothing behind.
"""

import hashlib
import io
import threading
from dataclasses import dataclass, field
from datetime import date, datetime

from django.conf import settings
from PIL import ExifTags, Image, ImageFile, ImageOps, UnidentifiedImageError

from ..models import Photo
from .record import Refused

FORMATS = ("JPEG", "PNG", "WEBP", "HEIF")
# Some phones put several pictures into one JPEG; Pillow calls that MPO.
SAME = {"MPO": "JPEG"}
SUFFIX = {"JPEG": "jpg", "PNG": "png", "WEBP": "webp", "HEIF": "heic", "PDF": "pdf"}
TAKEN = "JPEG, PNG, WebP or HEIC"

MB = 1024 * 1024  # as the setting counts them
# One picture at a time: several large ones at once would take the memory of a small machine.
_bench = threading.Semaphore(1)


@dataclass(frozen=True)
class Checked:
    """A file that may come in.

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
    try:
        image = Image.open(io.BytesIO(content), formats=FORMATS)
    except Image.DecompressionBombError:
        raise Refused(_too_many_pixels()) from None
    except (UnidentifiedImageError, OSError, ValueError, SyntaxError):
        raise Refused(f"This is not {what}, whatever its name says.") from None
    if image.width * image.height > settings.UPLOAD_LIMIT_PIXELS:
        raise Refused(_too_many_pixels(image.width, image.height))
    kind = SAME.get(image.format, image.format)
    size, taken_on = image.size, _taken_on(image)
    try:
        upright, shown = _derive(image)
    except (OSError, ValueError, SyntaxError, EOFError):
        raise Refused("This picture is cut short or damaged. Send it again.") from None
    if upright:
        size = size[::-1]
    return Checked(kind, content, hashlib.sha256(content).hexdigest(), *size, taken_on, shown)


def _too_many_pixels(width: int = 0, height: int = 0) -> str:
    most = settings.UPLOAD_LIMIT_PIXELS / 1e6
    has = f"{width} × {height} pixels" if width else "far more pixels"
    return f"This picture has {has}; {most:.0f} million is the most. Send a smaller copy."


def _taken_on(image: Image.Image) -> date | None:
    try:
        exif = image.getexif()
        text = exif.get_ifd(ExifTags.IFD.Exif).get(ExifTags.Base.DateTimeOriginal) or exif.get(
            ExifTags.Base.DateTime
        )
        return datetime.strptime(str(text).strip("\0 "), "%Y:%m:%d %H:%M:%S").date()
    except (ValueError, TypeError, OSError, SyntaxError, KeyError):
        return None


def _derive(image: Image.Image) -> tuple[bool, dict[int, bytes]]:
    """Return whether the picture was turned a quarter, and the pictures that are shown.

    The size comes down before the turn: only then does the JPEG decoder work at a fraction of
    the size, which is quicker and needs a twentieth of the memory.
    """
    profile = image.info.get("icc_profile")
    quarter = image.getexif().get(ExifTags.Base.Orientation, 1) in (5, 6, 7, 8)
    image.thumbnail((Photo.SIZES[0],) * 2, Image.Resampling.LANCZOS, reducing_gap=2.0)
    image = ImageOps.exif_transpose(image)
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
    return quarter, shown
